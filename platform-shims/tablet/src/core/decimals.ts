// Numbers of a fixed number of decimals, held as whole numbers of their last place: 8.05 with three decimals is 8050.

// What was typed, with a point or a comma: exact, or null when it is no such number.
export function decimalTyped(text: string, decimals: number): bigint | null {
  const match = /^([-−]?)(\d{1,12})(?:[.,](\d+))?$/.exec(text.trim());
  if (!match) return null;
  const fraction = match[3] ?? "";
  if (fraction.length > decimals) return null;
  const size = BigInt((match[2] ?? "0") + fraction.padEnd(decimals, "0"));
  return match[1] === "" ? size : -size;
}

export function decimalText(value: bigint, decimals: number, language: string): string {
  return new Intl.NumberFormat(language, { maximumFractionDigits: decimals }).format(
    Number(value) / 10 ** decimals,
  );
}
