// Starts the app: the looks, the core, the screens, and the newer version when there is one.
import { render } from "preact";
import { registerSW } from "virtual:pwa-register";
import { Client } from "./core/client";
import { measureIfAsked } from "./core/measuring";
import { manifestHash } from "./core/release";
import { App } from "./ui/app";
import { showLook } from "./ui/device/settings";
import { words } from "./words/words";
import "./ui/style.css";

document.documentElement.lang = words.language;
showLook();
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", showLook);

const client = new Client();
measureIfAsked(client);
void manifestHash(); // Kept for when the hub is out of reach.
client.onChanged = () => dispatchEvent(new Event("wrackline-changed"));
// A new version is fetched in the background. It begins when somebody says so, or with the next start: never under
// somebody's hands.
let startNewVersion = () => Promise.resolve();
const root = document.getElementById("app");
const show = (newVersion: (() => void) | null) => {
  if (root) render(<App client={client} newVersion={newVersion} />, root);
};
startNewVersion = registerSW({
  immediate: true,
  onNeedRefresh: () => show(() => void startNewVersion()),
});
show(null);
