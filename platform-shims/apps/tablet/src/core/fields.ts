// The fields of records as the app uses them: which people fill in, what a reference points to, how a number is written, which
// numbers stand for a word. What each field is stands beside it in proto/*.proto; nothing is said here of any field by its name.
import { type DescEnum, type DescField, type DescMessage, ScalarType } from "@bufbuild/protobuf";
import type { Parameter, Quantity } from "../proto/plans_pb";
import {
  calledBy,
  choiceUnits,
  columns,
  type FieldSchema,
  fieldSchemas,
  readingOrder,
  type UnitName,
} from "../proto/schema";
import { type Kind, kindsNamed, schemaOf } from "./kinds";
import { type Unit, unitNamed, units } from "./units";

export const firstBuiltIn = 1000;
export const builtIn = { standing: 1000, sameAs: 1001, accepted: 1002, confirmation: 1003 } as const;

function schemaOfField(field: DescField): FieldSchema {
  return fieldSchemas[field.parent.name]?.[field.name] ?? {};
}

// The fields that people fill in, in the order in which they do.
export function fieldsOf(message: DescMessage): DescField[] {
  const place = (field: DescField) => {
    const at = readingOrder[message.name]?.indexOf(field.name) ?? -1;
    return at < 0 ? 1000 : at;
  };
  const found = message.fields.filter((field) => {
    const { writer, instead } = schemaOfField(field);
    return (
      field.number < firstBuiltIn &&
      writer === undefined &&
      instead === undefined &&
      field.scalar !== ScalarType.BYTES
    );
  });
  return found.sort((a, b) => place(a) - place(b));
}

// The fields a line of a list tells, beside what the record is called and belongs to.
export function listedFields(kind: Kind): DescField[] {
  const { fields } = schemaOf[kind];
  const isTold = (field: DescField) => field.name !== calledBy[kind] && schemaOfField(field).subject !== true;
  return columns[kind]
    .flatMap((column) => column.fields)
    .flatMap((name) =>
      fields.filter(
        (field) => field.name === name || (name === "when" && schemaOfField(field).happened === true),
      ),
    )
    .filter(isTold);
}

// Whether somebody is to approve records of this kind.
export function isApproved(kind: number): boolean {
  const message = (schemaOf as Record<number, DescMessage | undefined>)[kind];
  return message?.fields.some((field) => schemaOfField(field).approval === true) ?? false;
}

// The kinds that a reference may point to.
export function referredKinds(field: DescField): Kind[] {
  return kindsNamed(schemaOfField(field).to ?? "");
}

// How one value of a field is typed and shown.
export type Form =
  | "text"
  | "number"
  | "day"
  | "clock"
  | "instant"
  | "weekdays"
  | "choice"
  | "flag"
  | "record"
  | "rows";

const formOfUnit: Partial<Record<UnitName, Form>> = {
  weekdays: "weekdays",
  clockMin: "clock",
  instantMs: "instant",
  dayNumber: "day",
  tabletParts: "choice",
};

export function formOf(field: DescField): Form {
  if (field.message) return field.message.name === "RecordRef" ? "record" : "rows";
  const { unit, limited } = schemaOfField(field);
  if (field.enum || limited !== undefined) return "choice";
  if (field.scalar === ScalarType.STRING) return "text";
  if (field.scalar === ScalarType.BOOL) return "flag";
  return formOfUnit[unit ?? "plain"] ?? "number";
}

export function isWide(field: DescField): boolean {
  return [
    ScalarType.UINT64,
    ScalarType.INT64,
    ScalarType.SINT64,
    ScalarType.FIXED64,
    ScalarType.SFIXED64,
  ].includes(field.scalar ?? ScalarType.STRING);
}

// The number a field of the record has, 0 where it has none: what some other field's unit and choices turn on.
export type NumberOf = (fieldName: string) => number;

export function unitOfQuantity(quantity: Quantity): Unit {
  return unitNamed(choiceUnits.Quantity?.[quantity] ?? "plain");
}
export function unitOfParameter(parameter: Parameter): Unit {
  return unitNamed(choiceUnits.Parameter?.[parameter] ?? "plain");
}
// Finds the unit by the choice that the field called `by` has made.
function unitByChoice(message: DescMessage, by: string, chosen: number): Unit | null {
  const choices = message.fields.find((field) => field.name === by)?.enum;
  if (!choices || chosen === 0) return null;
  return unitNamed(choiceUnits[choices.name]?.[chosen] ?? "plain");
}

// The message of the kind a site limit speaks of, and its field.
function limitedMessage(numberOf: NumberOf): DescMessage | null {
  return (schemaOf as Record<number, DescMessage | undefined>)[numberOf("of_kind")] ?? null;
}
function limitedField(numberOf: NumberOf): DescField | null {
  return limitedMessage(numberOf)?.fields.find((field) => field.number === numberOf("of_field")) ?? null;
}

// Null while the field it turns on has no value: a number would say nothing then.
export function unitIn(field: DescField, numberOf: NumberOf): Unit | null {
  const { unit, unitBy } = schemaOfField(field);
  if (unitBy === undefined) return unitNamed(unit ?? "plain");
  if (unitBy !== "limited") return unitByChoice(field.parent, unitBy, numberOf(unitBy));
  const limited = limitedField(numberOf);
  if (!limited) return null;
  const of = schemaOfField(limited);
  if (of.unitBy !== undefined) return unitByChoice(limited.parent, of.unitBy, numberOf("of_detail"));
  // A limit of a time or a day is no time itself: the bare number.
  return formOf(limited) === "number" ? unitNamed(of.unit ?? "plain") : units.plain;
}

// A choice of numbers is among these.
export type Choices =
  | { of: "enum"; desc: DescEnum }
  | { of: "kinds" }
  | { of: "fields"; fields: DescField[] }
  | { of: "parts" }
  | { of: "nothing" };

export function choicesOf(field: DescField, numberOf: NumberOf): Choices {
  if (field.enum) return { of: "enum", desc: field.enum };
  const { unit, limited: stands } = schemaOfField(field);
  if (unit === "tabletParts") return { of: "parts" };
  if (stands === "kind") return { of: "kinds" };
  const limited = limitedMessage(numberOf);
  if (stands === "field" && limited)
    return {
      of: "fields",
      fields: fieldsOf(limited).filter((one) => ["number", "day", "clock", "instant"].includes(formOf(one))),
    };
  const by = limited?.fields.map((one) => schemaOfField(one).unitBy).find((one) => one !== undefined);
  const choices = stands === "choice" && limited?.fields.find((one) => one.name === by)?.enum;
  return choices ? { of: "enum", desc: choices } : { of: "nothing" };
}
