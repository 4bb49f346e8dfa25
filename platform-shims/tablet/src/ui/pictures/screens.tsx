// How animals and water do, in pictures.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import type { PicturesPlace } from "./places";

export const picturesScreens: Screens<PicturesPlace> = {
  pictures: () => (
    <main>
      <h2>{words.pictures.menu}</h2>
    </main>
  ),
};

export const picturesPart: Part = {
  title: words.pictures.menu,
  entries: [{ title: words.pictures.menu, place: { at: "pictures" } }],
};
