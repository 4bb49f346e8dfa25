// One entry: what it says, how it came about, and the ways to put it right. Nothing is ever overwritten: an edit stands beside
// what was there in the trail, a strike takes it out of account and can be lifted.
import { failureText } from "../../core/messages";
import type { Message } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { kind, type Kind, schemaOf } from "../../core/kinds";
import { getOne, type Held, listAll, recordKey } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { type Attachment, type Portion, PortionSchema } from "../../proto/events_pb";
import type { TrailEntry } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { Attached } from "../parts/attached";
import { AttachedFile } from "../parts/attached_file";
import { FieldProblems } from "../parts/field_problems";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { EntryField } from "./entry_field";
import { asTyped, editOf, fieldsToEdit, numberOf, valuesOf } from "./entry_fields";
import { loadNames, type Names } from "./entry_names";
import { EntrySides, EntryTrail } from "./entry_trail";
import { happenedMs, kindTitle, portionText, say } from "./entry_words";
import { Form } from "./form";
import { useDraft } from "./kept";

const k = words.keeper.entry;

interface Whole {
  held: Held<Message>;
  names: Names;
  portions: Held<Portion>[]; // The portions of a meal.
  trail: TrailEntry[];
}

export function Entry({ record, leave }: { record: RecordRef; leave: () => void }) {
  const { client } = useShared();
  const { answer, failure } = useAnswer(async (): Promise<Whole | null> => {
    const { record: view } = await client.ask({ case: "get", value: { record } }, "get");
    const schema = (schemaOf as Partial<Record<number, (typeof schemaOf)[Kind]>>)[view?.kind ?? 0];
    const held = schema ? await getOne(client, record, schema) : null;
    if (!held) return null;
    const [names, portions, { entries: trail }] = await Promise.all([
      loadNames(client),
      held.view.kind === kind.meal
        ? listAll(client, kind.portion, PortionSchema, { subject: record, withStruck: true })
        : [],
      client.ask({ case: "trail", value: { record } }, "trail"),
    ]);
    return { held, names, portions, trail };
  }, [client, record]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.loading}</p>;
  return <Shown whole={answer} leave={leave} />;
}

function Shown({ whole, leave }: { whole: Whole; leave: () => void }) {
  const { zone, go } = useShared();
  const { held, names } = whole;
  const of = held.view.kind as Kind;
  const fields = fieldsToEdit(of, held.fields);
  const draft = useDraft(`entry.${recordKey(held.record)}`, {
    typed: {} as Partial<Record<string, string>>,
    reason: "",
  });
  const [settle, setSettle] = useState(false);
  const saving = useSaving(
    () => {
      draft.drop();
      leave();
    },
    (problem) => fields.some((field) => numberOf(of, field) === problem.field),
  );
  const said = say(held.view, names);
  const at = happenedMs(held.fields) ?? Number(held.view.enteredMs);
  const disagrees = held.view.disagreements.length > 0;

  const withReason = (act: () => void) => {
    if (draft.value.reason.trim() === "") saving.fail(words.keeper.reasonMissing);
    else act();
  };
  const save = () => {
    try {
      const edited = editOf(of, held.fields, draft.value.typed);
      if (!edited) throw new Error(k.nothingChanged);
      const value = {
        record: held.record,
        ...edited,
        reason: draft.value.reason,
        seen: held.view.heads,
        settle,
      };
      withReason(() => saving.edit([{ case: "edit", value }], k.saved));
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
  };
  const strike = (lift: boolean) =>
    withReason(() => {
      const value = { record: held.record, reason: draft.value.reason, lift, settle };
      saving.edit([{ case: "strike", value }], lift ? k.lifted : k.struckSaved);
    });
  const title = said.subject ? names.of(said.subject) : said.place;
  return (
    <Form
      title={[kindTitle(of), title].filter(Boolean).join(": ")}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <>
          {held.view.struck ? (
            <button type="button" class="quiet" onClick={() => strike(true)}>
              {k.lift}
            </button>
          ) : (
            <button type="button" class="quiet danger" onClick={() => strike(false)}>
              {k.strike}
            </button>
          )}
          {fields.length > 0 && (
            <button type="button" onClick={save}>
              {k.change}
            </button>
          )}
        </>
      }
    >
      <p class="total">{said.text}</p>
      <p class="known">
        {[zone.momentText(at, words.language), k.by(names.of(held.view.author))].join(" · ")}
        {held.view.edits > 0 ? ` · ${k.edits(held.view.edits)}` : ""}
      </p>
      {held.view.struck && <p class="asks">{k.isStruck}</p>}
      {held.view.kind === kind.attachment && <AttachedFile attachment={held.fields as Attachment} />}
      <div class="columns">
        <div>
          {whole.portions.length > 0 && (
            <section class="pool">
              <h3>{k.portions}</h3>
              <ul>
                {whole.portions.map((portion) => (
                  <li key={recordKey(portion.record)}>
                    <button
                      type="button"
                      class={portion.view.struck ? "item struck" : "item"}
                      onClick={() => go({ at: "entry", record: portion.record })}
                    >
                      {portionText(portion.fields, names)}
                      {portion.view.struck && (
                        <span class="state upcoming">{words.keeper.entries.struck}</span>
                      )}
                    </button>
                  </li>
                ))}
              </ul>
              <button
                type="button"
                class="quiet"
                onClick={() => go({ at: "left", meal: held.record, title: k.leftOf(title) })}
              >
                {words.keeper.today.weighLeft}
              </button>
            </section>
          )}
          <section class="pool">
            <h3>{k.putRight}</h3>
            {disagrees && (
              <>
                <p class="asks">{k.disagrees}</p>
                <EntrySides held={held} names={names} trail={whole.trail} />
                <button
                  type="button"
                  class={settle ? "chosen" : "quiet"}
                  aria-pressed={settle}
                  onClick={() => setSettle(!settle)}
                >
                  {k.settle}
                </button>
              </>
            )}
            {fields.map((field) => (
              <div key={field.name}>
                <FieldProblems problems={saving.problems} field={numberOf(of, field)} />
                <EntryField
                  field={field}
                  value={draft.value.typed[field.name] ?? asTyped(field, valuesOf(held.fields)[field.name])}
                  onValue={(typed) => draft.set({ typed: { ...draft.value.typed, [field.name]: typed } })}
                />
              </div>
            ))}
            <Text
              label={words.keeper.reason}
              value={draft.value.reason}
              onValue={(reason) => draft.set({ reason })}
            />
            <button
              type="button"
              class="quiet"
              onClick={() => go({ at: "desk-record", record: held.record })}
            >
              {k.allFields}
            </button>
          </section>
        </div>
        <div>
          <EntryTrail held={held} names={names} trail={whole.trail} />
          {held.view.kind !== kind.attachment && (
            <Attached to={{ record: held.record, name: [kindTitle(of), title].filter(Boolean).join(": ") }} />
          )}
        </div>
      </div>
    </Form>
  );
}
