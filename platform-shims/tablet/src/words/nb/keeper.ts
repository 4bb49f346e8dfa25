// Words of the keeper's screens that base.ts has not.
import type { keeper as english } from "../en/keeper";

export const keeper: typeof english = {
  menu: "Ved bassenget",
};
