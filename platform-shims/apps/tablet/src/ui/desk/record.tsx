// One record: what it says, how it stands, what belongs to it, and what may be done with it.
import { useState } from "preact/hooks";
import { draftOf } from "../../core/draft";
import { isApproved } from "../../core/fields";
import { type Kind, kind, schemaOf } from "../../core/kinds";
import { kindWord, readFields, shortId } from "../../core/names";
import { dayText } from "../../core/time";
import { sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import type { Attachment } from "../../proto/events_pb";
import type { RecordView } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { Attached } from "../parts/attached";
import { AttachedFile } from "../parts/attached_file";
import { useAnswer, useShared } from "../state";
import { isReadOnly, partsOf } from "./groups";
import { type Line, lineOf, marksOf } from "./lines";
import { LineButton } from "./lists";
import { Approve, askedIn, Confirm, StopOrder, Strike } from "./record_acts";
import { RecordForm } from "./record_form";
import { RecordWords, useNames } from "./record_words";

// A plan made from another begins today and is nobody's yet.
const plans: number[] = [kind.dietPlan, kind.treatmentOrder, kind.enrichmentPlan, kind.watchPlan];

export function Record({ record, leave }: { record: RecordRef; leave: () => void }) {
  const { client, zone, go } = useShared();
  const names = useNames();
  const [act, setAct] = useState<"strike" | "stop" | "approve" | "confirm" | null>(null);
  const { answer, failure } = useAnswer(async () => {
    const { record: view } = await client.ask({ case: "get", value: { record } }, "get");
    if (!view) return null;
    const part = (partsOf as { [kind: number]: Kind | undefined })[view.kind];
    const parts = part
      ? await client.ask({ case: "list", value: { kind: part, subject: record, withStruck: true } }, "list")
      : null;
    const lines = await Promise.all((parts?.records ?? []).map((one) => lineOf(one, names, zone)));
    return {
      view,
      title: await names.ofView(view),
      author: await names.of(view.author),
      part,
      lines: lines.filter((line): line is Line => line !== null),
    };
  }, [client, names, record]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.desk.reading}</p>;
  const { view } = answer;
  const marks = marksOf(view);
  const isLocked = isReadOnly(view.kind);
  const fields = readFields(view.kind, view.fields);
  const asksMe = !view.struck && sameRecord(askedIn(view), client.person?.record);

  const copy = () => {
    if (!fields) return;
    const draft = draftOf(schemaOf[view.kind as Kind], fields, zone);
    delete draft.approved_by;
    delete draft.last_day;
    draft.first_day = dayText(zone.day(Date.now()));
    go({ at: "desk-new", kind: view.kind as Kind, initial: draft });
  };
  return (
    <main class="desk">
      <h2>{answer.title}</h2>
      <p class="known">
        {kindWord(view.kind)} · {shortId(record)} ·{" "}
        {words.desk.record.by(answer.author || words.desk.hub, zone.text(Number(view.enteredMs)))}
        {view.edits > 0 ? ` · ${words.desk.record.edits(view.edits)}` : ""}
      </p>
      {marks.length > 0 && <p class="asks">{marks.join(" · ")}</p>}
      {view.kind === kind.treatmentOrder && <p class="caution">{words.desk.cautions.order}</p>}
      <section class="pool">
        <RecordWords kind={view.kind} fields={view.fields} withBuiltIn />
      </section>
      {view.kind === kind.attachment ? (
        <>
          <AttachedFile attachment={fields as unknown as Attachment} />
          <button type="button" class="quiet" onClick={() => go({ at: "entry", record })}>
            {words.keeper.entry.putRight}
          </button>
        </>
      ) : (
        <Attached to={{ record, name: answer.title }} />
      )}
      {view.disagreements.length > 0 && (
        <button type="button" onClick={() => go({ at: "review" })}>
          {words.desk.record.toReview}
        </button>
      )}
      {!isLocked && (
        <div class="row acts">
          <button type="button" onClick={() => go({ at: "desk-edit", record })}>
            {words.desk.record.edit}
          </button>
          {isApproved(view.kind) && fields?.approvedBy === undefined && !view.struck && (
            <button type="button" class="quiet" onClick={() => setAct("approve")}>
              {words.desk.record.approve}
            </button>
          )}
          {asksMe && (
            <button type="button" onClick={() => setAct("confirm")}>
              {words.desk.confirm.open}
            </button>
          )}
          {view.kind === kind.treatmentOrder && !view.struck && (
            <button type="button" class="quiet" onClick={() => setAct("stop")}>
              {words.desk.record.stop}
            </button>
          )}
          {plans.includes(view.kind) && (
            <button type="button" class="quiet" onClick={copy}>
              {words.desk.record.copy}
            </button>
          )}
          <button type="button" class="quiet" onClick={() => setAct("strike")}>
            {view.struck ? words.desk.record.lift : words.desk.record.strike}
          </button>
        </div>
      )}
      {act === "strike" && <Strike view={view} done={() => setAct(null)} />}
      {act === "approve" && <Approve view={view} done={() => setAct(null)} />}
      {act === "confirm" && <Confirm view={view} done={() => setAct(null)} />}
      {act === "stop" && <StopOrder view={view} done={() => setAct(null)} />}
      {answer.part && (
        <section class="pool">
          <h3>{kindWord(answer.part, true)}</h3>
          {answer.lines.length === 0 && <p>{words.desk.record.noParts}</p>}
          <ul>
            {answer.lines.map((line) => (
              <LineButton key={line.key} line={line} />
            ))}
          </ul>
        </section>
      )}
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
      </div>
    </main>
  );
}

export function NewRecord(props: {
  kind: Kind;
  initial?: Parameters<typeof RecordForm>[0]["initial"];
  leave: () => void;
}) {
  return (
    <main class="desk">
      <h2>{words.desk.record.newOne(kindWord(props.kind))}</h2>
      <RecordForm
        kind={props.kind}
        leave={props.leave}
        {...(props.initial ? { initial: props.initial } : {})}
      />
    </main>
  );
}

export function EditRecord({ record, leave }: { record: RecordRef; leave: () => void }) {
  const { client } = useShared();
  const names = useNames();
  // The record as it was when the form opened: a change that comes in meanwhile must not move under the hands
  // of whoever types.
  const [opened, setOpened] = useState<RecordView | null>(null);
  const { answer, failure } = useAnswer(async () => {
    const reply = await client.ask({ case: "get", value: { record } }, "get");
    const view = reply.record ?? null;
    setOpened((before) => before ?? view);
    return view ? names.ofView(view) : null;
  }, [client, record]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!opened) return <p>{words.desk.reading}</p>;
  return (
    <main class="desk">
      <h2>{words.desk.record.editOf(answer ?? "")}</h2>
      <RecordForm kind={opened.kind as Kind} view={opened} leave={leave} />
    </main>
  );
}
