// Numbers of records with their units, which the options in proto/*.proto name; each is read from what people type and written back
// exactly, as on the command line.
import type { UnitName } from "../proto/schema";
import { words } from "../words/words";
import { readDecimal, Unreadable, writeDecimal } from "./decimal";

// A way to write a unit: the number before it, taken to `decimals`, is in the stored unit.
interface Spelling {
  text: string;
  decimals: number;
  // The reader understands these too, and nothing writes them.
  also?: string[];
}

export interface Unit {
  // Widest first. With one spelling alone the unit stands in the label.
  spellings: Spelling[];
  // The one to print with; by the size of the value.
  printed: (size: bigint) => number;
  signed?: boolean;
  // The spelling to begin with. Without it, of several, one must be chosen: 5 of what?
  usual?: string;
}

const only = (text: string, decimals: number, also: string[] = []): Unit => ({
  spellings: [{ text, decimals, also }],
  printed: () => 0,
});
const withSign = (unit: Unit): Unit => ({ ...unit, signed: true });

const massSpellings = [
  { text: "kg", decimals: 6 },
  { text: "g", decimals: 3 },
  { text: "mg", decimals: 0 },
];
const mass: Unit = {
  spellings: massSpellings,
  printed: (size) => (size >= 1_000_000n ? 0 : size >= 1_000n || size === 0n ? 1 : 2),
  usual: "g",
};
const doseAs = (tail: string, alsoTails: string[] = []): Unit => ({
  spellings: [
    { text: "g", decimals: 6, also: [] as string[] },
    { text: "mg", decimals: 3, also: [] as string[] },
    // Written in full: "µg" is misread.
    { text: words.units.micrograms, decimals: 0, also: ["micrograms", "microgram", "mcg", "ug"] },
  ].map(({ text, decimals, also }) => ({
    text: text + tail,
    decimals,
    also: [
      ...alsoTails.map((one) => text + one),
      ...also.flatMap((name) => [tail, ...alsoTails].map((one) => name + one)),
    ],
  })),
  printed: (size) => (size >= 1_000_000n ? 0 : size >= 100n || size === 0n ? 1 : 2),
});
const duration: Unit = {
  spellings: [
    { text: words.units.hours, decimals: 0, also: ["h", "hours"] },
    { text: "min", decimals: 0 },
  ],
  printed: (size) => (size % 60n === 0n && size !== 0n ? 0 : 1),
  usual: words.units.hours,
};
const ofFood = ["/kg of food", "/kg fish", "/kg of fish"];

export const units = {
  plain: only("", 0),
  massMg: mass,
  massChangeMg: { ...mass, signed: true },
  doseUg: doseAs(""),
  doseUgPerKg: doseAs("/kg"),
  doseUgPerKgFood: doseAs(`/kg ${words.units.food}`, ["/kg food", ...ofFood]),
  strengthUgPerMl: doseAs("/mL"),
  strengthUgPerUnit: doseAs(`/${words.units.tablet}`, ["/tablet or capsule", "/tablet", "/capsule"]),
  volumeUl: {
    spellings: [
      { text: "L", decimals: 6 },
      { text: "mL", decimals: 3 },
      { text: "µL", decimals: 0, also: ["ul"] },
    ],
    printed: () => 1,
    usual: "mL",
  },
  units: only(words.units.units, 0, ["units", "unit", "iu"]),
  unitsPerKgFood: only(`${words.units.units}/kg ${words.units.food}`, 0, [
    "units/kg food",
    "unit/kg food",
    ...ofFood.map((tail) => `units${tail}`),
  ]),
  lengthUm: {
    spellings: [
      { text: "m", decimals: 6 },
      { text: "cm", decimals: 4 },
      { text: "mm", decimals: 3 },
    ],
    printed: (size: bigint) => (size < 10_000n && size !== 0n ? 2 : 1),
    usual: "cm",
  },
  volumeL: {
    spellings: [
      { text: "L", decimals: 0 },
      { text: "m³", decimals: 3, also: ["m3"] },
    ],
    printed: () => 0,
    usual: "L",
  },
  durationMin: duration,
  minutes: only("min", 0),
  seconds: only("s", 0),
  hours: only(words.units.hours, 0, ["h", "hours", "hour"]),
  days: only(words.units.days, 0, ["d", "days", "day"]),
  ppm: only("%", 4),
  ugPerG: only("mg/100 g", 1),
  calPerG: only("kcal/100 g", 1),
  energyCal: only("kcal", 3),
  score: only("", 3),
  temperature: withSign(only("°C", 3, ["c"])),
  salinity: only("psu", 3),
  conductivity: {
    spellings: [
      { text: "mS/cm", decimals: 3 },
      { text: "µS/cm", decimals: 0, also: ["us/cm"] },
    ],
    printed: (size: bigint) => (size < 1_000n ? 1 : 0),
    usual: "mS/cm",
  },
  ph: only("pH", 3),
  massPerL: only("mg/L", 3),
  nitrogenPerL: only(`mg/L ${words.units.as} N`, 3, ["mg/L", "mg/L as N"]),
  chlorinePerL: only(`mg/L ${words.units.as} Cl2`, 3, ["mg/L", "mg/L as Cl2"]),
  carbonatePerL: only(`mg/L ${words.units.as} CaCO3`, 3, ["mg/L", "mg/L as CaCO3"]),
  redox: withSign(only("mV", 0)),
  mostProbableNumber: only("MPN/100 mL", 0, ["mpn"]),
  turbidity: only("NTU", 3),
  pressurePa: only("hPa", 2, ["mbar"]),
  density: only("kg/m³", 3),
  nitrogenNgPerL: only(`mg/L ${words.units.as} N`, 6),
  meanProbableNumber: only("MPN/100 mL", 3),
} satisfies Partial<Record<UnitName, Unit>>;

// A name that stands for no number with a unit is a count.
export function unitNamed(name: UnitName): Unit {
  return (units as Partial<Record<UnitName, Unit>>)[name] ?? units.plain;
}

const mark = (1.5).toLocaleString(words.language).slice(1, 2);
const compact = (text: string) => text.toLowerCase().replace(/[\s°]/g, "").replaceAll("μ", "µ");

// Splits a typed text in the number and the unit behind it.
export function splitTyped(typed: string): { number: string; unit: string } {
  const match = /^\s*([+-]?[\d.,\s]*)(.*?)\s*$/.exec(typed);
  return { number: (match?.[1] ?? "").replace(/\s/g, ""), unit: match?.[2] ?? "" };
}

// Throws an Error that says what would be right. A number alone is of the only spelling there is; of several, nobody knows.
export function readQuantity(unit: Unit, typed: string): bigint {
  // "pH 8.1" is how it is said.
  const { number, unit: name } = splitTyped(typed.replace(/^\s*ph/i, ""));
  const fits = (spelling: Spelling) =>
    [spelling.text, ...(spelling.also ?? [])].some((one) => compact(one) === compact(name));
  const spelling = name === "" && unit.spellings.length === 1 ? unit.spellings[0] : unit.spellings.find(fits);
  if (!spelling)
    throw new Error(words.typing.needsUnit(typed, unit.spellings.map((one) => one.text).join(", ")));
  let value: bigint;
  try {
    value = readDecimal(number, spelling.decimals, mark === ",");
  } catch (error) {
    if (error instanceof Unreadable) throw new Error(words.typing[error.why](typed));
    throw error;
  }
  if (value < 0n && !unit.signed) throw new Error(words.typing.belowZero(typed));
  // Hours are the one spelling that is no power of ten.
  return unit === duration && spelling === duration.spellings[0] ? value * 60n : value;
}

export function writeQuantity(unit: Unit, value: bigint): string {
  const spelling = unit.spellings[unit.printed(value < 0n ? -value : value)] ?? { text: "", decimals: 0 };
  const inUnit = unit === duration && spelling === duration.spellings[0] ? value / 60n : value;
  const number = writeDecimal(inUnit, spelling.decimals, mark);
  if (unit === units.ph) return `pH ${number}`;
  return spelling.text === "" ? number : `${number} ${spelling.text}`;
}
