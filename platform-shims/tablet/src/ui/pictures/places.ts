export type PicturesPlace = { at: "pictures" };
