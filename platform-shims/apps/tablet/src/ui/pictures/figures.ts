// Figures as the pictures write them: by language, rounded to what a person reads. The core's numbers are exact; nothing is
// reckoned here but units.
import { mass } from "../../core/amounts";
import { words } from "../../words/words";

export function number(value: number, digits: number): string {
  return new Intl.NumberFormat(words.language, { maximumFractionDigits: digits }).format(value);
}
export function massWords(mg: bigint | undefined): string {
  return mg === undefined ? words.pictures.unknown : mass(mg, words.language);
}
export function percent(ppm: number | undefined): string {
  return ppm === undefined ? words.pictures.unknown : `${number(ppm / 10_000, 1)} %`;
}

// Masses of one chart go by one unit, so that its axis has small numbers.
export interface MassUnit {
  name: string;
  of: (mg: bigint | undefined) => number | null;
  digits: number;
}
export function massUnit(all: (bigint | undefined)[]): MassUnit {
  const greatest = Math.max(0, ...all.map((mg) => Math.abs(Number(mg ?? 0n))));
  const perUnit = greatest >= 1_000_000 ? 1_000_000 : 1000;
  return {
    name: perUnit === 1000 ? "g" : "kg",
    of: (mg) => (mg === undefined ? null : Number(mg) / perUnit),
    digits: perUnit === 1000 ? 1 : 3,
  };
}
