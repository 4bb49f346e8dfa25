// Food that no plan asks for: a snack, or a meal out of its time.
import { failureText } from "../../core/messages";
import { create, toBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { recordOf } from "../../core/records";
import { MealSchema, Purpose } from "../../proto/events_pb";
import { words } from "../../words/words";
import { Amount, Choice, Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";
import { foods } from "./roster";
import { notWeighed, portionOf } from "./tray";
import { useWhen } from "./when";

const k = words.keeper.snack;

interface Food {
  food: string;
  grams: string;
}
const blank: Food = { food: "", grams: "" };

export function Snack({ animal, leave }: { animal: About; leave: () => void }) {
  const { client, zone } = useShared();
  const draft = useDraft(`snack.${animal.record.seq}`, {
    foods: [blank],
    purpose: Purpose.UNSPECIFIED,
    note: "",
  });
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: all } = useAnswer(() => foods(client), [client]);
  const set = (index: number, change: Partial<Food>) =>
    draft.set({ foods: draft.value.foods.map((one, i) => (i === index ? { ...one, ...change } : one)) });

  const save = () => {
    const at = when();
    const meal = create(MealSchema, {
      animal: animal.record,
      ...at,
      // Its own time tells it from the planned meals of the day.
      slotMin: zone.minute(Number(at.happenedMs)),
      ...(draft.value.purpose === Purpose.UNSPECIFIED ? {} : { purpose: draft.value.purpose }),
      note: draft.value.note,
    });
    try {
      const portions = draft.value.foods.flatMap(({ food, grams }) => {
        const record = recordOf(food);
        if (!record) return [];
        const unweighed = grams.trim() === "";
        return portionOf(record, { ...notWeighed(false), net: grams, unweighed }, 0) ?? [];
      });
      if (portions.length === 0) throw new Error(k.noFood);
      const records = [{ kind: kind.meal, fields: toBinary(MealSchema, meal) }, ...portions];
      saving.log({ case: "log", value: { records } }, words.mealSaved(animal.name));
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
  };
  return (
    <Form
      title={k.title(animal.name)}
      caution={words.foodCaution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" onClick={save}>
          {words.given}
        </button>
      }
    >
      {all?.length === 0 && <p>{k.noFoods}</p>}
      {draft.value.foods.map((one, index) => (
        <div class="row pool" key={index}>
          <div class="grow">
            <Picker
              label={k.food}
              options={(all ?? []).map(({ key, name }) => ({ key, title: name, value: key }))}
              chosen={one.food}
              onValue={(_, food) => set(index, { food })}
            />
          </div>
          <Amount label={k.weighed} value={one.grams} onValue={(grams) => set(index, { grams })} />
        </div>
      ))}
      <button type="button" class="quiet" onClick={() => draft.set({ foods: [...draft.value.foods, blank] })}>
        {k.another}
      </button>
      <h3>{k.purpose}</h3>
      <Choice
        label={k.purpose}
        none
        options={[
          { value: Purpose.ENRICHMENT, title: k.forEnrichment },
          { value: Purpose.MEDICATION, title: k.forMedication },
        ]}
        value={draft.value.purpose}
        onValue={(purpose) => draft.set({ purpose: purpose ?? Purpose.UNSPECIFIED })}
      />
      <Text label={words.keeper.note} value={draft.value.note} onValue={(note) => draft.set({ note })} />
      {whenField}
    </Form>
  );
}
