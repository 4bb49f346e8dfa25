// Amounts as people read and type them. Records hold whole milligrams; nothing is rounded on the way in.

const gram = 1000n;

// What was typed in grams, with a point or a comma: exact, or null when it is no amount.
export function gramsTyped(text: string): bigint | null {
  const match = /^(\d{1,9})(?:[.,](\d{1,3}))?$/.exec(text.trim());
  if (!match) return null;
  return BigInt(match[1] ?? "0") * gram + BigInt((match[2] ?? "").padEnd(3, "0"));
}

// In grams below a kilogram, else in kilograms, with no more figures than there are.
export function mass(mg: bigint, language: string): string {
  const inKg = mg >= 1_000_000n;
  const per = inKg ? 1_000_000 : 1000;
  const number = new Intl.NumberFormat(language, { maximumFractionDigits: inKg ? 3 : 1 }).format(
    Number(mg) / per,
  );
  return `${number} ${inKg ? "kg" : "g"}`;
}

// A dose's amount in the unit it is measured in.
export function dose(
  given: { ug?: bigint; ul?: bigint; unitsThousandths?: bigint },
  language: string,
): string {
  const format = (value: number) =>
    new Intl.NumberFormat(language, { maximumFractionDigits: 3 }).format(value);
  const parts: string[] = [];
  if (given.ug !== undefined)
    parts.push(
      given.ug >= 1000n ? `${format(Number(given.ug) / 1000)} mg` : `${format(Number(given.ug))} micrograms`,
    );
  if (given.ul !== undefined) parts.push(`${format(Number(given.ul) / 1000)} mL`);
  if (given.unitsThousandths !== undefined)
    parts.push(`${format(Number(given.unitsThousandths) / 1000)} units`);
  return parts.join(" · ");
}
