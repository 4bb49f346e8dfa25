// What the app knows of the fields of records beyond their types: which people fill in, what a reference points to, how a
// number is written, which numbers stand for a word.
import { type DescEnum, type DescField, type DescMessage, ScalarType } from "@bufbuild/protobuf";
import { ParameterSchema, QuantitySchema, Parameter, Quantity } from "../proto/plans_pb";
import { type Kind, kind, schemaOf } from "./kinds";
import { type Unit, unitOf, units } from "./units";

export const firstBuiltIn = 1000;
export const builtIn = { standing: 1000, sameAs: 1001, accepted: 1002, confirmation: 1003 } as const;

// What the hub alone writes: since when somebody has a PIN, or a code for one.
function isOfHub(field: DescField): boolean {
  return field.parent.name === "Person" && (field.name === "pin_set_ms" || field.name === "pin_code_ms");
}
// Filled in by the core when it signs.
function isSigned(field: DescField): boolean {
  return field.parent.name === "DayClose" && field.number >= 6 && field.number <= 9;
}

// Read where release 0.1 wrote it; a record is named in its place.
function isReplaced(field: DescField): boolean {
  return field.name === "area" && field.parent.fields.some(({ name }) => name === "in_area");
}

// Where the order of the message, which grew over time, is not that in which people think.
const order: Record<string, string[] | undefined> = {
  TreatmentOrder: [
    "animal",
    "preparation",
    "route",
    "dose_ug",
    "dose_ul",
    "dose_units",
    "dose_ug_per_kg",
    "dose_ug_per_kg_food",
    "dose_units_per_kg_food",
    "substance",
    "strength_ug_per_ml",
    "strength_ug_per_unit",
    "step_ul",
    "unit_parts",
    "vehicle",
    "slots_min",
    "every_min",
    "interval_min",
    "daily_max",
    "first_day",
    "last_day",
  ],
  Measure: ["animal", "quantity", "value", "day", "happened_ms"],
  Pool: ["name", "in_area", "volume_l"],
  HygieneCheck: ["in_area", "day", "happened_ms"],
  WaterReading: ["pool", "parameter", "value", "day", "happened_ms"],
};

// Those that people fill in, in the order in which they do.
export function fieldsOf(message: DescMessage): DescField[] {
  const place = (field: DescField) => {
    const at = order[message.name]?.indexOf(field.name) ?? -1;
    return at < 0 ? 1000 : at;
  };
  const found = message.fields.filter(
    (field) =>
      field.number < firstBuiltIn &&
      !isOfHub(field) &&
      !isSigned(field) &&
      !isReplaced(field) &&
      field.name !== "utc_offset_min" && // It follows from the time.
      field.scalar !== ScalarType.BYTES,
  );
  return found.sort((a, b) => place(a) - place(b));
}

const referred: Record<string, Kind[]> = {
  animal: [kind.animal],
  animals: [kind.animal],
  pool: [kind.pool],
  from_pool: [kind.pool],
  to_pool: [kind.pool],
  in_area: [kind.area],
  food: [kind.food],
  substitutes: [kind.food],
  lot: [kind.lot],
  order: [kind.treatmentOrder],
  enricher: [kind.enricher],
  enrichers: [kind.enricher],
  cue: [kind.cue],
  approved_by: [kind.person],
  ordered_by: [kind.person],
  witness: [kind.person],
  prepared_by: [kind.person],
  subject: [kind.animal, kind.pool],
  meal: [kind.meal],
  session: [kind.trainingSession],
  thaw_batch: [kind.thawBatch],
  continues: [kind.device],
};
// Of a reference: the kinds it may point to.
export function referredKinds(field: DescField): Kind[] {
  return referred[field.name] ?? [];
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

export function formOf(field: DescField): Form {
  if (field.message) return field.message.name === "RecordRef" ? "record" : "rows";
  if (field.enum || isLimited(field) || field.name === "unit_parts") return "choice";
  if (field.scalar === ScalarType.STRING) return "text";
  if (field.scalar === ScalarType.BOOL) return "flag";
  if (field.name === "weekdays") return "weekdays";
  if (/(^|_)slots?_min$/.test(field.name)) return "clock";
  if (field.name.endsWith("_ms")) return "instant";
  if (field.name === "day" || field.name.endsWith("_day")) return "day";
  return "number";
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

// Of a site limit: numbers that stand for a kind, a field of it, a quantity or parameter.
function isLimited(field: DescField): boolean {
  return field.parent.name === "SiteLimit" && field.name.startsWith("of_");
}

// The number a field of the record has, 0 where it has none: what some other field's unit and choices turn on.
export type NumberOf = (fieldName: string) => number;

// Whether the name alone does not tell the unit.
function isOpen(field: DescField): boolean {
  const { name } = field.parent;
  if (name === "Measure" || name === "WaterReading") return field.name === "value";
  return (name === "WaterLimit" || name === "SiteLimit") && (field.name === "low" || field.name === "high");
}

const ofQuantity: Partial<Record<Quantity, Unit>> = {
  [Quantity.MASS]: units.mass,
  [Quantity.LENGTH_STRAIGHT]: units.length,
  [Quantity.LENGTH_CURVED]: units.length,
  [Quantity.GIRTH]: units.length,
  [Quantity.CONDITION_SCORE]: units.score,
  [Quantity.BODY_TEMPERATURE]: units.temperature,
};
const ofParameter: Partial<Record<Parameter, Unit>> = {
  [Parameter.TEMPERATURE]: units.temperature,
  [Parameter.SALINITY]: units.salinity,
  [Parameter.CONDUCTIVITY]: units.conductivity,
  [Parameter.PH]: units.ph,
  [Parameter.OXYGEN]: units.massPerL,
  [Parameter.OXYGEN_SATURATION]: units.ppm,
  [Parameter.AMMONIA]: units.nitrogenPerL,
  [Parameter.NITRITE]: units.nitrogenPerL,
  [Parameter.NITRATE]: units.nitrogenPerL,
  [Parameter.CHLORINE_FREE]: units.chlorinePerL,
  [Parameter.CHLORINE_TOTAL]: units.chlorinePerL,
  [Parameter.REDOX]: units.redox,
  [Parameter.COLIFORM]: units.probableNumber,
  [Parameter.ALKALINITY]: units.carbonatePerL,
  [Parameter.TURBIDITY]: units.turbidity,
  [Parameter.AIR_PRESSURE]: units.pressure,
};
export function unitOfQuantity(quantity: Quantity): Unit {
  return ofQuantity[quantity] ?? units.plain;
}
export function unitOfParameter(parameter: Parameter): Unit {
  return ofParameter[parameter] ?? units.plain;
}

function unitOfValueOf(message: DescMessage, selected: number): Unit {
  if (message.name === "Measure") return unitOfQuantity(selected);
  return unitOfParameter(selected);
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
  if (!isOpen(field)) return unitOf(field.name);
  if (field.parent.name !== "SiteLimit") {
    const selected = numberOf(field.parent.name === "Measure" ? "quantity" : "parameter");
    return selected === 0 ? null : unitOfValueOf(field.parent, selected);
  }
  const limited = limitedField(numberOf);
  if (!limited) return null;
  if (isOpen(limited)) {
    const selected = numberOf("of_detail");
    return selected === 0 ? null : unitOfValueOf(limited.parent, selected);
  }
  // A limit of a time or a day is no time itself: the bare number.
  return formOf(limited) === "number" ? unitOf(limited.name) : units.plain;
}

// What a choice of numbers is among.
export type Choices =
  | { of: "enum"; desc: DescEnum }
  | { of: "kinds" }
  | { of: "fields"; fields: DescField[] }
  | { of: "parts" }
  | { of: "nothing" };

export function choicesOf(field: DescField, numberOf: NumberOf): Choices {
  if (field.enum) return { of: "enum", desc: field.enum };
  if (field.name === "unit_parts") return { of: "parts" };
  if (field.name === "of_kind") return { of: "kinds" };
  const limited = limitedMessage(numberOf);
  if (field.name === "of_field" && limited)
    return {
      of: "fields",
      fields: fieldsOf(limited).filter((one) => ["number", "day", "clock", "instant"].includes(formOf(one))),
    };
  if (field.name === "of_detail" && limited?.name === "Measure") return { of: "enum", desc: QuantitySchema };
  if (field.name === "of_detail" && limited?.name === "WaterReading")
    return { of: "enum", desc: ParameterSchema };
  return { of: "nothing" };
}
