// Where a keeper can be. What a screen is about goes with its name, so that it can say so at once.
import type { RecordRef } from "../../proto/change_pb";
import type { DueItem } from "../../proto/husbandry_pb";
import type { Quantity } from "../../proto/plans_pb";

export interface About {
  record: RecordRef;
  name: string;
}

export type KeeperPlace =
  | { at: "today" }
  | { at: "prep" }
  // `slot`: only trays of that time of the day; absent, all.
  | { at: "weigh"; day: number; area: string; slot: number | null; tray: string }
  | { at: "thaw" }
  | { at: "beings" }
  | { at: "animal"; animal: About }
  | { at: "meal"; item: DueItem }
  | { at: "snack"; animal: About }
  | { at: "left"; meal: RecordRef; title: string }
  | { at: "dose"; item: DueItem }
  | { at: "enrich"; animal: About; use?: RecordRef }
  | { at: "inspect"; enricher: About }
  | { at: "train"; animal: About }
  | { at: "seen"; animal: About }
  | { at: "scan"; animal: About }
  | { at: "measure"; animal: About; quantity?: Quantity }
  | { at: "water"; pool: About }
  | { at: "hygiene"; area: string }
  | { at: "move"; animal: About }
  | { at: "attach"; to: About }
  | { at: "written" }
  | { at: "entry"; record: RecordRef };
