export type HelpPlace = { at: "help" } | { at: "help-words" } | { at: "help-when" };
