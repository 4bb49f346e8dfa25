export type AdminPlace = { at: "admin" };
