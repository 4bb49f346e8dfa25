// Rules that a record breaks, as the core found them, in the language of the person.
import type { Problem } from "../proto/call_pb";
import { words } from "../words/words";
import { CallFailed } from "./messages";

// Why a writing call was refused; empty where it was not for a rule that a record breaks.
export function problemsOf(error: unknown): Problem[] {
  return error instanceof CallFailed ? (error.reply?.failure?.problems ?? []) : [];
}

export function problemText({ code, parameters, sentence }: Problem): string {
  // A newer hub knows rules that this app has no words for.
  const known = Object.hasOwn(words.problems, code)
    ? words.problems[code as keyof typeof words.problems]
    : "";
  const text =
    known === ""
      ? sentence
      : known.replace(/\{(\d)\}/g, (_, place: string) => parameters[Number(place)] ?? "");
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}
