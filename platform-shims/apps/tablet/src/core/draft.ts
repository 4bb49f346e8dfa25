// A record while somebody types it: each field as text, or as what was chosen. From a message and back.
import { failureText } from "./messages";
import { create, type DescField, type DescMessage, isFieldSet, type Message } from "@bufbuild/protobuf";
import type { RecordRef } from "../proto/change_pb";
import { words } from "../words/words";
import { fieldsOf, formOf, isWide, type NumberOf, unitIn } from "./fields";
import { clock, clockOf, dayOf, dayText, type Zone } from "./time";
import { readQuantity, type Unit, units, writeQuantity } from "./units";

// A field's input: its text (a choice by its number, a flag as "yes" or "no"); a record; rows; or several of
// these.
export type Typed = string | RecordRef | Draft | Typed[];
// The keys are the names of the fields. A field that is not there is not recorded.
export interface Draft {
  [fieldName: string]: Typed | undefined;
}

export const isRecord = (typed: Typed | undefined): typed is RecordRef =>
  typeof typed === "object" && "seq" in typed && typeof typed.seq === "number";

export function isEmpty(typed: Typed | undefined): boolean {
  if (typed === undefined) return true;
  if (typeof typed === "string") return typed.trim() === "";
  if (Array.isArray(typed)) return typed.every(isEmpty);
  return !isRecord(typed) && Object.values(typed).every(isEmpty);
}

// Whether two are the same entry; refs hold bigints, which JSON has none of.
export function isSame(a: Typed | undefined, b: Typed | undefined): boolean {
  const text = (typed: Typed | undefined) =>
    isEmpty(typed)
      ? ""
      : JSON.stringify(typed, (_, value: unknown) =>
          typeof value === "bigint" ? value.toString() : isEmpty(value as Typed) ? undefined : value,
        );
  return text(a) === text(b);
}

// ---- From a message -------------------------------------------------------------------------------------

type Values = Message & Record<string, unknown>;

export function numberIn(message: Message): NumberOf {
  return (fieldName) => {
    const field = Object.entries(message as Values).find(
      ([name]) => name === fieldName.replace(/_(\w)/g, (_, letter: string) => letter.toUpperCase()),
    );
    return typeof field?.[1] === "number" ? field[1] : 0;
  };
}

function draftOfValue(field: DescField, value: unknown, numberOf: NumberOf, zone: Zone): Typed {
  switch (formOf(field)) {
    case "record":
      return { log: (value as RecordRef).log, seq: (value as RecordRef).seq } as RecordRef;
    case "rows":
      return field.message ? draftOf(field.message, value as Message, zone) : "";
    case "flag":
      return value === true ? "yes" : "no";
    case "day":
      return dayText(Number(value));
    case "clock":
      return clock(Number(value));
    case "instant":
      return zone.text(Number(value));
    case "number": {
      return writeQuantity(unitIn(field, numberOf) ?? units.plain, BigInt(value as number | bigint));
    }
    default:
      return String(value);
  }
}

export function draftOf(desc: DescMessage, message: Message, zone: Zone): Draft {
  const draft: Draft = {};
  const numberOf = numberIn(message);
  for (const field of fieldsOf(desc)) {
    if (!isFieldSet(message, field)) continue;
    const value = (message as Values)[field.localName];
    draft[field.name] = Array.isArray(value)
      ? value.map((one) => draftOfValue(field, one, numberOf, zone))
      : draftOfValue(field, value, numberOf, zone);
  }
  return draft;
}

// ---- To a message ---------------------------------------------------------------------------------------

export function numberInDraft(draft: Draft): NumberOf {
  return (fieldName) => {
    const typed = draft[fieldName];
    return typeof typed === "string" && /^\d+$/.test(typed) ? Number(typed) : 0;
  };
}

function dayTyped(text: string): number {
  const day = dayOf(text.trim());
  // The calendar wraps the 31st of February over.
  if (day === null || dayText(day) !== text.trim()) throw new Error(words.typing.notDay(text));
  return day;
}

export function instantTyped(text: string, zone: Zone): bigint {
  const match = /^(\d{4}-\d{2}-\d{2})[T ](\d{1,2}:\d{2})/.exec(text.trim());
  const minute = clockOf(match?.[2] ?? "");
  if (!match || minute === null) throw new Error(words.typing.notTime(text));
  const at = zone.instant(dayTyped(match[1] ?? ""), minute);
  if (at === null) throw new Error(words.typing.skipped(text));
  return BigInt(at);
}

function quantityTyped(unit: Unit | null, text: string): bigint {
  if (!unit) throw new Error(words.typing.needs(words.fields.quantity));
  return readQuantity(unit, text);
}

function rowOf(desc: DescMessage, draft: Draft, zone: Zone): Message {
  const { message, problems } = messageOf(desc, draft, zone);
  for (const problem of problems.values()) throw new Error(problem);
  return message;
}

function valueOf(field: DescField, typed: Typed, numberOf: NumberOf, zone: Zone): unknown {
  if (typeof typed !== "string") {
    if (isRecord(typed)) return typed;
    return field.message && !Array.isArray(typed) ? rowOf(field.message, typed, zone) : typed;
  }
  const asWhole = (value: bigint) => {
    if (isWide(field)) return value;
    if (value > 0x7fffffffn || value < -0x80000000n) throw new Error(words.typing.outOfRange(typed));
    return Number(value);
  };
  switch (formOf(field)) {
    case "text":
      return typed;
    case "flag":
      return typed === "yes";
    case "day":
      return dayTyped(typed);
    case "clock": {
      const minute = clockOf(typed);
      if (minute === null) throw new Error(words.typing.notClock(typed));
      return minute;
    }
    case "instant":
      return instantTyped(typed, zone);
    case "number":
      return asWhole(quantityTyped(unitIn(field, numberOf), typed));
    default:
      return Number(typed);
  }
}

export interface Made {
  message: Message;
  problems: Map<string, string>; // The problem in words, under the name of the field.
}

// Only fields of `names`, where given: an edit says what it changes and nothing else.
export function messageOf(desc: DescMessage, draft: Draft, zone: Zone, names?: Set<string>): Made {
  const problems = new Map<string, string>();
  const init: Record<string, unknown> = {};
  const numberOf = numberInDraft(draft);
  for (const field of fieldsOf(desc)) {
    const typed = draft[field.name];
    if (typed === undefined || isEmpty(typed) || (names && !names.has(field.name))) continue;
    try {
      init[field.localName] = Array.isArray(typed)
        ? typed.filter((one) => !isEmpty(one)).map((one) => valueOf(field, one, numberOf, zone))
        : valueOf(field, typed, numberOf, zone);
      if (field.name === "happened_ms") completeTime(desc, init, draft, zone);
    } catch (error) {
      problems.set(field.name, failureText(error));
    }
  }
  return { message: create(desc, init as Record<string, never>), problems };
}

// The husbandry day and the offset follow from the time. A day that was typed stays, unless only the time is edited.
function completeTime(desc: DescMessage, init: Record<string, unknown>, draft: Draft, zone: Zone) {
  const at = Number(init.happenedMs);
  if (desc.field.utcOffsetMin) init.utcOffsetMin = zone.offsetMin(at);
  if (desc.field.day && init.day === undefined && draft.day !== dayText(zone.day(at)))
    init.day = zone.day(at);
}
