// At the pool: what is due, and the entries that are made there.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import { Dose } from "./dose";
import { Left } from "./left";
import { Meal } from "./meal";
import type { KeeperPlace } from "./places";
import { Seen } from "./seen";
import { Today } from "./today";

export const keeperScreens: Screens<KeeperPlace> = {
  today: () => <Today />,
  meal: ({ place, leave }) => <Meal item={place.item} leave={leave} />,
  left: ({ place, leave }) => <Left item={place.item} leave={leave} />,
  dose: ({ place, leave }) => <Dose item={place.item} leave={leave} />,
  seen: ({ place, leave }) => <Seen item={place.item} leave={leave} />,
};

export const keeperPart: Part = {
  title: words.keeper.menu,
  entries: [{ title: words.today, place: { at: "today" } }],
};
