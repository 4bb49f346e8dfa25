// A field with several values, written by people who did not know of each other's: side by side, and one is chosen or
// another written.
import { type DescMessage, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import type { What } from "../../core/client";
import { type Draft, draftOf, messageOf, numberIn } from "../../core/draft";
import { fieldOf, labelOf } from "../../core/field_words";
import { builtIn } from "../../core/fields";
import { schemaOf } from "../../core/kinds";
import { readFields } from "../../core/names";
import type { ReviewSide } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { OneInput } from "./field_inputs";
import { History, Origin } from "./origin";
import { useNames, ValueWords } from "./record_words";
import type { DecisionProps } from "./review_item";

type Writing = Extract<What, { case: "edit" | "strike" | "fold" | "accept" }>;

export function Disagreement({ item, detail, decided }: DecisionProps) {
  const { client } = useShared();
  const record = item.records[0];
  const { answer: view } = useAnswer(
    async () => (record ? (await client.ask({ case: "get", value: { record } }, "get")).record : null),
    [client, record],
  );
  const [reason, setReason] = useState("");
  const saving = useSaving(decided);
  if (!record || !view) return <p>{words.desk.reading}</p>;

  const say = (what: Writing) => saving.edit([what], words.desk.review.settled);
  const settle = (fields: Uint8Array, clears: number[]) =>
    say({
      case: "edit",
      value: { record, fields, clears, reason, settle: true, seen: view.heads },
    });
  const choose = (side: ReviewSide) => {
    const value = side.head?.value ?? new Uint8Array();
    settle(value, value.length === 0 ? [item.field] : []);
  };
  const { review } = words.desk;
  const isBuiltIn = item.field >= builtIn.standing;
  return (
    <>
      <div class="sides">
        {detail.sides.map(
          (side, index) =>
            side.head && (
              <section class="pool" key={index}>
                <h3>
                  {side.head.field !== item.field && `${labelOf(item.kind, side.head.field)}: `}
                  <ValueWords
                    kind={item.kind}
                    field={side.head.field}
                    part={side.head.value}
                    whole={view.fields}
                  />
                </h3>
                <Origin entry={side.head} />
                {side.history.length > 0 && (
                  <>
                    <p class="known">{review.before}</p>
                    <History entries={side.history} whole={view.fields} />
                  </>
                )}
                {!isBuiltIn && (
                  <button type="button" onClick={() => choose(side)}>
                    {review.choose}
                  </button>
                )}
              </section>
            ),
        )}
      </div>
      <Text label={words.desk.form.reason} value={reason} onValue={setReason} />
      {item.field === builtIn.standing && (
        <div class="row">
          <button
            type="button"
            onClick={() => say({ case: "strike", value: { record, reason, settle: true } })}
          >
            {review.staysStruck}
          </button>
          <button
            type="button"
            onClick={() => say({ case: "strike", value: { record, reason, settle: true, lift: true } })}
          >
            {review.counts}
          </button>
        </div>
      )}
      {item.field === builtIn.sameAs && (
        <div class="row">
          {view.foldedInto && (
            <button
              type="button"
              onClick={() =>
                view.foldedInto &&
                say({ case: "fold", value: { record, into: view.foldedInto, reason, settle: true } })
              }
            >
              {review.oneEvent}
            </button>
          )}
          <button
            type="button"
            onClick={() => say({ case: "fold", value: { record, unfold: true, reason, settle: true } })}
          >
            {review.ownEvent}
          </button>
        </div>
      )}
      {item.field === builtIn.accepted && (
        <button type="button" onClick={() => choose(detail.sides[0] ?? ({} as ReviewSide))}>
          {review.accept}
        </button>
      )}
      {!isBuiltIn && <Another {...{ item, detail, decided }} fields={view.fields} settle={settle} />}
      {saving.failure}
      {saving.really}
    </>
  );
}

// None of the values is right: another one is typed.
function Another(
  props: DecisionProps & {
    fields: Uint8Array;
    settle: (fields: Uint8Array, clears: number[]) => void;
  },
) {
  const { zone } = useShared();
  const names = useNames();
  const { item } = props;
  const desc = (schemaOf as Record<number, DescMessage | undefined>)[item.kind];
  const whole = readFields(item.kind, props.fields);
  const field = fieldOf(item.kind, item.field);
  const [draft, setDraft] = useState<Draft>(() => (desc && whole ? draftOf(desc, whole, zone) : {}));
  const [problem, setProblem] = useState("");
  if (!desc || !whole || !field || field.fieldKind === "list") return null;
  const save = () => {
    const made = messageOf(desc, draft, zone, new Set([field.name]));
    const wrong = made.problems.get(field.name) ?? "";
    setProblem(wrong);
    if (wrong === "")
      props.settle(toBinary(desc, made.message), numberOfFields(made.message) === 0 ? [item.field] : []);
  };
  const numberOfFields = (message: typeof whole) => toBinary(desc, message).length;
  const isClear = numberIn(whole)(field.name) === 0 && draft[field.name] === undefined;
  return (
    <section class="pool">
      <h3>{words.desk.review.another}</h3>
      <OneInput
        field={field}
        label={labelOf(item.kind, item.field)}
        typed={draft[field.name]}
        draft={draft}
        names={names}
        onTyped={(typed) => setDraft({ ...draft, [field.name]: typed })}
      />
      {isClear && <p class="known">{words.desk.review.anotherEmpty}</p>}
      {problem !== "" && (
        <p class="failure" role="alert">
          {problem}
        </p>
      )}
      <button type="button" class="quiet" onClick={save}>
        {words.desk.review.settleTyped}
      </button>
    </section>
  );
}
