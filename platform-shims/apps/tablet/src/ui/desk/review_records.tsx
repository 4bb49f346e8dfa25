// Records that may tell of one event, side by side: what differs, whence each came, and people's word on them.
import { useState } from "preact/hooks";
import type { What } from "../../core/client";
import { labelOf } from "../../core/field_words";
import { kind } from "../../core/kinds";
import { shortId } from "../../core/names";
import { type RecordView, ReviewLevel, type ReviewRecord } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useShared } from "../state";
import { marksOf } from "./lines";
import { History } from "./origin";
import { RecordWords, ValueWords } from "./record_words";
import { reviewRule } from "./review_rules";
import type { DecisionProps } from "./review_item";

type Writing = Extract<What, { case: "edit" | "strike" | "fold" | "accept" }>;

function Column({ record, number }: { record: ReviewRecord; number: number }) {
  const { zone, go } = useShared();
  const { view } = record;
  if (!view) return null;
  const { origin, review } = words.desk;
  const marks = marksOf(view);
  return (
    <section class="pool">
      <h3>
        {review.numbered(number)} <small>{view.record ? shortId(view.record) : ""}</small>
      </h3>
      {marks.length > 0 && <p class="asks">{marks.join(" · ")}</p>}
      <p>
        {record.authorName || words.desk.hub} · {record.deviceName} ·{" "}
        {words.admin.trail.authorship[record.view?.authorship ?? 0]}
        <br />
        {origin.entered} {zone.text(Number(view.enteredMs))}
        <br />
        {origin.held} {record.heldMs === 0n ? origin.notHeld : zone.text(Number(record.heldMs))}
      </p>
      <RecordWords kind={view.kind} fields={view.fields} />
      {record.parts.map((part: RecordView, index) => (
        <div class="part" key={index}>
          <RecordWords kind={part.kind} fields={part.fields} />
        </div>
      ))}
      {record.history.length > 0 && (
        <details>
          <summary>{review.history}</summary>
          <History entries={record.history} whole={view.fields} />
        </details>
      )}
      {view.record && (
        <button
          type="button"
          class="quiet"
          onClick={() => view.record && go({ at: "desk-edit", record: view.record })}
        >
          {words.desk.record.edit}
        </button>
      )}
    </section>
  );
}

export function SideBySide({ item, detail, decided }: DecisionProps) {
  const [reason, setReason] = useState("");
  const saving = useSaving(decided);
  const { review } = words.desk;
  const { records } = item;
  const say = (acts: Writing[]) => saving.edit(acts, review.settled);

  const keep = (index: number) => {
    const into = records[index];
    if (!into) return;
    say(
      records
        .filter((_, i) => i !== index)
        .map((record) => ({ case: "fold" as const, value: { record, into, reason } })),
    );
  };
  const accept = () => {
    const [record, ...beside] = records;
    if (!record) return;
    // Where doses are out of order the word is about the pair, and stands with the one that was due first.
    const others = item.rule === reviewRule.doubleEntry ? { beside } : {};
    say([{ case: "accept", value: { record, rule: item.rule, reason, ...others } }]);
  };
  const unfold = () =>
    say(records.map((record) => ({ case: "fold" as const, value: { record, unfold: true, reason } })));

  const differing = detail.compared.filter((field) => !field.same);
  const isDouble = item.rule === reviewRule.doubleEntry;
  return (
    <>
      {isDouble && item.level === ReviewLevel.URGENT && item.kind === kind.administration && (
        <p class="alarm">{review.twice}</p>
      )}
      {item.rule === reviewRule.foldAstray && <p>{review.astrayHelp}</p>}
      {item.rule === reviewRule.doseOutOfOrder && <p>{review.orderHelp}</p>}
      {records.length > 1 && (
        <div class="wide" role="region" tabIndex={0} aria-label={review.differs}>
          <table>
            <caption>{differing.length === 0 ? review.noDifference : review.differs}</caption>
            <thead>
              <tr>
                <th scope="col">{review.field}</th>
                {records.map((_, index) => (
                  <th scope="col" key={index}>
                    {review.numbered(index + 1)}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {differing.map((field) => (
                <tr key={field.field}>
                  <th scope="row">{labelOf(item.kind, field.field)}</th>
                  {field.values.map((value, index) => {
                    const whole = detail.records[index]?.view?.fields;
                    return (
                      <td key={index}>
                        <ValueWords
                          kind={item.kind}
                          field={field.field}
                          part={value}
                          {...(whole ? { whole } : {})}
                        />
                      </td>
                    );
                  })}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <div class="sides">
        {detail.records.map((record, index) => (
          <Column key={index} record={record} number={index + 1} />
        ))}
      </div>
      <section class="pool">
        <h3>{review.decide}</h3>
        <Text label={words.desk.form.reason} value={reason} onValue={setReason} />
        {saving.failure}
        <div class="row">
          {isDouble &&
            records.map((_, index) => (
              <button type="button" key={index} onClick={() => keep(index)}>
                {review.keep(index + 1)}
              </button>
            ))}
          {item.rule === reviewRule.foldAstray && (
            <button type="button" onClick={unfold}>
              {review.unfold}
            </button>
          )}
          {item.rule !== reviewRule.foldAstray && (
            <button type="button" class={isDouble ? "quiet" : ""} onClick={accept}>
              {isDouble ? review.allReal(records.length) : review.accept}
            </button>
          )}
        </div>
      </section>
      {saving.really}
    </>
  );
}
