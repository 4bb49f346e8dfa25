// A trail as a table for a spreadsheet, a row for each value, as RFC 4180 has it.
import { recordKey } from "../../core/records";
import { words } from "../../words/words";
import type { ChangeLines } from "./trail_words";

// A text that a spreadsheet would run gets an apostrophe before it.
function cell(value: string): string {
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

export function csvOf(changes: ChangeLines[]): string {
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
  // The mark at the beginning tells spreadsheets that it is UTF-8.
  return `\ufeff${[words.admin.trail.csvHead, ...rows].map((row) => row.map(cell).join(",")).join("\r\n")}\r\n`;
}
