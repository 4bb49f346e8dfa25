// The units in which people type and read what is measured; records hold whole numbers of the last decimal.
import { decimalText } from "./numbers";
import { Parameter, Quantity } from "../../proto/plans_pb";
import { words } from "../../words/words";

export interface Unit {
  text: string;
  decimals: number;
}

const length: Unit = { text: "cm", decimals: 4 };
export const massUnits: Unit[] = [
  { text: "kg", decimals: 6 },
  { text: "g", decimals: 3 },
];
const ofQuantity: Record<Quantity, Unit> = {
  [Quantity.UNSPECIFIED]: { text: "", decimals: 0 },
  [Quantity.MASS]: { text: "kg", decimals: 6 },
  [Quantity.LENGTH_STRAIGHT]: length,
  [Quantity.LENGTH_CURVED]: length,
  [Quantity.GIRTH]: length,
  [Quantity.CONDITION_SCORE]: { text: "", decimals: 3 },
  [Quantity.BODY_TEMPERATURE]: { text: "°C", decimals: 3 },
};
const { asNitrogen, asChlorine, asCarbonate } = words.keeper.units;
const ofParameter: Record<Parameter, Unit> = {
  [Parameter.UNSPECIFIED]: { text: "", decimals: 0 },
  [Parameter.TEMPERATURE]: { text: "°C", decimals: 3 },
  [Parameter.SALINITY]: { text: "psu", decimals: 3 },
  [Parameter.CONDUCTIVITY]: { text: "mS/cm", decimals: 3 },
  [Parameter.PH]: { text: "", decimals: 3 },
  [Parameter.OXYGEN]: { text: "mg/L", decimals: 3 },
  [Parameter.OXYGEN_SATURATION]: { text: "%", decimals: 4 },
  [Parameter.AMMONIA]: { text: asNitrogen, decimals: 3 },
  [Parameter.NITRITE]: { text: asNitrogen, decimals: 3 },
  [Parameter.NITRATE]: { text: asNitrogen, decimals: 3 },
  [Parameter.CHLORINE_FREE]: { text: asChlorine, decimals: 3 },
  [Parameter.CHLORINE_TOTAL]: { text: asChlorine, decimals: 3 },
  [Parameter.REDOX]: { text: "mV", decimals: 0 },
  [Parameter.COLIFORM]: { text: "MPN/100 mL", decimals: 0 },
  [Parameter.ALKALINITY]: { text: asCarbonate, decimals: 3 },
  [Parameter.TURBIDITY]: { text: "NTU", decimals: 3 },
  [Parameter.AIR_PRESSURE]: { text: "hPa", decimals: 2 },
};

// Of a newer release: the bare number.
const bare: Unit = { text: "", decimals: 0 };
export function unitOfQuantity(quantity: Quantity): Unit {
  return (ofQuantity as Partial<Record<number, Unit>>)[quantity] ?? bare;
}
export function unitOfParameter(parameter: Parameter): Unit {
  return (ofParameter as Partial<Record<number, Unit>>)[parameter] ?? bare;
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
