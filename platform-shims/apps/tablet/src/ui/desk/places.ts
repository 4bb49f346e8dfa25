import type { Draft } from "../../core/draft";
import type { Kind } from "../../core/kinds";
import type { RecordRef } from "../../proto/change_pb";
import type { Group } from "./groups";

export type DeskPlace =
  | { at: "desk" }
  | { at: Group }
  | { at: "desk-record"; record: RecordRef }
  | { at: "desk-new"; kind: Kind; initial?: Draft }
  | { at: "desk-edit"; record: RecordRef }
  | { at: "review" }
  | { at: "day-close" }
  | { at: "stock" }
  | { at: "stock-receive"; food?: RecordRef }
  | { at: "stock-change"; lot: RecordRef; onHandMg: bigint; cause: "counted" | "discarded" }
  | { at: "import" }
  | { at: "reports" };
