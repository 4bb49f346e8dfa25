// The tablet itself: what is only here, how to carry it away, how the app looks.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import type { DevicePlace } from "./places";
import { Tablet } from "./tablet";

export const deviceScreens: Screens<DevicePlace> = { tablet: () => <Tablet /> };

export const devicePart: Part = {
  title: words.device.menu,
  entries: [{ title: words.device.menu, place: { at: "tablet" } }],
};
