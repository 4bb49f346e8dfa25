// What came back of a meal: 0 is weighed, empty is not weighed.
import { create, fromBinary, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { gramsTyped, mass } from "../../core/amounts";
import { kind } from "../../core/kinds";
import { clock } from "../../core/time";
import { PortionSchema } from "../../proto/events_pb";
import type { DueItem } from "../../proto/husbandry_pb";
import { FoodSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";

export function Left({ item, leave }: { item: DueItem; leave: () => void }) {
  const { client } = useShared();
  const [typed, setTyped] = useState<Record<number, string>>({});
  const saving = useSaving(leave);
  const { answer: portions } = useAnswer(async () => {
    if (!item.doneBy) return [];
    const list = await client.ask(
      { case: "list", value: { kind: kind.portion, subject: item.doneBy } },
      "list",
    );
    return Promise.all(
      list.records
        .filter((view) => !view.struck && !view.foldedInto)
        .map(async (view) => {
          const portion = fromBinary(PortionSchema, view.fields);
          const food =
            portion.food && (await client.ask({ case: "get", value: { record: portion.food } }, "get"));
          const foodName = food?.record ? fromBinary(FoodSchema, food.record.fields).name : "";
          const offeredMg = portion.offeredMg ?? (portion.grossMg ?? 0n) - (portion.tareMg ?? 0n);
          return { view, portion, foodName, offeredMg };
        }),
    );
  }, [client, item]);
  if (!portions) return <p>{words.loading}</p>;

  const save = () => {
    const edits = [];
    for (const [index, { view }] of portions.entries()) {
      const text = typed[index] ?? "";
      if (text.trim() === "") continue;
      const leftMg = gramsTyped(text);
      if (leftMg === null) {
        saving.fail(words.notANumber);
        return;
      }
      const fields = toBinary(PortionSchema, create(PortionSchema, { leftMg }));
      edits.push({
        case: "edit" as const,
        value: { ...(view.record ? { record: view.record } : {}), fields, seen: view.heads },
      });
    }
    saving.edit(edits, words.leftSaved);
  };
  return (
    <main>
      <h2>{words.leftTitle(item.subjectName, clock(item.slotMin ?? 0))}</h2>
      <p>{portions.length === 0 ? words.nothingOffered : words.leftHelp}</p>
      {portions.map(({ portion, foodName, offeredMg }, index) => (
        <section class="pool" key={index}>
          <h3>
            {foodName} <small>{words.offered(mass(offeredMg, words.language))}</small>
          </h3>
          {portion.leftMg === undefined ? (
            <label class="amount">
              {words.left}
              <input
                inputMode="decimal"
                value={typed[index] ?? ""}
                onInput={(event) => setTyped({ ...typed, [index]: event.currentTarget.value })}
              />
            </label>
          ) : (
            <p>{words.leftAlready(mass(portion.leftMg, words.language))}</p>
          )}
        </section>
      ))}
      {saving.failure}
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        <button type="button" onClick={save}>
          {words.save}
        </button>
      </div>
      {saving.really}
    </main>
  );
}
