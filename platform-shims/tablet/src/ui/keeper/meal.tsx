// At the scale and at the pool: what the plan wants of each food, what was weighed, and the running total.
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { gramsTyped, mass } from "../../core/amounts";
import { kind } from "../../core/kinds";
import { clock } from "../../core/time";
import type { DueItem, PrepLine } from "../../proto/husbandry_pb";
import { MealSchema, PortionSchema } from "../../proto/events_pb";
import { words } from "../../words/words";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";

interface Weighing {
  net: string;
  gross: string;
  tare: string;
}
const nothing: Weighing = { net: "", gross: "", tare: "" };

interface Weighed {
  offeredMg: bigint;
  dish?: { grossMg: bigint; tareMg: bigint };
}

// Null: not weighed. Throws what is wrong, in words.
function read(weighing: Weighing, withDish: boolean): Weighed | null {
  const amount = (text: string) => {
    const value = gramsTyped(text);
    if (value === null) throw new Error(words.notANumber);
    return value;
  };
  if (!withDish) return weighing.net.trim() === "" ? null : { offeredMg: amount(weighing.net) };
  if (weighing.gross.trim() === "") return null;
  const dish = {
    grossMg: amount(weighing.gross),
    tareMg: amount(weighing.tare === "" ? "0" : weighing.tare),
  };
  if (dish.tareMg > dish.grossMg) throw new Error(words.dishLighter);
  return { offeredMg: dish.grossMg - dish.tareMg, dish };
}

export function Meal({ item, leave }: { item: DueItem; leave: () => void }) {
  const { client, zone } = useShared();
  const [weighings, setWeighings] = useState<Weighing[]>([]);
  const [withDish, setWithDish] = useState(false);
  const saving = useSaving(leave);
  const day = zone.day(Date.now());
  const { answer: lines } = useAnswer(async () => {
    const prep = await client.ask({ case: "prep", value: { day, area: item.area } }, "prep");
    return prep.lines.filter(
      (line: PrepLine) =>
        line.animal?.log === item.subject?.log &&
        line.animal?.seq === item.subject?.seq &&
        line.slotMin === item.slotMin,
    );
  }, [client, day, item]);
  if (!lines) return <p>{words.loading}</p>;

  const at = (index: number) => weighings[index] ?? nothing;
  const type = (index: number, part: keyof Weighing, text: string) =>
    setWeighings(lines.map((_, i) => (i === index ? { ...at(i), [part]: text } : at(i))));
  let total = 0n;
  for (let i = 0; i < lines.length; ++i) {
    try {
      total += read(at(i), withDish)?.offeredMg ?? 0n;
    } catch {
      // Told when it is saved; while somebody types, half a number is no fault.
    }
  }

  const save = () => {
    let weighed: (Weighed | null)[];
    try {
      weighed = lines.map((_, i) => read(at(i), withDish));
    } catch (error) {
      saving.fail(error instanceof Error ? error.message : words.failed);
      return;
    }
    if (!weighed.some(Boolean)) {
      saving.fail(words.nothingWeighed);
      return;
    }
    const when = zone.when(Date.now());
    const meal = create(MealSchema, {
      ...(item.subject ? { animal: item.subject } : {}),
      ...(item.slotMin === undefined ? {} : { slotMin: item.slotMin }),
      ...when,
    });
    const portions = lines.flatMap((line, i) => {
      const one = weighed[i];
      if (!one) return [];
      const portion = create(PortionSchema, {
        ...(line.food ? { food: line.food } : {}),
        ...(one.dish ?? { offeredMg: one.offeredMg }),
      });
      return [
        { kind: kind.portion, fields: toBinary(PortionSchema, portion), links: [{ field: 1, record: 0 }] },
      ];
    });
    saving.log(
      {
        case: "log",
        value: { records: [{ kind: kind.meal, fields: toBinary(MealSchema, meal) }, ...portions] },
      },
      words.mealSaved(item.subjectName),
    );
  };

  const field = (index: number, part: keyof Weighing, label: string) => (
    <label class="amount">
      {label}
      <input
        inputMode="decimal"
        value={at(index)[part]}
        onInput={(event) => type(index, part, event.currentTarget.value)}
      />
    </label>
  );
  return (
    <main>
      <h2>{words.mealOf(item.subjectName, clock(item.slotMin ?? 0))}</h2>
      <p class="caution">{words.foodCaution}</p>
      {lines.length === 0 && <p>{words.noPlan}</p>}
      {lines.map((line, index) => (
        <section class="pool" key={index}>
          <h3>
            {line.foodName}{" "}
            <small>{line.massMg === undefined ? "" : words.planned(mass(line.massMg, words.language))}</small>
          </h3>
          <p>{[line.preparation, line.presentation].filter(Boolean).join(" · ")}</p>
          <div class="row">
            {withDish ? (
              <>
                {field(index, "gross", words.gross)}
                {field(index, "tare", words.tare)}
              </>
            ) : (
              field(index, "net", words.weighed)
            )}
          </div>
        </section>
      ))}
      <p class="total" aria-live="polite">
        {words.total(mass(total, words.language))}
      </p>
      {saving.failure}
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        <button type="button" class="quiet" onClick={() => setWithDish(!withDish)}>
          {withDish ? words.withoutDish : words.withDish}
        </button>
        <button type="button" onClick={save}>
          {words.given}
        </button>
      </div>
      {saving.really}
    </main>
  );
}
