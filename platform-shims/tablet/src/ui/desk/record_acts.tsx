// What is said of a record that stands: it is struck, a plan is approved, an order ends.
import { create, type DescMessage, toBinary } from "@bufbuild/protobuf";
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { type Kind, kind, schemaOf } from "../../core/kinds";
import { readFields } from "../../core/names";
import type { RecordRef } from "../../proto/change_pb";
import { DietPlanSchema, EnrichmentPlanSchema, TreatmentOrderSchema } from "../../proto/plans_pb";
import type { RecordView } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { Day, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useShared } from "../state";

interface ActProps {
  view: RecordView;
  done: () => void;
}

// A question in its own frame, with a reason where one stands in the trail.
function Act(props: {
  title: string;
  help: string;
  doIt: string;
  warn?: boolean;
  run: () => void;
  done: () => void;
  children?: ComponentChildren;
}) {
  return (
    <form
      class="pool act"
      onSubmit={(event) => {
        event.preventDefault();
        props.run();
      }}
    >
      <h3>{props.title}</h3>
      <p>{props.help}</p>
      {props.children}
      <div class="row foot">
        <button type="button" class="quiet" onClick={props.done}>
          {words.desk.notNow}
        </button>
        <button type="submit" class={props.warn ? "warn" : ""}>
          {props.doIt}
        </button>
      </div>
    </form>
  );
}

export function Strike({ view, done }: ActProps) {
  const [reason, setReason] = useState("");
  const saving = useSaving(done);
  const { strike } = words.desk;
  const run = () =>
    saving.edit(
      [
        {
          case: "strike",
          value: { ...(view.record ? { record: view.record } : {}), reason, lift: view.struck },
        },
      ],
      view.struck ? strike.lifted : strike.struck,
    );
  return (
    <Act
      title={view.struck ? strike.liftTitle : strike.title}
      help={view.struck ? strike.liftHelp : strike.help}
      doIt={view.struck ? strike.liftDo : strike.do}
      warn={!view.struck}
      run={run}
      done={done}
    >
      <Text label={words.desk.form.reason} value={reason} onValue={setReason} />
      {saving.failure}
      {saving.really}
    </Act>
  );
}

export function Approve({ view, done }: ActProps) {
  const { client } = useShared();
  const saving = useSaving(done);
  const run = () => {
    const approvedBy = client.person?.record;
    if (!approvedBy || !view.record) return;
    const fields =
      view.kind === kind.dietPlan
        ? toBinary(DietPlanSchema, create(DietPlanSchema, { approvedBy }))
        : toBinary(EnrichmentPlanSchema, create(EnrichmentPlanSchema, { approvedBy }));
    saving.edit(
      [
        {
          case: "edit",
          value: { record: view.record, fields, seen: view.heads, reason: words.desk.approve.reason },
        },
      ],
      words.desk.approve.saved,
    );
  };
  return (
    <Act
      title={words.desk.approve.title}
      help={words.desk.approve.help(client.person?.name ?? "")}
      doIt={words.desk.approve.do}
      run={run}
      done={done}
    >
      {saving.failure}
      {saving.really}
    </Act>
  );
}

// Whom a record names in their own word, when they have not given it.
export function askedIn(view: RecordView): RecordRef | undefined {
  const number = view.unconfirmed[0];
  const schema = schemaOf[view.kind as Kind] as DescMessage | undefined;
  const field = schema?.fields.find((one) => one.number === number);
  const fields = readFields(view.kind, view.fields) as Record<string, unknown> | null;
  return field && fields ? (fields[field.localName] as RecordRef | undefined) : undefined;
}

export function Confirm({ view, done }: ActProps) {
  const { client } = useShared();
  const saving = useSaving(done);
  const run = () => {
    const schema = schemaOf[view.kind as Kind];
    const field = schema.fields.find((one) => one.number === view.unconfirmed[0]);
    if (!field || !view.record || !client.person) return;
    const fields = toBinary(schema, create(schema, { [field.localName]: client.person.record }));
    saving.edit(
      [
        {
          case: "edit",
          value: { record: view.record, fields, seen: view.heads, reason: words.desk.confirm.reason },
        },
      ],
      words.desk.confirm.saved,
    );
  };
  return (
    <Act
      title={words.desk.confirm.title}
      help={words.desk.confirm.help(client.person?.name ?? "")}
      doIt={words.desk.confirm.do}
      run={run}
      done={done}
    >
      {saving.failure}
      {saving.really}
    </Act>
  );
}

export function StopOrder({ view, done }: ActProps) {
  const { zone } = useShared();
  const [lastDay, setLastDay] = useState<number | null>(zone.day(Date.now()));
  const [reason, setReason] = useState("");
  const saving = useSaving(done);
  const run = () => {
    if (lastDay === null || !view.record) {
      saving.fail(words.desk.stop.noDay);
      return;
    }
    const fields = toBinary(TreatmentOrderSchema, create(TreatmentOrderSchema, { lastDay }));
    saving.edit(
      [{ case: "edit", value: { record: view.record, fields, seen: view.heads, reason } }],
      words.desk.stop.saved,
    );
  };
  return (
    <Act
      title={words.desk.stop.title}
      help={words.desk.stop.help}
      doIt={words.desk.stop.do}
      run={run}
      done={done}
    >
      <Day label={words.desk.stop.lastDay} value={lastDay} onValue={setLastDay} />
      <Text label={words.desk.form.reason} value={reason} onValue={setReason} />
      {saving.failure}
      {saving.really}
    </Act>
  );
}
