// Words of the desk: roster, plans, review, day close, stock, import, reports.
import type { desk as english } from "../en/desk";

export const desk: typeof english = {
  menu: "Kontor",
};
