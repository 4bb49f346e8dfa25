// Numbers as they are typed at the pool, where the unit stands in the label: exact, or null when it is no such number. What
// could mean two things, as 1,200 where a comma is no decimal mark, is none.
import { readDecimal, writeDecimal } from "../../core/decimal";
import { words } from "../../words/words";

const mark = (1.5).toLocaleString(words.language).slice(1, 2);

export function decimalTyped(text: string, decimals: number): bigint | null {
  try {
    return readDecimal(text.trim().replace("−", "-"), decimals, mark === ",");
  } catch {
    return null;
  }
}
export const decimalText = (value: bigint, decimals: number) => writeDecimal(value, decimals, mark);

// A mass on the scale, in milligrams.
export function gramsTyped(text: string): bigint | null {
  const mg = decimalTyped(text, 3);
  return mg !== null && mg >= 0n ? mg : null;
}
