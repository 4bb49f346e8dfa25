// This screen takes what came back of a meal: 0 is weighed, empty is not weighed. A control of the same food that stood in
// the same water tells how much the leftover took up.
import { failureText } from "../../core/messages";
import { create, toBinary } from "@bufbuild/protobuf";
import { gramsTyped } from "./numbers";
import { kind } from "../../core/kinds";
import { getOne, type Held, listAll, recordKey } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { type Portion, PortionSchema } from "../../proto/events_pb";
import { FoodSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Amount, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import { grams } from "./weigh_line";

const k = words.keeper.left;

interface Typed {
  left: string;
  soaked: boolean;
  before: string;
  after: string;
  anew: boolean; // It is recorded already, and to be changed.
}
const blank: Typed = { left: "", soaked: false, before: "", after: "", anew: false };

export const offeredOf = (portion: Portion): bigint | null =>
  portion.offeredMg ??
  (portion.grossMg === undefined || portion.tareMg === undefined ? null : portion.grossMg - portion.tareMg);

// The control's mass after per its mass before, parts per million, to the nearest.
function soakPpm(typed: Typed): number | null {
  if (!typed.soaked) return null;
  const before = gramsTyped(typed.before);
  const after = gramsTyped(typed.after);
  if (before === null || after === null || before === 0n) throw new Error(k.noControl);
  return Number((after * 2_000_000n + before) / (2n * before));
}

export function Left({ meal, title, leave }: { meal: RecordRef; title: string; leave: () => void }) {
  const { client } = useShared();
  const draft = useDraft<{ lines: Record<string, Typed>; reason: string }>(`left.${recordKey(meal)}`, {
    lines: {},
    reason: "",
  });
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: portions } = useAnswer(async () => {
    const held = await listAll(client, kind.portion, PortionSchema, { subject: meal });
    return Promise.all(
      held.map(async (portion) => {
        const food = portion.fields.food && (await getOne(client, portion.fields.food, FoodSchema));
        return { portion, key: recordKey(portion.record), foodName: food?.fields.name ?? "" };
      }),
    );
  }, [client, meal]);
  if (!portions) return <p>{words.loading}</p>;

  const at = (key: string) => draft.value.lines[key] ?? blank;
  const set = (key: string, change: Partial<Typed>) =>
    draft.set({ lines: { ...draft.value.lines, [key]: { ...at(key), ...change } } });
  const anew = portions.some(({ key }) => at(key).anew);

  const edit = (held: Held<Portion>, typed: Typed) => {
    const leftMg = gramsTyped(typed.left);
    if (leftMg === null) throw new Error(words.notANumber);
    const soak = soakPpm(typed);
    const fields = create(PortionSchema, { leftMg, ...(soak === null ? {} : { soakPpm: soak }) });
    return {
      case: "edit" as const,
      value: {
        record: held.record,
        fields: toBinary(PortionSchema, fields),
        seen: held.view.heads,
        reason: typed.anew ? draft.value.reason : "",
      },
    };
  };
  const save = () => {
    try {
      const edits = portions.flatMap(({ portion, key }) =>
        at(key).left.trim() === "" ? [] : [edit(portion, at(key))],
      );
      if (anew && draft.value.reason.trim() === "") throw new Error(words.keeper.reasonMissing);
      if (edits.length === 0) throw new Error(k.nothingTyped);
      saving.edit(edits, words.leftSaved);
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
  };
  return (
    <Form
      title={title}
      caution={words.foodCaution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <>
          <button
            type="button"
            class="quiet"
            onClick={() => {
              const open = portions.filter(({ portion }) => portion.fields.leftMg === undefined);
              draft.set({
                lines: {
                  ...draft.value.lines,
                  ...Object.fromEntries(open.map(({ key }) => [key, { ...at(key), left: "0" }])),
                },
              });
            }}
          >
            {k.nothingBack}
          </button>
          <button type="button" onClick={save}>
            {words.save}
          </button>
        </>
      }
    >
      <p>{portions.length === 0 ? words.nothingOffered : words.leftHelp}</p>
      <div class="columns">
        {portions.map(({ portion: { fields }, key, foodName }) => {
          const typed = at(key);
          const offered = offeredOf(fields);
          const left = gramsTyped(typed.left);
          return (
            <section class="pool" key={key}>
              <h3>
                {foodName} <small>{offered === null ? k.notWeighed : words.offered(grams(offered))}</small>
              </h3>
              {fields.leftMg !== undefined && !typed.anew ? (
                <div class="row">
                  <p class="grow">{words.leftAlready(grams(fields.leftMg))}</p>
                  <button type="button" class="quiet" onClick={() => set(key, { anew: true })}>
                    {k.change}
                  </button>
                </div>
              ) : (
                <>
                  <Amount
                    label={words.left}
                    value={typed.left}
                    onValue={(text) => set(key, { left: text })}
                  />
                  {left !== null && offered !== null && left > offered && (
                    <p class="asks">{k.moreThanOffered}</p>
                  )}
                  <button
                    type="button"
                    class={typed.soaked ? "chosen" : "quiet"}
                    aria-pressed={typed.soaked}
                    onClick={() => set(key, { soaked: !typed.soaked })}
                  >
                    {k.control}
                  </button>
                  {typed.soaked && (
                    <>
                      <p>{k.controlHelp}</p>
                      <div class="row">
                        <Amount
                          label={k.before}
                          value={typed.before}
                          onValue={(before) => set(key, { before })}
                        />
                        <Amount
                          label={k.after}
                          value={typed.after}
                          onValue={(after) => set(key, { after })}
                        />
                      </div>
                    </>
                  )}
                </>
              )}
            </section>
          );
        })}
      </div>
      {anew && (
        <Text
          label={words.keeper.reason}
          value={draft.value.reason}
          onValue={(reason) => draft.set({ reason })}
        />
      )}
    </Form>
  );
}
