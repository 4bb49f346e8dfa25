// An officer decides about a change that the hub holds out of account: it is taken in, or left out for good.
import { useState } from "preact/hooks";
import { kindWord, readFields } from "../../core/names";
import { kind } from "../../core/kinds";
import type { HeldChange } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { RecordWords } from "./record_words";
import type { DecisionProps } from "./review_item";

function Change({ change }: { change: HeldChange }) {
  const { zone } = useShared();
  const { review } = words.desk;
  return (
    <section class="pool">
      <h3>
        {change.birth ? review.newRecord(kindWord(change.kind)) : review.changeOf(kindWord(change.kind))}
      </h3>
      {change.present ? (
        <>
          <p>
            {change.authorName || words.desk.hub} · {change.deviceName} ·{" "}
            {zone.text(Number(change.enteredMs))}
            {change.reason === "" ? "" : ` · ${change.reason}`}
          </p>
          <RecordWords kind={change.kind} fields={change.fields} withBuiltIn />
        </>
      ) : (
        <p>{review.notArrived}</p>
      )}
    </section>
  );
}

export function Held({ item, decided }: DecisionProps) {
  const { client, zone } = useShared();
  const [reason, setReason] = useState("");
  const saving = useSaving(decided);
  const hold = item.records[0];
  const { answer } = useAnswer(async () => {
    if (!hold) return null;
    const changes: HeldChange[] = [];
    for (;;) {
      const afterSeq = changes.at(-1)?.change?.seq ?? 0;
      const page = await client.ask({ case: "held", value: { hold, afterSeq } }, "held");
      changes.push(...page.changes);
      if (!page.more || page.changes.length === 0) break;
    }
    const { record: view } = await client.ask({ case: "get", value: { record: hold } }, "get");
    const fields = view ? readFields(kind.hold, view.fields) : null;
    return {
      changes,
      note: typeof fields?.note === "string" ? fields.note : "",
      heldMs: Number(fields?.heldMs ?? 0),
    };
  }, [client, hold]);
  if (!hold || !answer) return <p>{words.desk.reading}</p>;
  const { review } = words.desk;
  return (
    <>
      <p class="alarm">
        {answer.note} {answer.heldMs === 0 ? "" : review.heldSince(zone.text(answer.heldMs))}
      </p>
      <p>{review.holdHelp}</p>
      {answer.changes.map((change, index) => (
        <Change key={index} change={change} />
      ))}
      <section class="pool">
        <h3>{review.decide}</h3>
        <Text label={words.desk.form.reason} value={reason} onValue={setReason} />
        {saving.failure}
        <div class="row">
          <button
            type="button"
            onClick={() => saving.edit([{ case: "strike", value: { record: hold, reason } }], review.takenIn)}
          >
            {review.takeIn}
          </button>
          <button
            type="button"
            class="quiet"
            onClick={() =>
              saving.edit(
                [{ case: "accept", value: { record: hold, rule: item.rule, reason } }],
                review.leftOut,
              )
            }
          >
            {review.leaveOut}
          </button>
        </div>
      </section>
      {saving.really}
    </>
  );
}
