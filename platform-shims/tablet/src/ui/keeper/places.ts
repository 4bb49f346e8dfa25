import type { DueItem } from "../../proto/husbandry_pb";

export type KeeperPlace =
  | { at: "today" }
  | { at: "meal"; item: DueItem }
  | { at: "left"; item: DueItem }
  | { at: "dose"; item: DueItem }
  | { at: "seen"; item: DueItem };
