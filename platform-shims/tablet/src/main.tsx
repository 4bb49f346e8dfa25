import { render } from "preact";
import { registerSW } from "virtual:pwa-register";
import { Client } from "./core/client";
import { App } from "./ui/app";
import { words } from "./words/words";
import "./ui/style.css";

document.documentElement.lang = words.language;
// The app is whole on the tablet: a new version is fetched in the background and used from the next start on.
registerSW({ immediate: true });

const client = new Client();
client.onChanged = () => dispatchEvent(new Event("wrackline-changed"));
const root = document.getElementById("app");
if (root) render(<App client={client} />, root);
