// At the pool: the meal is given as its tray was prepared, or weighed now, and logged with all its portions at once.
import { failureText } from "../../core/messages";
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import { MealSchema } from "../../proto/events_pb";
import type { DueItem } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import { linesOf, portionOf, readScale, scaleSoFar, trayName, useTray } from "./tray";
import { grams, slotText, WeighLine } from "./weigh_line";
import { useWhen } from "./when";

const k = words.keeper.scale;

export function Meal({ item, leave }: { item: DueItem; leave: () => void }) {
  const { client, zone } = useShared();
  const day = zone.day(Date.now());
  const name = trayName(day, item.subject, item.slotMin);
  const tray = useTray(name, client.person?.name ?? "");
  const draft = useDraft(name, { note: "" });
  const { when, field: whenField } = useWhen();
  const [weighing, setWeighing] = useState(tray.tray === null);
  const [prepared] = useState(tray.tray);
  const saving = useSaving(() => {
    tray.drop();
    draft.drop();
    leave();
  });
  const { answer: lines } = useAnswer(
    () => linesOf(client, day, item.area, item.subject, item.slotMin),
    [client, day, item],
  );
  const { answer: thaws } = useAnswer(
    async () => (await client.ask({ case: "prep", value: { day, area: item.area } }, "prep")).thaws,
    [client, day, item],
  );
  if (!lines) return <p>{words.loading}</p>;

  const total = lines.reduce((sum, { key }) => sum + (scaleSoFar(tray.at(key)) ?? 0n), 0n);
  const save = () => {
    const meal = create(MealSchema, {
      ...(item.subject ? { animal: item.subject } : {}),
      ...(item.slotMin === undefined ? {} : { slotMin: item.slotMin }),
      ...when(),
      note: draft.value.note,
    });
    try {
      const portions = lines.flatMap(({ key, line }) => portionOf(line.food, tray.at(key), 0) ?? []);
      if (portions.length === 0) throw new Error(words.nothingWeighed);
      const records = [{ kind: kind.meal, fields: toBinary(MealSchema, meal) }, ...portions];
      saving.log({ case: "log", value: { records } }, words.mealSaved(item.subjectName));
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
  };
  return (
    <Form
      title={words.mealOf(item.subjectName, slotText(item.slotMin))}
      caution={words.foodCaution}
      saving={saving}
      leave={leave}
      actions={
        <>
          <button type="button" class="quiet" onClick={weighing ? tray.turnDish : () => setWeighing(true)}>
            {weighing ? (tray.dish ? words.withoutDish : words.withDish) : k.weighAnew}
          </button>
          <button type="button" onClick={save}>
            {words.given}
          </button>
        </>
      }
    >
      {lines.length === 0 && <p>{words.noPlan}</p>}
      {lines.some(({ line }) => line.given) && <p class="asks">{k.givenMeanwhile}</p>}
      {prepared && <p class="known">{k.preparedBy(prepared.value.by, zone.clockAt(prepared.atMs))}</p>}
      {weighing ? (
        <div class="columns">
          {lines.map((line) => (
            <WeighLine
              key={line.key}
              line={line}
              weighing={tray.at(line.key)}
              thaws={thaws ?? []}
              set={(change) => tray.set(line.key, change)}
            />
          ))}
        </div>
      ) : (
        <ul class="plain tray">
          {lines.map(({ key, line }) => {
            const one = tray.at(key);
            return (
              <li key={key}>
                <span>
                  <strong>{one.instead?.name ?? line.foodName}</strong>
                  {one.instead && <small> {k.inPlaceOf(line.foodName)}</small>}
                </span>
                <span class="total">{onTray(one)}</span>
              </li>
            );
          })}
        </ul>
      )}
      <p class="total" aria-live="polite">
        {words.total(grams(total))}
      </p>
      <Text label={words.keeper.note} value={draft.value.note} onValue={(note) => draft.set({ note })} />
      {whenField}
    </Form>
  );
}

function onTray(weighing: Parameters<typeof readScale>[0]): string {
  if (weighing.unweighed) return k.unweighed;
  const mg = scaleSoFar(weighing);
  return mg === null ? k.notOnTray : grams(mg);
}
