// Where one can be. Each part of the app says its own places; a place holds all that its screen needs to begin with.
import type { JSX } from "preact";
import type { AdminPlace } from "./admin/places";
import type { DeskPlace } from "./desk/places";
import type { DevicePlace } from "./device/places";
import type { HelpPlace } from "./help/places";
import type { KeeperPlace } from "./keeper/places";
import type { PicturesPlace } from "./pictures/places";

export type Place = KeeperPlace | DeskPlace | PicturesPlace | AdminPlace | DevicePlace | HelpPlace;

// The screens of a part: one for each of its places. `leave` goes back to where one came from.
export type Screens<Of extends { at: string }> = {
  [At in Of["at"]]: (props: { place: Extract<Of, { at: At }>; leave: () => void }) => JSX.Element;
};

// A line of the menu.
export interface Entry {
  title: string;
  place: Place;
}
export interface Part {
  title: string;
  entries: Entry[];
}
