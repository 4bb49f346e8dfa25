// Every word a screen shows, in one catalogue: that of this browser's language; English where there is no other.
import { en } from "./en";
import { languageName } from "../ui/device/settings";
import { nb } from "./nb";

// Other languages have this type, so that none can lack a word.
export type Words = typeof en;

const catalogues: Record<string, Words> = { en, nb, no: nb };
// To choose from, each in its own words.
export const languages: [code: string, name: string][] = [
  ["en", "English"],
  ["nb", "Norsk (bokmål)"],
];

export function wordsFor(languages: readonly string[]): Words {
  for (const language of languages) {
    const catalogue = catalogues[language.split("-")[0]?.toLowerCase() ?? ""];
    if (catalogue) return catalogue;
  }
  return en;
}

const chosen = localStorage.getItem(languageName);
export const words = wordsFor(chosen ? [chosen] : navigator.languages);

// "12 minutes": how long ago, in the largest unit that says enough.
export function age(ms: number): string {
  const minutes = Math.floor(ms / 60_000);
  if (minutes < 1) return words.moment;
  if (minutes < 120) return words.minutes(minutes);
  if (minutes < 48 * 60) return words.hours(Math.floor(minutes / 60));
  return words.days(Math.floor(minutes / (24 * 60)));
}
