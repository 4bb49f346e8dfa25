// At the pool and in the kitchen: what is due, what to weigh, and the entries that are made there.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import { Animal } from "./animal";
import { Attach } from "./attach";
import { Beings } from "./beings";
import { Dose } from "./dose";
import { Enrich, EnrichWatched } from "./enrich";
import { Entries } from "./entries";
import { Entry } from "./entry";
import { Hygiene } from "./hygiene";
import { Inspect } from "./inspect";
import { Left } from "./left";
import { Meal } from "./meal";
import { Measure } from "./measure";
import { Move } from "./move";
import type { KeeperPlace } from "./places";
import { Prep } from "./prep";
import { Scan } from "./scan";
import { Seen } from "./seen";
import { Snack } from "./snack";
import { Thaw } from "./thaw";
import { Today } from "./today";
import { Train } from "./train";
import { Water } from "./water";
import { Weigh } from "./weigh";
import "./keeper.css";

export const keeperScreens: Screens<KeeperPlace> = {
  today: () => <Today />,
  prep: () => <Prep />,
  weigh: ({ place, leave }) => (
    <Weigh day={place.day} area={place.area} slot={place.slot} tray={place.tray} leave={leave} />
  ),
  thaw: ({ leave }) => <Thaw leave={leave} />,
  beings: () => <Beings />,
  animal: ({ place }) => <Animal animal={place.animal} />,
  meal: ({ place, leave }) => <Meal item={place.item} leave={leave} />,
  snack: ({ place, leave }) => <Snack animal={place.animal} leave={leave} />,
  left: ({ place, leave }) => <Left meal={place.meal} title={place.title} leave={leave} />,
  dose: ({ place, leave }) => <Dose item={place.item} leave={leave} />,
  enrich: ({ place, leave }) =>
    place.use ? (
      <EnrichWatched animal={place.animal} use={place.use} leave={leave} />
    ) : (
      <Enrich animal={place.animal} leave={leave} />
    ),
  inspect: ({ place, leave }) => <Inspect enricher={place.enricher} leave={leave} />,
  train: ({ place, leave }) => <Train animal={place.animal} leave={leave} />,
  seen: ({ place, leave }) => <Seen animal={place.animal} leave={leave} />,
  scan: ({ place, leave }) => <Scan animal={place.animal} leave={leave} />,
  measure: ({ place, leave }) => <Measure animal={place.animal} quantity={place.quantity} leave={leave} />,
  water: ({ place, leave }) => <Water pool={place.pool} leave={leave} />,
  hygiene: ({ place, leave }) => <Hygiene area={place.area} leave={leave} />,
  move: ({ place, leave }) => <Move animal={place.animal} leave={leave} />,
  attach: ({ place, leave }) => <Attach to={place.to} leave={leave} />,
  written: () => <Entries />,
  entry: ({ place, leave }) => <Entry record={place.record} leave={leave} />,
};

export const keeperPart: Part = {
  title: words.keeper.menu,
  entries: [
    { title: words.today, place: { at: "today" } },
    { title: words.keeper.prep.menu, place: { at: "prep" } },
    { title: words.keeper.beings.menu, place: { at: "beings" } },
    { title: words.keeper.entries.menu, place: { at: "written" } },
  ],
};
