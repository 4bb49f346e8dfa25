// The kinds of record: their numbers and their messages, as the options in proto/*.proto have them.
import { kind, type Kind, type KindName, schemaOf } from "../proto/schema";

export { kind, type Kind, type KindName, schemaOf };

// The name of a kind; null for one of a newer release.
export function kindName(number: number): KindName | null {
  const found = Object.entries(kind).find(([, one]) => one === number);
  return found ? (found[0] as KindName) : null;
}

// The kinds that an option names: "animal or pool", "treatment_order".
export function kindsNamed(text: string): Kind[] {
  return text
    .split(" or ")
    .map((name) => name.replace(/_(\w)/g, (_, letter: string) => letter.toUpperCase()))
    .flatMap((name) => (name in kind ? [kind[name as KindName]] : []));
}
