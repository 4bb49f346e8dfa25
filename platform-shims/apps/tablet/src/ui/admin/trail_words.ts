// The trail's entries in words: those of one change together, as they were written.
import { labelOf, valueWords } from "../../core/field_words";
import { kindWord, type Names, shortId } from "../../core/names";
import { recordKey, sameRecord } from "../../core/records";
import type { Zone } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import type { TrailEntry } from "../../proto/reading_pb";
import { words } from "../../words/words";

const text = words.admin.trail;

export interface ValueLine {
  field: string;
  from: string; // "": there was none.
  to: string;
  state: string;
}
export interface ChangeLines {
  key: string;
  change: RecordRef;
  record: RecordRef;
  kind: string;
  recordName: string;
  birth: boolean;
  author: string;
  authorship: string;
  device: string;
  entered: string;
  happened: string;
  heldByHub: string;
  reason: string;
  marks: string[];
  values: ValueLine[];
}

function marksOf(entry: TrailEntry): string[] {
  const marks: [boolean, string][] = [
    [entry.held, text.marks.held],
    [entry.clockSuspect, text.marks.clockSuspect],
    [entry.late, text.marks.late],
    [entry.afterClose, entry.cameLater ? text.marks.cameLater : text.marks.afterClose],
    [entry.struck, text.marks.struck],
    [entry.folded, text.marks.folded],
  ];
  return marks.filter(([is]) => is).map(([, word]) => word);
}
function stateOf(entry: TrailEntry): string {
  if (entry.held) return text.states.held;
  if (entry.disagrees) return text.states.disagrees;
  return entry.head ? text.states.stands : text.states.replaced;
}

async function lineOf(entry: TrailEntry, names: Names, zone: Zone): Promise<ValueLine> {
  // A value's unit may turn on another field of its record.
  const whole = entry.record && (await names.view(entry.record))?.fields;
  const say = (part: Uint8Array) => valueWords(entry.kind, entry.field, part, { names, zone }, whole);
  const olds = await Promise.all(entry.replaced.map(say));
  return {
    field: labelOf(entry.kind, entry.field),
    from: olds.join(text.and),
    to: await say(entry.value),
    state: stateOf(entry),
  };
}

export async function changesOf(entries: TrailEntry[], names: Names, zone: Zone): Promise<ChangeLines[]> {
  const changes: ChangeLines[] = [];
  for (const entry of entries) {
    const { change, record } = entry;
    if (!change || !record) continue;
    const line = await lineOf(entry, names, zone);
    const last = changes.at(-1);
    if (last && sameRecord(last.change, change)) {
      last.values.push(line);
      for (const mark of marksOf(entry)) if (!last.marks.includes(mark)) last.marks.push(mark);
      continue;
    }
    const time = (ms: bigint) => (ms === 0n ? "" : zone.text(Number(ms)));
    changes.push({
      key: recordKey(change),
      change,
      record,
      kind: entry.kind === 0 ? words.admin.unknown : kindWord(entry.kind),
      recordName: await names.of(record),
      birth: entry.birth,
      author: entry.authorName || text.byHub,
      authorship: text.authorship[entry.authorship] ?? "",
      device: entry.deviceName || shortId(change),
      entered: time(entry.enteredMs),
      happened: time(entry.happenedMs),
      heldByHub: time(entry.heldMs),
      reason: entry.reason,
      marks: marksOf(entry),
      values: [line],
    });
  }
  return changes;
}
