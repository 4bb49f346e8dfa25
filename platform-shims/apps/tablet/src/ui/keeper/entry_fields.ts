// The fields of an entry that are put right at the pool, and how each is typed. Whatever else an entry has is left as it is.
import { create, type DescMessage, type Message, toBinary } from "@bufbuild/protobuf";
import { decimalText, decimalTyped } from "./numbers";
import { kind, schemaOf, type Kind } from "../../core/kinds";
import { Outcome } from "../../proto/events_pb";
import { Parameter, Quantity } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { textOfOutcome } from "./dose_words";
import { unitOfParameter, unitOfQuantity, type Unit } from "./units";

const k = words.keeper.fields;

export interface Field {
  name: string; // The field's name in proto/, in the spelling of TypeScript.
  label: string;
  // A number in the decimals of a unit, a whole number, words, or one of few.
  as: { unit: Unit } | "whole" | "text" | { choices: { value: number | boolean; title: string }[] };
}

const gram: Unit = { text: "g", decimals: 3 };
const amount = (name: string, label: string, unit: Unit = gram): Field => ({
  name,
  label: [label, unit.text].filter(Boolean).join(", "),
  as: { unit },
});
const whole = (name: string, label: string): Field => ({ name, label, as: "whole" });
const text = (name: string, label: string): Field => ({ name, label, as: "text" });
const note = text("note", words.keeper.note);
const yesNo = (name: string, label: string, yes: string, no: string): Field => ({
  name,
  label,
  as: {
    choices: [
      { value: true, title: yes },
      { value: false, title: no },
    ],
  },
});
const outcomes = [Outcome.GIVEN, Outcome.PART, Outcome.REFUSED, Outcome.HELD, Outcome.LOST, Outcome.UNKNOWN];

type Values = Partial<Record<string, unknown>>;

const fieldsOf: Partial<Record<Kind, (values: Values) => Field[]>> = {
  [kind.meal]: () => [note],
  [kind.portion]: (values) => [
    ...(values.grossMg === undefined
      ? [amount("offeredMg", k.offered)]
      : [amount("grossMg", k.gross), amount("tareMg", k.tare)]),
    amount("leftMg", k.left),
    note,
  ],
  [kind.measure]: (values) => [
    amount("value", k.value, unitOfQuantity((values.quantity ?? Quantity.UNSPECIFIED) as Quantity)),
    text("method", words.keeper.measure.method),
    text("instrument", words.keeper.measure.instrument),
    note,
  ],
  [kind.observation]: () => [
    text("code", words.keeper.seen.code),
    whole("score", words.keeper.seen.score),
    text("site", words.keeper.seen.site),
    text("text", words.seenText),
  ],
  [kind.administration]: (values) => [
    {
      name: "outcome",
      label: words.keeper.dose.what,
      as: { choices: outcomes.map((value) => ({ value, title: textOfOutcome(value) })) },
    },
    ...(values.givenUg === undefined ? [] : [amount("givenUg", k.given, { text: "mg", decimals: 3 })]),
    ...(values.givenUl === undefined ? [] : [amount("givenUl", k.given, { text: "mL", decimals: 3 })]),
    ...(values.givenUnits === undefined
      ? []
      : [amount("givenUnits", k.given, { text: words.keeper.dose.unitsWord, decimals: 0 })]),
    note,
  ],
  [kind.thawBatch]: () => [amount("massMg", k.mass), note],
  [kind.inspection]: () => [
    yesNo("safe", k.safe, words.keeper.inspect.safe, words.keeper.inspect.unsafe),
    text("findings", words.keeper.inspect.findings),
  ],
  [kind.enrichmentUse]: () => [
    {
      name: "response",
      label: words.keeper.enrich.responseTitle,
      as: { choices: words.keeper.enrich.responses.map((title, value) => ({ value, title })) },
    },
    whole("minutes", words.keeper.minutesLong),
    note,
  ],
  [kind.trainingSession]: () => [
    whole("trials", k.trials),
    whole("successes", k.successes),
    whole("minutes", words.keeper.minutesLong),
    note,
  ],
  [kind.scan]: () => [note],
  [kind.attachment]: () => [text("name", words.files.called), note],
  [kind.waterReading]: (values) => [
    amount("value", k.value, unitOfParameter((values.parameter ?? Parameter.UNSPECIFIED) as Parameter)),
    text("instrument", words.keeper.water.instrument),
    text("method", words.keeper.water.method),
    note,
  ],
  [kind.move]: () => [whole("heads", words.keeper.move.heads), text("reason", words.keeper.move.reason)],
  [kind.hygieneCheck]: () => [
    text("task", words.keeper.hygiene.task),
    yesNo("passed", words.keeper.hygiene.inOrder, words.keeper.hygiene.yes, words.keeper.hygiene.no),
    note,
  ],
};

export const valuesOf = (fields: Message) => fields as unknown as Values;
export function fieldsToEdit(of: Kind, fields: Message): Field[] {
  return fieldsOf[of]?.(valuesOf(fields)) ?? [];
}

export function numberOf(of: Kind, field: Field): number | undefined {
  return schemaOf[of].fields.find(({ localName }) => localName === field.name)?.number;
}

// A value as it is typed; "" for one that was not recorded.
export function asTyped(field: Field, value: unknown): string {
  if (value === undefined || value === null) return "";
  if (typeof field.as === "object" && "unit" in field.as)
    return decimalText(value as bigint, field.as.unit.decimals);
  return String(value as string | number | boolean);
}

function read(field: Field, typed: string): unknown {
  const { as } = field;
  if (as === "text") return typed;
  if (as === "whole") {
    if (!/^\d{1,7}$/.test(typed.trim())) throw new Error(k.notWhole(field.label));
    return Number(typed);
  }
  if ("choices" in as) return as.choices.find(({ value }) => String(value) === typed)?.value;
  const value = decimalTyped(typed, as.unit.decimals);
  if (value === null) throw new Error(k.notNumber(field.label));
  return value;
}

export interface Edited {
  fields: Uint8Array;
  clears: number[];
}
// The edit that was typed: new values, and fields that were made empty. Throws when something cannot be read. Null: nothing
// was changed.
export function editOf(of: Kind, fields: Message, typed: Partial<Record<string, string>>): Edited | null {
  const schema: DescMessage = schemaOf[of];
  const changed: Values = {};
  const clears: number[] = [];
  for (const field of fieldsToEdit(of, fields)) {
    const now = typed[field.name];
    if (now === undefined || now === asTyped(field, valuesOf(fields)[field.name])) continue;
    const number = numberOf(of, field);
    if (number === undefined) continue;
    if (now.trim() === "") clears.push(number);
    else changed[field.name] = read(field, now);
  }
  if (clears.length === 0 && Object.keys(changed).length === 0) return null;
  return { fields: toBinary(schema, create(schema, changed as never)), clears };
}
