// At the desk.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import type { DeskPlace } from "./places";

export const deskScreens: Screens<DeskPlace> = {
  desk: () => (
    <main>
      <h2>{words.desk.menu}</h2>
    </main>
  ),
};

export const deskPart: Part = {
  title: words.desk.menu,
  entries: [{ title: words.desk.menu, place: { at: "desk" } }],
};
