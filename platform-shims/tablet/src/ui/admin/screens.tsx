// People, devices, proof.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import type { AdminPlace } from "./places";

export const adminScreens: Screens<AdminPlace> = {
  admin: () => (
    <main>
      <h2>{words.admin.menu}</h2>
    </main>
  ),
};

export const adminPart: Part = {
  title: words.admin.menu,
  entries: [{ title: words.admin.menu, place: { at: "admin" } }],
};
