// Units at the pool: of each the one spelling that stands in a label. What they are, and their decimals, say core/units.ts and
// core/fields.ts.
import * as inFields from "../../core/fields";
import { units, type Unit as Spelled } from "../../core/units";
import { Parameter, Quantity } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { decimalText } from "./numbers";

export interface Unit {
  text: string;
  decimals: number;
}

export const massUnits: Unit[] = units.massMg.spellings.filter(({ text }) => text === "kg" || text === "g");

function inLabel(unit: Spelled): Unit {
  return (
    unit.spellings.find(({ text }) => text === unit.usual) ?? unit.spellings[0] ?? { text: "", decimals: 0 }
  );
}
export function unitOfQuantity(quantity: Quantity): Unit {
  // Bodies are weighed in kilograms, food in grams.
  return quantity === Quantity.MASS
    ? (massUnits[0] ?? inLabel(units.massMg))
    : inLabel(inFields.unitOfQuantity(quantity));
}
export function unitOfParameter(parameter: Parameter): Unit {
  const unit = inLabel(inFields.unitOfParameter(parameter));
  // Its name is its unit.
  return parameter === Parameter.PH ? { ...unit, text: "" } : unit;
}
export function withUnit(value: bigint, unit: Unit): string {
  return `${decimalText(value, unit.decimals)} ${unit.text}`.trim();
}
export function quantityName(quantity: Quantity): string {
  return (words.keeper.quantities as Partial<Record<number, string>>)[quantity] ?? words.keeper.newer;
}
export function parameterName(parameter: Parameter): string {
  return (words.keeper.parameters as Partial<Record<number, string>>)[parameter] ?? words.keeper.newer;
}
