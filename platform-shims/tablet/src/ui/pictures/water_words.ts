// What the properties of water are called, and their values in the unit people read, which is not that of the records.
import { Derived, Judgement } from "../../proto/husbandry_pb";
import { Parameter } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { number } from "./figures";

export interface Unit {
  name: string;
  per: number; // So many of the records' units are one of these.
  digits: number;
}

const milligrams = (as: string): Unit => ({ name: `mg/L${as}`, per: 1000, digits: 4 });
const unitOf: Record<Parameter, Unit> = {
  [Parameter.UNSPECIFIED]: { name: "", per: 1, digits: 0 },
  [Parameter.TEMPERATURE]: { name: "°C", per: 1000, digits: 2 },
  [Parameter.SALINITY]: { name: "psu", per: 1000, digits: 2 },
  [Parameter.CONDUCTIVITY]: { name: "mS/cm", per: 1000, digits: 3 },
  [Parameter.PH]: { name: "", per: 1000, digits: 2 },
  [Parameter.OXYGEN]: milligrams(""),
  [Parameter.OXYGEN_SATURATION]: { name: "%", per: 10_000, digits: 1 },
  [Parameter.AMMONIA]: milligrams(" N"),
  [Parameter.NITRITE]: milligrams(" N"),
  [Parameter.NITRATE]: milligrams(" N"),
  [Parameter.CHLORINE_FREE]: milligrams(" Cl₂"),
  [Parameter.CHLORINE_TOTAL]: milligrams(" Cl₂"),
  [Parameter.REDOX]: { name: "mV", per: 1, digits: 0 },
  [Parameter.COLIFORM]: { name: "MPN/100 mL", per: 1, digits: 0 },
  [Parameter.ALKALINITY]: milligrams(" CaCO₃"),
  [Parameter.TURBIDITY]: { name: "NTU", per: 1000, digits: 3 },
  [Parameter.AIR_PRESSURE]: { name: "hPa", per: 100, digits: 1 },
};
const derivedUnitOf: Record<Derived, Unit> = {
  [Derived.UNSPECIFIED]: { name: "", per: 1, digits: 0 },
  [Derived.SALINITY]: { name: "psu", per: 1000, digits: 2 },
  [Derived.DENSITY]: { name: "kg/m³", per: 1000, digits: 2 },
  [Derived.OXYGEN_SATURATION]: { name: "%", per: 10_000, digits: 1 },
  [Derived.AMMONIA_UNIONISED]: { name: "mg/L N", per: 1_000_000, digits: 4 },
  [Derived.CHLORINE_COMBINED]: { name: "mg/L Cl₂", per: 1000, digits: 3 },
  [Derived.COLIFORM_MEAN]: { name: "MPN/100 mL", per: 1000, digits: 1 },
};

// A newer release may know of more.
export function waterUnit(parameter: Parameter): Unit {
  return (unitOf as Partial<Record<number, Unit>>)[parameter] ?? unitOf[Parameter.UNSPECIFIED];
}
export function parameterWords(parameter: Parameter): string {
  return (
    (words.pictures.parameters as Partial<Record<number, string>>)[parameter] ??
    words.pictures.newer(parameter)
  );
}
function inUnit(value: bigint, unit: Unit): string {
  return `${number(Number(value) / unit.per, unit.digits)} ${unit.name}`.trim();
}
export function readingWords(parameter: Parameter, value: bigint): string {
  return inUnit(value, waterUnit(parameter));
}
export function derivedWords(derived: Derived): string {
  return (
    (words.pictures.derived as Partial<Record<number, string>>)[derived] ?? words.pictures.newer(derived)
  );
}
export function derivedValue(derived: Derived, value: bigint): string {
  return inUnit(
    value,
    (derivedUnitOf as Partial<Record<number, Unit>>)[derived] ?? derivedUnitOf[Derived.UNSPECIFIED],
  );
}
export function judgementWords(judgement: Judgement): string {
  switch (judgement) {
    case Judgement.INSIDE:
      return words.pictures.water.inside;
    case Judgement.BELOW:
      return words.pictures.water.below;
    case Judgement.ABOVE:
      return words.pictures.water.above;
    case Judgement.UNSPECIFIED:
      return words.pictures.water.noLimit;
  }
}
