// Amounts as people read them; records hold whole milligrams.

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
