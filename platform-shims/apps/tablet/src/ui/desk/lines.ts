// Records as lines of a list: what each is called, what it tells in short, how it stands.
import { recordWords } from "../../core/field_words";
import type { Kind } from "../../core/kinds";
import { kindName } from "../../core/kinds";
import { fieldLabel } from "../../core/field_words";
import { isApproved, listedFields } from "../../core/fields";
import type { Names } from "../../core/names";
import { readFields } from "../../core/names";
import { recordKey } from "../../core/records";
import type { Zone } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import type { RecordView } from "../../proto/reading_pb";
import { words } from "../../words/words";

export interface Line {
  key: string;
  record: RecordRef;
  title: string;
  tells: string;
  marks: string[];
}

// How a record stands, in words; none for one that is simply in account.
export function marksOf(view: RecordView): string[] {
  const marks: string[] = [];
  if (view.struck) marks.push(words.desk.marks.struck);
  if (view.foldedInto) marks.push(words.desk.marks.folded);
  if (view.disagreements.length > 0) marks.push(words.desk.marks.disagreement);
  const fields = readFields(view.kind, view.fields);
  if (isApproved(view.kind) && fields?.approvedBy === undefined) marks.push(words.desk.marks.notApproved);
  if (view.unconfirmed.length > 0) marks.push(words.desk.marks.unconfirmed);
  if (fields?.unverified === true) marks.push(words.desk.marks.unverified);
  return marks;
}

export async function lineOf(view: RecordView, names: Names, zone: Zone): Promise<Line | null> {
  if (!view.record || !kindName(view.kind)) return null;
  const kind = view.kind as Kind;
  const told = new Map(await recordWords(kind, view.fields, { names, zone }));
  const tells = listedFields(kind).flatMap((field) => {
    const text = field.name === "in_area" ? view.areaName || undefined : told.get(fieldLabel(field));
    return text === undefined ? [] : [`${fieldLabel(field)}: ${text.replaceAll("\n", "; ")}`];
  });
  return {
    key: recordKey(view.record),
    record: view.record,
    title: await names.ofView(view),
    tells: tells.join(" · "),
    marks: marksOf(view),
  };
}
