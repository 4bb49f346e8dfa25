// At the desk: records and plans, what must be decided, the close of the day, stores, import, reports.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import { DayClose } from "./day_close";
import "./desk.css";
import { Home } from "./home";
import { Import } from "./import";
import { Lists } from "./lists";
import type { DeskPlace } from "./places";
import { EditRecord, NewRecord, Record } from "./record";
import { Reports } from "./reports";
import { Review } from "./review";
import { Stock } from "./stock";
import { Receive, StockChange } from "./stock_forms";

export const deskScreens: Screens<DeskPlace> = {
  desk: () => <Home />,
  roster: () => <Lists group="roster" />,
  plans: () => <Lists group="plans" />,
  entries: () => <Lists group="entries" />,
  "desk-record": ({ place, leave }) => <Record record={place.record} leave={leave} />,
  "desk-new": ({ place, leave }) => (
    <NewRecord kind={place.kind} leave={leave} {...(place.initial ? { initial: place.initial } : {})} />
  ),
  "desk-edit": ({ place, leave }) => <EditRecord record={place.record} leave={leave} />,
  review: () => <Review />,
  "day-close": () => <DayClose />,
  stock: () => <Stock />,
  "stock-receive": ({ place, leave }) => (
    <Receive leave={leave} {...(place.food ? { food: place.food } : {})} />
  ),
  "stock-change": ({ place, leave }) => (
    <StockChange lot={place.lot} onHandMg={place.onHandMg} cause={place.cause} leave={leave} />
  ),
  import: () => <Import />,
  reports: () => <Reports />,
};

const { groups } = words.desk;
export const deskPart: Part = {
  title: words.desk.menu,
  entries: [
    { title: groups.overview, place: { at: "desk" } },
    { title: groups.review, place: { at: "review" } },
    { title: groups.roster, place: { at: "roster" } },
    { title: groups.plans, place: { at: "plans" } },
    { title: groups.entries, place: { at: "entries" } },
    { title: groups.close, place: { at: "day-close" } },
    { title: groups.stock, place: { at: "stock" } },
    { title: groups.import, place: { at: "import" } },
    { title: groups.reports, place: { at: "reports" } },
  ],
};
