// Help.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import type { HelpPlace } from "./places";

export const helpScreens: Screens<HelpPlace> = {
  help: () => (
    <main>
      <h2>{words.help.menu}</h2>
    </main>
  ),
};

export const helpPart: Part = {
  title: words.help.menu,
  entries: [{ title: words.help.menu, place: { at: "help" } }],
};
