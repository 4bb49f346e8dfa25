// All screens, and the menu.
import type { JSX } from "preact";
import { adminPart, adminScreens } from "./admin/screens";
import { deskPart, deskScreens } from "./desk/screens";
import { devicePart, deviceScreens } from "./device/screens";
import { helpPart, helpScreens } from "./help/screens";
import { keeperPart, keeperScreens } from "./keeper/screens";
import { picturesPart, picturesScreens } from "./pictures/screens";
import type { Part, Place } from "./place";

const parts = [keeperScreens, deskScreens, picturesScreens, adminScreens, deviceScreens, helpScreens];
const screens = {
  ...keeperScreens,
  ...deskScreens,
  ...picturesScreens,
  ...adminScreens,
  ...deviceScreens,
  ...helpScreens,
};
// A place of one part under the name of another's would show the other's screen.
if (Object.keys(screens).length !== parts.reduce((sum, part) => sum + Object.keys(part).length, 0))
  throw new Error("two parts have a place of one name");

export const menu: Part[] = [keeperPart, picturesPart, deskPart, adminPart, devicePart, helpPart];

// The screen of a place; Screens<> has made sure that it takes just this one.
export function screenOf(place: Place): (props: { place: Place; leave: () => void }) => JSX.Element {
  return screens[place.at] as (props: { place: Place; leave: () => void }) => JSX.Element;
}

export function partOf(place: Place): Part {
  const has = (group: Record<string, unknown>) => place.at in group;
  if (has(picturesScreens)) return picturesPart;
  if (has(deskScreens)) return deskPart;
  if (has(adminScreens)) return adminPart;
  if (has(deviceScreens)) return devicePart;
  if (has(helpScreens)) return helpPart;
  return keeperPart;
}
