// These acts say something of a record that stands: it is struck, a plan is approved, an order ends.
import { create, type DescField, type DescMessage, toBinary } from "@bufbuild/protobuf";
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { type Kind, schemaOf } from "../../core/kinds";
import { readFields } from "../../core/names";
import type { RecordRef } from "../../proto/change_pb";
import { TreatmentOrderSchema } from "../../proto/plans_pb";
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

interface Word {
  title: string;
  help: (name: string) => string;
  do: string;
  reason: string;
  saved: string;
}

function fieldOf(view: RecordView, is: (field: DescField) => boolean): DescField | undefined {
  const schema = schemaOf[view.kind as Kind] as DescMessage | undefined;
  return schema?.fields.find(is);
}

// The person whom a record names, when they have not given their own word.
export function askedIn(view: RecordView): RecordRef | undefined {
  const field = fieldOf(view, ({ number }) => number === view.unconfirmed[0]);
  const fields = readFields(view.kind, view.fields) as Record<string, unknown> | null;
  return field && fields ? (fields[field.localName] as RecordRef | undefined) : undefined;
}

// Gives a field of the record the value of who is signed in: it is their word then.
function GiveWord({ view, done, field, text }: ActProps & { field: DescField | undefined; text: Word }) {
  const { client } = useShared();
  const saving = useSaving(done);
  const run = () => {
    if (!field || !view.record || !client.person) return;
    const schema = field.parent;
    const fields = toBinary(schema, create(schema, { [field.localName]: client.person.record }));
    saving.edit(
      [{ case: "edit", value: { record: view.record, fields, seen: view.heads, reason: text.reason } }],
      text.saved,
    );
  };
  return (
    <Act title={text.title} help={text.help(client.person?.name ?? "")} doIt={text.do} run={run} done={done}>
      {saving.failure}
      {saving.really}
    </Act>
  );
}

export const Approve = (props: ActProps) => (
  <GiveWord
    {...props}
    field={fieldOf(props.view, ({ name }) => name === "approved_by")}
    text={words.desk.approve}
  />
);
export const Confirm = (props: ActProps) => (
  <GiveWord
    {...props}
    field={fieldOf(props.view, ({ number }) => number === props.view.unconfirmed[0])}
    text={words.desk.confirm}
  />
);

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
