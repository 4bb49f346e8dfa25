// How large something is, for people.
import { words } from "../../words/words";

export function sizeText(bytes: number): string {
  if (bytes < 1000) return `${bytes} B`;
  const [of, unit] = bytes < 1_000_000 ? [1000, "kB"] : [1_000_000, "MB"];
  const text = new Intl.NumberFormat(words.language, { maximumFractionDigits: 1 }).format(bytes / of);
  return `${text} ${unit}`;
}
