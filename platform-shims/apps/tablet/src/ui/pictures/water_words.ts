// This file names the properties of water for the head of a picture, and gives their values in the unit
// people read.
import { enumWord } from "../../core/field_words";
import { unitOfParameter } from "../../core/fields";
import { writeQuantity } from "../../core/units";
import { Derived, Judgement } from "../../proto/husbandry_pb";
import { Parameter } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { number } from "./figures";

export interface Unit {
  name: string;
  per: number; // So many of the records' units are one of these.
  digits: number;
}

const derivedUnitOf: Record<Derived, Unit> = {
  [Derived.UNSPECIFIED]: { name: "", per: 1, digits: 0 },
  [Derived.SALINITY]: { name: "psu", per: 1000, digits: 2 },
  [Derived.DENSITY]: { name: "kg/m³", per: 1000, digits: 2 },
  [Derived.OXYGEN_SATURATION]: { name: "%", per: 10_000, digits: 1 },
  [Derived.AMMONIA_UNIONISED]: { name: "mg/L N", per: 1_000_000, digits: 4 },
  [Derived.CHLORINE_COMBINED]: { name: "mg/L Cl₂", per: 1000, digits: 3 },
  [Derived.COLIFORM_MEAN]: { name: "MPN/100 mL", per: 1000, digits: 1 },
};

// One unit for all values of a chart, by the greatest of them.
export function axisUnit(parameter: Parameter, values: bigint[]): Unit {
  const unit = unitOfParameter(parameter);
  const greatest = values.reduce((most, value) => (value > most ? value : most), 0n);
  const spelling = unit.spellings[unit.printed(greatest)] ?? { text: "", decimals: 0 };
  return { name: spelling.text, per: 10 ** spelling.decimals, digits: spelling.decimals };
}
// Makes a heading of it: with a capital, but for pH.
export function parameterWords(parameter: Parameter): string {
  const word = enumWord("Parameter", Parameter[parameter], parameter);
  return parameter === Parameter.PH ? word : word.charAt(0).toLocaleUpperCase(words.language) + word.slice(1);
}
export function readingWords(parameter: Parameter, value: bigint): string {
  return writeQuantity(unitOfParameter(parameter), value);
}
export function derivedWords(derived: Derived): string {
  return (
    (words.pictures.derived as Partial<Record<number, string>>)[derived] ?? words.pictures.newer(derived)
  );
}
export function derivedValue(derived: Derived, value: bigint): string {
  const unit =
    (derivedUnitOf as Partial<Record<number, Unit>>)[derived] ?? derivedUnitOf[Derived.UNSPECIFIED];
  return `${number(Number(value) / unit.per, unit.digits)} ${unit.name}`.trim();
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
