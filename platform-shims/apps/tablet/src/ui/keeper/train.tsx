// A training session: one cue, a tap for each trial, and the food given in it as a meal that names the session.
import { failureText } from "../../core/messages";
import { create, toBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { listAll, recordKey, recordOf } from "../../core/records";
import { MealSchema, Purpose, TrainingSessionSchema } from "../../proto/events_pb";
import { CueSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Amount, Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { wholeMinutes } from "./enrich";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";
import { foods } from "./roster";
import { notWeighed, portionOf } from "./tray";
import { useWhen } from "./when";

const k = words.keeper.train;

export function Train({ animal, leave }: { animal: About; leave: () => void }) {
  const { client } = useShared();
  const draft = useDraft(`train.${recordKey(animal.record)}`, {
    cue: "",
    criterion: "",
    trials: [] as boolean[],
    minutes: "",
    food: "",
    grams: "",
    note: "",
  });
  const { value, set } = draft;
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: cues } = useAnswer(() => listAll(client, kind.cue, CueSchema, {}), [client]);
  const { answer: all } = useAnswer(() => foods(client), [client]);
  const cue = cues?.find((one) => recordKey(one.record) === value.cue);
  const successes = value.trials.filter(Boolean).length;

  const save = () => {
    try {
      if (!cue) throw new Error(k.noCue);
      if (value.trials.length === 0) throw new Error(k.noTrial);
      const minutes = value.minutes.trim() === "" ? undefined : wholeMinutes(value.minutes);
      if (minutes === null) throw new Error(words.keeper.notMinutes);
      const at = when();
      const session = create(TrainingSessionSchema, {
        animal: animal.record,
        ...at,
        cue: cue.record,
        criterion: value.criterion,
        trials: value.trials.length,
        successes,
        ...(minutes === undefined ? {} : { minutes }),
        note: value.note,
      });
      const records: { kind: number; fields: Uint8Array; links?: { field: number; record: number }[] }[] = [
        { kind: kind.trainingSession, fields: toBinary(TrainingSessionSchema, session) },
      ];
      const food = recordOf(value.food);
      if (food) {
        const meal = create(MealSchema, { animal: animal.record, ...at, purpose: Purpose.TRAINING });
        const unweighed = value.grams.trim() === "";
        const portion = portionOf(food, { ...notWeighed(false), net: value.grams, unweighed }, 1);
        records.push({
          kind: kind.meal,
          fields: toBinary(MealSchema, meal),
          links: [{ field: 8, record: 0 }],
        });
        if (portion) records.push(portion);
      }
      saving.log({ case: "log", value: { records } }, k.saved(animal.name));
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
  };
  return (
    <Form
      title={k.title(animal.name)}
      caution={k.caution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" onClick={save}>
          {words.save}
        </button>
      }
    >
      {cues?.length === 0 && <p>{k.noCues}</p>}
      <div class="columns">
        <section class="pool">
          <Picker
            label={k.cue}
            options={(cues ?? []).map((one) => {
              const key = recordKey(one.record);
              return { key, title: one.fields.name, value: key };
            })}
            chosen={value.cue}
            onValue={(_, key) => set({ cue: key })}
          />
          {cue && (
            <>
              <p>{cue.fields.signal !== "" && k.signal(cue.fields.signal)}</p>
              <p>{cue.fields.criterion !== "" && k.criterionOfCue(cue.fields.criterion)}</p>
            </>
          )}
          <p class="total" aria-live="polite">
            {k.count(successes, value.trials.length)}
          </p>
          <div class="tally">
            <button type="button" class="quiet" onClick={() => set({ trials: [...value.trials, false] })}>
              {k.noSuccess}
            </button>
            <button type="button" onClick={() => set({ trials: [...value.trials, true] })}>
              {k.success}
            </button>
          </div>
          <p class="marks" aria-hidden="true">
            {value.trials.map((one) => (one ? "●" : "○")).join(" ")}
          </p>
          <button
            type="button"
            class="quiet"
            disabled={value.trials.length === 0}
            onClick={() => set({ trials: value.trials.slice(0, -1) })}
          >
            {k.takeBack}
          </button>
        </section>
        <section class="pool">
          <h3>{k.foodTitle}</h3>
          <p>{k.foodHelp}</p>
          <Picker
            label={words.keeper.snack.food}
            options={(all ?? []).map(({ key, name }) => ({ key, title: name, value: key }))}
            chosen={value.food}
            onValue={(_, food) => set({ food })}
          />
          {value.food !== "" && (
            <Amount
              label={words.keeper.snack.weighed}
              value={value.grams}
              onValue={(grams) => set({ grams })}
            />
          )}
          <Text label={k.criterion} value={value.criterion} onValue={(criterion) => set({ criterion })} />
          <Amount
            label={words.keeper.minutesLong}
            value={value.minutes}
            onValue={(minutes) => set({ minutes })}
          />
          <Text label={words.keeper.note} value={value.note} onValue={(note) => set({ note })} />
          {whenField}
        </section>
      </div>
    </Form>
  );
}
