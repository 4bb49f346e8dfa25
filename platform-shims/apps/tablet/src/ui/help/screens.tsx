// Help explains the words, says what to do when, and offers the first walk once more.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import { Help, Terms, When } from "./help";
import type { HelpPlace } from "./places";
import "./help.css";

export const helpScreens: Screens<HelpPlace> = {
  help: () => <Help />,
  "help-words": () => <Terms />,
  "help-when": () => <When />,
};

export const helpPart: Part = {
  title: words.help.menu,
  entries: [
    { title: words.help.title, place: { at: "help" } },
    { title: words.help.when.title, place: { at: "help-when" } },
    { title: words.help.terms.title, place: { at: "help-words" } },
  ],
};
