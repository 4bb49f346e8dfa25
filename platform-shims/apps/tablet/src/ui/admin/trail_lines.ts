// A trail as lines of a table, one for each value, with the headings first; the core makes CSV of them.
import { recordKey } from "../../core/records";
import { words } from "../../words/words";
import type { ChangeLines } from "./trail_words";

export function csvLines(changes: ChangeLines[]): { cells: string[] }[] {
  const rows = changes.flatMap((change) =>
    change.values.map((value) => [
      change.entered,
      change.happened,
      change.heldByHub,
      change.author,
      change.authorship,
      change.device,
      change.kind,
      change.recordName,
      recordKey(change.record),
      value.field,
      value.from,
      value.to,
      value.state,
      change.marks.join(", "),
      change.reason,
    ]),
  );
  return [words.admin.trail.csvHead, ...rows].map((cells) => ({ cells }));
}
