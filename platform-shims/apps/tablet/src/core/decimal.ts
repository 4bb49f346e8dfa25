// Whole numbers in a small unit, written with a point or comma in a larger one; exact both ways.

// Says what is wrong with a typed text. `why` is a key of words.typing.
export class Unreadable extends Error {
  constructor(
    readonly why: "notNumber" | "tooFine" | "ambiguous" | "tooLarge",
    readonly text: string,
  ) {
    super(why);
  }
}

const largest = 2n ** 63n - 1n;

// "1,2" or "1.2" with three decimals: 1200n. Where a comma is no decimal mark, "1,200" could mean two things and is not read.
export function readDecimal(text: string, decimals: number, commaIsMark: boolean): bigint {
  const match = /^([+-]?)(\d+)(?:([.,])(\d+))?$/.exec(text);
  if (!match) throw new Unreadable("notNumber", text);
  const [, sign = "", whole = "", mark = "", typed = ""] = match;
  if (mark === "," && typed.length === 3 && whole !== "0" && !commaIsMark)
    throw new Unreadable("ambiguous", text);
  let fraction = typed;
  while (fraction.length > decimals && fraction.endsWith("0")) fraction = fraction.slice(0, -1);
  if (fraction.length > decimals) throw new Unreadable("tooFine", text);
  const value = BigInt(whole + fraction.padEnd(decimals, "0"));
  if (value > largest) throw new Unreadable("tooLarge", text);
  return sign === "-" ? -value : value;
}

// Without zeros at the end, never without one before the point.
export function writeDecimal(value: bigint, decimals: number, mark: string): string {
  const digits = (value < 0n ? -value : value).toString().padStart(decimals + 1, "0");
  const whole = digits.slice(0, digits.length - decimals);
  const fraction = digits.slice(digits.length - decimals).replace(/0+$/, "");
  return `${value < 0n ? "-" : ""}${whole}${fraction === "" ? "" : mark + fraction}`;
}
