export type HelpPlace = { at: "help" };
