// This file keeps what is not yet a record: half-typed entries, and trays that are weighed and not yet given. Kept in the
// browser, so that neither a reload nor an empty battery loses them.
import { useRef, useState } from "preact/hooks";
import { recordKey } from "../../core/records";
import { useShared } from "../state";

const prefix = "wrackline.keeper.";
const oldMs = 36 * 3_600_000;

interface Kept {
  atMs: number;
  value: unknown;
}

// The caller knows what it keeps under a name.
// eslint-disable-next-line @typescript-eslint/no-unnecessary-type-parameters
export function readKept<T>(name: string): { atMs: number; value: T } | null {
  try {
    const kept = JSON.parse(localStorage.getItem(prefix + name) ?? "null") as Kept | null;
    if (!kept || Date.now() - kept.atMs > oldMs) return null;
    return { atMs: kept.atMs, value: kept.value as T };
  } catch {
    return null;
  }
}
// Where the browser keeps nothing, what is typed stands on the screen all the same.
export function writeKept(name: string, value: unknown): void {
  try {
    localStorage.setItem(prefix + name, JSON.stringify({ atMs: Date.now(), value } satisfies Kept));
  } catch {
    return;
  }
}
export function dropKept(name: string): void {
  try {
    localStorage.removeItem(prefix + name);
  } catch {
    return;
  }
}

// Called once at the start: nobody comes back for what lies here for days. Answers with the files (core/attached_files.ts) that
// were chosen and never became part of a record.
export function dropOld(): string[] {
  const files: string[] = [];
  for (const key of Object.keys(localStorage)) {
    if (!key.startsWith(prefix) || readKept(key.slice(prefix.length)) !== null) continue;
    files.push(...filesOf(localStorage.getItem(key)));
    localStorage.removeItem(key);
  }
  return files;
}
function filesOf(kept: string | null): string[] {
  try {
    const { value } = JSON.parse(kept ?? "") as { value: { files?: { name: string }[] } };
    return value.files?.map(({ name }) => name) ?? [];
  } catch {
    return [];
  }
}

export interface Draft<T> {
  value: T;
  set: (change: Partial<T>) => void;
  drop: () => void; // It was saved, or is not wanted.
  // When what is on the screen was typed, if that was before it was opened.
  fromMs: number | null;
}

// Keeps what somebody types on a screen about one thing. It is theirs alone: it would go into the records under
// their name.
export function useDraft<T extends object>(about: string, blank: T): Draft<T> {
  const { client } = useShared();
  const name = `draft.${client.person ? recordKey(client.person.record) : ""}.${about}`;
  const [found, setFound] = useState(() => readKept<T>(name));
  const [value, setValue] = useState<T>(() => ({ ...blank, ...found?.value }));
  // Where several changes come in one go, each builds on the one before.
  const last = useRef(value);
  return {
    value,
    set: (change) => {
      last.current = { ...last.current, ...change };
      setValue(last.current);
      writeKept(name, last.current);
    },
    drop: () => {
      last.current = blank;
      setValue(blank);
      setFound(null);
      dropKept(name);
    },
    fromMs: found?.atMs ?? null,
  };
}
