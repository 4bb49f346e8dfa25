// Words of the pictures and their tables.
import type { pictures as english } from "../en/pictures";

export const pictures: typeof english = {
  menu: "Bilder",
};
