// How animals and water do, in pictures; first of all what somebody should look at.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import { AnimalPictures } from "./animal";
import { Attention } from "./attention";
import { CollectionDay } from "./collection";
import type { PicturesPlace } from "./places";
import { Water } from "./water";
import "./pictures.css";

export const picturesScreens: Screens<PicturesPlace> = {
  attention: () => <Attention />,
  collectionDay: () => <CollectionDay />,
  animalPicture: ({ place }) => <AnimalPictures animal={place.animal} picture={place.picture} />,
  waterPicture: ({ place }) => <Water pool={place.pool} />,
};

export const picturesPart: Part = {
  title: words.pictures.menu,
  entries: [
    { title: words.pictures.attention.menu, place: { at: "attention" } },
    { title: words.pictures.collection.menu, place: { at: "collectionDay" } },
    { title: words.pictures.animal.menu, place: { at: "animalPicture" } },
    { title: words.pictures.water.menu, place: { at: "waterPicture" } },
  ],
};
