export type DeskPlace = { at: "desk" };
