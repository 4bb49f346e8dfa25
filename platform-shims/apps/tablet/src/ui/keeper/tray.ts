// A tray: the food of one meal, weighed in the kitchen and given at the pool, perhaps by somebody else. It is no record until
// it is given; the browser keeps it meanwhile.
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { gramsTyped } from "./numbers";
import type { Client } from "../../core/client";
import { kind } from "../../core/kinds";
import { recordKey, recordOf, sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { type Equality, PortionSchema } from "../../proto/events_pb";
import type { PrepLine } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { dropKept, readKept, writeKept } from "./kept";

// Another food in the place of a planned one, as the core has reckoned it. Whole milligrams, as text.
export interface Instead {
  food: string; // The key of its record.
  name: string;
  equality: Equality;
  massMg: string;
  plannedMg: string;
}

export interface Weighing {
  dish: boolean;
  net: string;
  gross: string;
  tare: string;
  unweighed: boolean; // Given without a scale.
  batch: string; // The key of the thaw batch it comes from, or "".
  instead: Instead | null;
}
export const notWeighed = (dish: boolean): Weighing => ({
  dish,
  net: "",
  gross: "",
  tare: "",
  unweighed: false,
  batch: "",
  instead: null,
});

// The weight of one food on the scale. Null: nothing yet. Throws the fault of a typed text, in words.
export interface OnScale {
  offeredMg: bigint;
  dish?: { grossMg: bigint; tareMg: bigint };
}
export function readScale(weighing: Weighing): OnScale | null {
  const amount = (text: string) => {
    const value = gramsTyped(text);
    if (value === null) throw new Error(words.notANumber);
    return value;
  };
  if (!weighing.dish) return weighing.net.trim() === "" ? null : { offeredMg: amount(weighing.net) };
  if (weighing.gross.trim() === "") return null;
  const dish = {
    grossMg: amount(weighing.gross),
    tareMg: amount(weighing.tare === "" ? "0" : weighing.tare),
  };
  if (dish.tareMg > dish.grossMg) throw new Error(words.dishLighter);
  return { offeredMg: dish.grossMg - dish.tareMg, dish };
}
// For what is shown while somebody types: half a number is no fault yet.
export function scaleSoFar(weighing: Weighing): bigint | null {
  try {
    return readScale(weighing)?.offeredMg ?? null;
  } catch {
    return null;
  }
}

export interface TrayKept {
  by: string;
  weighings: Record<string, Weighing>; // The key is that of the plan's line.
}
export const trayName = (day: number, animal: RecordRef | undefined, slotMin: number | undefined) =>
  `tray.${day}.${animal ? recordKey(animal) : ""}.${slotMin ?? ""}`;

// The lines of one meal, each with a key that stays the same while the plan does.
export interface Line {
  key: string;
  line: PrepLine;
}
export function linesWithKeys(lines: PrepLine[]): Line[] {
  const seen = new Map<string, number>();
  return lines.map((line) => {
    const food = line.food ? recordKey(line.food) : "";
    const before = seen.get(food) ?? 0;
    seen.set(food, before + 1);
    return { key: `${food}.${before}`, line };
  });
}
export async function linesOf(
  client: Client,
  day: number,
  area: string,
  animal: RecordRef | undefined,
  slotMin: number | undefined,
): Promise<Line[]> {
  const prep = await client.ask({ case: "prep", value: { day, area } }, "prep");
  return linesWithKeys(
    prep.lines.filter((line) => sameRecord(line.animal, animal) && line.slotMin === slotMin),
  );
}

export const readTray = (name: string) => readKept<TrayKept>(name);
export const isReady = (tray: TrayKept, lines: Line[]) =>
  lines.every(({ key }) => {
    const weighing = tray.weighings[key];
    return weighing !== undefined && (weighing.unweighed || scaleSoFar(weighing) !== null);
  });

const dishName = "with-dish";

export function useTray(name: string, by: string) {
  const [tray, setTray] = useState(() => readTray(name));
  const [dish, setDish] = useState(() => readKept<boolean>(dishName)?.value ?? false);
  const at = (key: string): Weighing => tray?.value.weighings[key] ?? notWeighed(dish);
  return {
    tray,
    at,
    dish,
    set: (key: string, change: Partial<Weighing>) => {
      const value = {
        by,
        weighings: { ...tray?.value.weighings, [key]: { ...at(key), ...change } },
      };
      setTray({ atMs: Date.now(), value });
      writeKept(name, value);
    },
    // Foods that nobody has put on the scale yet are weighed the other way from now on.
    turnDish: () => {
      writeKept(dishName, !dish);
      setDish(!dish);
      if (!tray) return;
      const weighings = Object.fromEntries(
        Object.entries(tray.value.weighings).map(([key, one]) => [
          key,
          one.net === "" && one.gross === "" && one.tare === "" ? { ...one, dish: !dish } : one,
        ]),
      );
      setTray({ ...tray, value: { ...tray.value, weighings } });
    },
    drop: () => {
      dropKept(name);
      setTray(null);
    },
  };
}

// A portion of the meal that stands at `meal` in the same call; null for a food that was not given. Throws as readScale.
export function portionOf(food: RecordRef | undefined, weighing: Weighing, meal: number) {
  const scale = readScale(weighing);
  if (!scale && !weighing.unweighed) return null;
  const { instead } = weighing;
  const by = instead ? recordOf(instead.food) : null;
  const batch = recordOf(weighing.batch);
  const portion = create(PortionSchema, {
    ...(by ? { food: by } : food ? { food } : {}),
    ...(scale ? (scale.dish ?? { offeredMg: scale.offeredMg }) : {}),
    ...(by && instead && food
      ? { substitutes: food, substitutedMg: BigInt(instead.plannedMg), substitutedBy: instead.equality }
      : {}),
    ...(batch ? { thawBatch: batch } : {}),
  });
  return {
    kind: kind.portion,
    fields: toBinary(PortionSchema, portion),
    links: [{ field: 1, record: meal }],
  };
}
