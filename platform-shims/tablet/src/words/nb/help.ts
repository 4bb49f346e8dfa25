// Words of the first walk and the help.
import type { help as english } from "../en/help";

export const help: typeof english = {
  menu: "Hjelp",
};
