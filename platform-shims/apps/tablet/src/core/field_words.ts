// Fields of records in words: their names, and their values as people say them.
import { toHex } from "./bytes";
import {
  type DescEnum,
  type DescField,
  type DescMessage,
  fromBinary,
  isFieldSet,
  type Message,
} from "@bufbuild/protobuf";
import type { Accepted, Confirmation } from "../proto/built_in_pb";
import type { RecordRef } from "../proto/change_pb";
import { words } from "../words/words";
import { numberIn } from "./draft";
import { builtIn, choicesOf, firstBuiltIn, formOf, type NumberOf, unitIn } from "./fields";
import { schemaOf } from "./kinds";
import { kindWord, type Names } from "./names";
import { clock, dayText, type Zone } from "./time";
import { units, writeQuantity } from "./units";

const labels: Record<string, string | undefined> = words.fields;
const enumWords: Record<string, string | undefined> = words.enumWords;

export function fieldLabel(field: DescField): string {
  return (
    labels[`${field.parent.name}.${field.name}`] ?? labels[field.name] ?? field.name.replaceAll("_", " ")
  );
}
export function fieldOf(kindNumber: number, fieldNumber: number): DescField | null {
  const schema = (schemaOf as Record<number, DescMessage | undefined>)[kindNumber];
  return schema?.fields.find((field) => field.number === fieldNumber) ?? null;
}
// A field of a newer release has nothing but its number.
export function labelOf(kindNumber: number, fieldNumber: number): string {
  const field = fieldOf(kindNumber, fieldNumber);
  return field ? fieldLabel(field) : `${fieldNumber}`;
}

export function enumWord(enumName: string, valueName: string | undefined, number: number): string {
  return enumWords[`${enumName}.${valueName ?? ""}`] ?? words.typing.newerValue(number);
}
// The value's name without that of its enumeration: PARAMETER_PH is PH.
export function valueName(desc: DescEnum, full: string): string {
  return full.slice((desc.sharedPrefix ?? "").length).toUpperCase();
}

const parts: Record<number, string | undefined> = {
  1: words.typing.whole,
  2: words.typing.halves,
  4: words.typing.quarters,
};

export function choiceWord(field: DescField, number: number, numberOf: NumberOf): string {
  const choices = choicesOf(field, numberOf);
  switch (choices.of) {
    case "enum": {
      const value = choices.desc.values.find((one) => one.number === number);
      return enumWord(choices.desc.name, value && valueName(choices.desc, value.name), number);
    }
    case "kinds":
      return kindWord(number);
    case "fields": {
      const found = choices.fields.find((one) => one.number === number);
      return found ? fieldLabel(found) : String(number);
    }
    case "parts":
      return parts[number] ?? `1/${number}`;
    default:
      return String(number);
  }
}

export function weekdaysText(bits: number): string {
  const days = words.typing.weekdays.filter((_, day) => (bits >> day) & 1);
  return days.length === 0 ? words.typing.everyDay : days.join(", ");
}

interface Speaking {
  names: Names;
  zone: Zone;
}

async function valueText(
  field: DescField,
  value: unknown,
  numberOf: NumberOf,
  speaking: Speaking,
): Promise<string> {
  if (value instanceof Uint8Array) return toHex(value);
  switch (formOf(field)) {
    case "record":
      return speaking.names.of(value as RecordRef);
    case "rows":
      return field.message ? rowText(field.message, value as Message, speaking) : "";
    case "choice":
      return choiceWord(field, Number(value), numberOf);
    case "flag":
      return value === true ? words.typing.yes : words.typing.no;
    case "weekdays":
      return weekdaysText(Number(value));
    case "day":
      return dayText(Number(value));
    case "clock":
      return clock(Number(value));
    case "instant":
      return speaking.zone.text(Number(value));
    case "number":
      return writeQuantity(unitIn(field, numberOf) ?? units.plain, BigInt(value as number | bigint));
    default:
      return String(value);
  }
}

// The values of these fields are understood without their names.
const unnamed = ["slot_min", "weekdays", "mass_mg", "code"];
// A row of its own, as a line of a plan: "herring, 08:30, 1.2 kg, Tolerance 50 g".
async function rowText(desc: DescMessage, message: Message, speaking: Speaking): Promise<string> {
  const out: string[] = [];
  for (const field of desc.fields) {
    if (!isFieldSet(message, field)) continue;
    const text = await fieldText(field, message, numberIn(message), speaking);
    const isPlain = formOf(field) === "record" || unnamed.includes(field.name);
    out.push(isPlain ? text : `${fieldLabel(field)} ${text}`);
  }
  return out.join(", ");
}

function acceptedText(accepted: Accepted): string {
  const rules: Record<number, string | undefined> = words.desk.rules;
  return accepted.rules.map((rule) => rules[rule] ?? words.typing.newerValue(rule)).join(", ");
}
function confirmationText(confirmation: Confirmation): string {
  const asked = confirmation.questions.map((question) => words.desk.questions[question.rule] ?? "");
  return [...new Set(asked), confirmation.because].filter((text) => text !== "").join("; ");
}

export async function fieldText(
  field: DescField,
  message: Message,
  numberOf: NumberOf,
  speaking: Speaking,
): Promise<string> {
  const value = (message as Message & Record<string, unknown>)[field.localName];
  if (field.number === builtIn.accepted) return acceptedText(value as Accepted);
  if (field.number === builtIn.confirmation) return confirmationText(value as Confirmation);
  if (!Array.isArray(value)) return valueText(field, value, numberOf, speaking);
  const each = await Promise.all(value.map((one) => valueText(field, one, numberOf, speaking)));
  return each.join(formOf(field) === "rows" ? "\n" : ", ");
}

// All fields that a record, or a part of one, has: name and value in words. A value's unit may turn on a field that only
// the `whole` record has.
export async function recordWords(
  kindNumber: number,
  fields: Uint8Array,
  speaking: Speaking,
  options: { whole?: Uint8Array; withBuiltIn?: boolean; withOffset?: boolean } = {},
): Promise<[string, string][]> {
  const schema = (schemaOf as Record<number, DescMessage | undefined>)[kindNumber];
  if (!schema) return [[kindWord(kindNumber), words.typing.newerBytes(fields.length)]];
  const message = fromBinary(schema, fields);
  const ofPart = numberIn(message);
  const ofWhole = options.whole ? numberIn(fromBinary(schema, options.whole)) : () => 0;
  const numberOf: NumberOf = (name) => ofPart(name) || ofWhole(name);
  const shown = schema.fields.filter(
    (field) =>
      isFieldSet(message, field) &&
      (options.withBuiltIn === true || field.number < firstBuiltIn) &&
      // It stands in the time, which is shown as the facility's.
      (options.withOffset === true || field.name !== "utc_offset_min"),
  );
  return Promise.all(
    shown.map(
      async (field): Promise<[string, string]> => [
        fieldLabel(field),
        await fieldText(field, message, numberOf, speaking),
      ],
    ),
  );
}

// One field of a partial record, as a trail's entry has it.
export async function valueWords(
  kindNumber: number,
  fieldNumber: number,
  part: Uint8Array,
  speaking: Speaking,
  whole?: Uint8Array,
): Promise<string> {
  if (part.length === 0)
    return fieldNumber === builtIn.standing ? words.enumWords["Standing.IN_ACCOUNT"] : words.typing.absent;
  const found = await recordWords(kindNumber, part, speaking, {
    ...(whole ? { whole } : {}),
    withBuiltIn: true,
    withOffset: true,
  });
  if (found.length > 0) return found.map(([, text]) => text).join(", ");
  return fieldOf(kindNumber, fieldNumber) ? words.typing.absent : words.typing.newerBytes(part.length);
}
