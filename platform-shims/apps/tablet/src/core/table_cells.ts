// Cells of a table of records, as the command line's tables have them: a column a field, by its name in proto/; "animal_name"
// beside or instead of "animal", and "area" beside or instead of "in_area"; numbers with their unit.
import type { DescEnum, DescField, DescMessage } from "@bufbuild/protobuf";
import { words } from "../words/words";
import type { Draft, Typed } from "./draft";
import { choicesOf, fieldsOf, formOf, type NumberOf, referredKinds } from "./fields";
import { enumWord, valueName } from "./field_words";
import { kind } from "./kinds";
import type { Names } from "./names";

export interface Column {
  title: string;
  field: DescField | null; // Null for "id", which is for people.
  isName: boolean;
}

export function columnsOf(desc: DescMessage): Column[] {
  const columns: Column[] = [{ title: "id", field: null, isName: false }];
  for (const field of fieldsOf(desc)) {
    columns.push({ title: field.name, field, isName: false });
    const nameTitle = field.name === "in_area" ? "area" : `${field.name}_name`;
    if (formOf(field) === "record") columns.push({ title: nameTitle, field, isName: true });
  }
  return columns;
}

// Names of references come after their ids; what a unit turns on comes before the value.
export function readingOrder(column: Column): number {
  if (column.isName) return 4;
  const order = ["of_kind", "of_field", "of_detail"].indexOf(column.field?.name ?? "");
  return order < 0 ? 3 : order;
}

// A program that opens tables may have put an apostrophe before what looks like a formula.
export function cellText(cell: string): string {
  return /^'+[=+\-@\t\r]/.test(cell) ? cell.slice(1) : cell;
}

const lower = (text: string) => text.trim().toLowerCase().replace(/[\s-]/g, "_");
const snake = (name: string) => name.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);

function enumTyped(desc: DescEnum, text: string): string {
  const found = desc.values.find((value) => {
    const name = valueName(desc, value.name);
    return (
      value.number !== 0 &&
      [name.toLowerCase(), lower(enumWord(desc.name, name, value.number))].includes(lower(text))
    );
  });
  if (found) return String(found.number);
  const all = desc.values.filter((value) => value.number !== 0);
  throw new Error(
    words.typing.notChoice(text, all.map((value) => valueName(desc, value.name).toLowerCase()).join(", ")),
  );
}

function choiceTyped(field: DescField, text: string, numberOf: NumberOf): string {
  if (/^\d+$/.test(text)) return text;
  const choices = choicesOf(field, numberOf);
  if (choices.of === "enum") return enumTyped(choices.desc, text);
  if (choices.of === "parts") return text.trim().replace(/^1\//, "");
  const options =
    choices.of === "kinds"
      ? Object.entries(kind).map(([name, number]) => ({ name: snake(name), number }))
      : choices.of === "fields"
        ? choices.fields
        : [];
  const found = options.find((one) => one.name === lower(text));
  if (!found) throw new Error(words.typing.notChoice(text, options.map((one) => one.name).join(", ")));
  return String(found.number);
}

const dayNames = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
function weekdaysTyped(text: string): string {
  if (["every", "daily", "every_day"].includes(lower(text))) return "";
  let bits = 0;
  for (const name of text.split(",")) {
    const day = dayNames.indexOf(lower(name).slice(0, 3));
    if (day < 0) throw new Error(words.typing.notChoice(text, dayNames.join(", ")));
    bits |= 1 << day;
  }
  return String(bits);
}

function flagTyped(text: string): string {
  if (["yes", "true", words.typing.yes].includes(lower(text))) return "yes";
  if (["no", "false", words.typing.no].includes(lower(text))) return "no";
  throw new Error(words.typing.notYes(text));
}

// `food=herring slot=08:30 preparation="whole, thawed"`: the name may lack the unit at its end.
function assignmentsIn(line: string): [string, string][] {
  const found: [string, string][] = [];
  for (const match of line.matchAll(/(\w+)=(?:"((?:[^"\\]|\\.)*)"|([^\s"]*(?:\s+(?!\w+=)[^\s"]+)*))/g))
    found.push([match[1] ?? "", match[2]?.replace(/\\(.)/g, "$1") ?? match[3] ?? ""]);
  return found;
}
const withoutUnit = (name: string) =>
  name.replace(/_(units_per_kg_food|ug_per_kg_food|ug_per_kg|min|mg|ug|ul|um|ppm|days|hours|l|s)$/, "");

async function rowTyped(desc: DescMessage, line: string, names: Names): Promise<Draft> {
  const row: Draft = {};
  for (const [name, text] of assignmentsIn(line)) {
    const reference = name.endsWith("_name")
      ? desc.fields.find((field) => field.name === name.slice(0, -"_name".length))
      : undefined;
    const field = reference ?? desc.fields.find((one) => one.name === name || withoutUnit(one.name) === name);
    if (!field) throw new Error(words.typing.notChoice(name, desc.fields.map((one) => one.name).join(", ")));
    // A name beside the id is for people.
    if (reference && row[field.name] !== undefined) continue;
    row[field.name] = await oneTyped(field, text, names, () => 0);
  }
  return row;
}

async function oneTyped(field: DescField, text: string, names: Names, numberOf: NumberOf): Promise<Typed> {
  switch (formOf(field)) {
    case "record":
      return names.find(referredKinds(field), text);
    case "rows":
      return field.message ? rowTyped(field.message, text, names) : "";
    case "choice":
      return choiceTyped(field, text, numberOf);
    case "flag":
      return flagTyped(text);
    case "weekdays":
      return weekdaysTyped(text);
    default:
      return text.trim();
  }
}

// Reads a cell for the draft of its row. Throws the fault, in words.
export async function cellTyped(
  column: Column,
  text: string,
  draft: Draft,
  names: Names,
  numberOf: NumberOf,
): Promise<Typed | undefined> {
  const { field } = column;
  if (!field) return undefined;
  // The id before it has told already.
  if (column.isName && draft[field.name] !== undefined) return draft[field.name];
  if (field.fieldKind !== "list") return oneTyped(field, text, names, numberOf);
  const parted = formOf(field) === "rows" ? text.split(/\r?\n/) : text.split(column.isName ? ";" : ",");
  const each = parted.filter((one) => one.trim() !== "");
  return Promise.all(each.map((one) => oneTyped(field, one, names, numberOf)));
}
