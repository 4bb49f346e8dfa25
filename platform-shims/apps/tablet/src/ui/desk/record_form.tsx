// A form for a record of any kind, by its message: a new one, or an edit of the fields that were changed, with a reason.
import { type DescField, toBinary } from "@bufbuild/protobuf";
import { useMemo, useState } from "preact/hooks";
import { type Draft, draftOf, isEmpty, isSame, messageOf } from "../../core/draft";
import { fieldsOf, isApproved } from "../../core/fields";
import { fieldLabel } from "../../core/field_words";
import { type Kind, kind as kinds, schemaOf } from "../../core/kinds";
import { readFields } from "../../core/names";
import type { RecordView } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { FieldProblems } from "../parts/field_problems";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useShared } from "../state";
import { Fields } from "./form_fields";
import { useNames } from "./record_words";

export interface FormProps {
  kind: Kind;
  // The record that is edited, as it was on screen. Without it a new one is made.
  view?: RecordView;
  // For a new record, the fields known from the screen before, by the names of fields.
  initial?: Draft;
  hidden?: string[];
  saved?: () => void;
  leave: () => void;
}

// Cautions where work can hurt.
const cautions: Partial<Record<Kind, string>> = {
  [kinds.treatmentOrder]: words.desk.cautions.order,
  [kinds.administration]: words.doseCaution,
  [kinds.dietPlan]: words.desk.cautions.plan,
  [kinds.waterLimit]: words.desk.cautions.water,
  [kinds.waterReading]: words.desk.cautions.water,
  [kinds.lot]: words.desk.cautions.food,
  [kinds.food]: words.desk.cautions.composition,
  [kinds.enricher]: words.desk.cautions.enricher,
};

// An approval is a word of its own, by who is signed in (record_acts.tsx).
const hiddenAlways = (props: FormProps): string[] => [
  ...(props.hidden ?? []),
  ...(isApproved(props.kind) ? ["approved_by"] : []),
];
const hiddenInNew = (props: FormProps): string[] => [
  ...hiddenAlways(props),
  // The day follows from the time.
  ...(schemaOf[props.kind].field.happenedMs ? ["day"] : []),
];

function useDrafted(props: FormProps) {
  const { client, zone } = useShared();
  return useMemo((): Draft => {
    const fields = props.view && readFields(props.kind, props.view.fields);
    if (fields) return draftOf(schemaOf[props.kind], fields, zone);
    const isEvent = schemaOf[props.kind].field.happenedMs !== undefined;
    const author = client.person?.record;
    return {
      ...(isEvent ? { happened_ms: zone.text(Date.now()) } : {}),
      ...(author && props.kind === kinds.treatmentOrder ? { ordered_by: author } : {}),
      ...props.initial,
    };
  }, []);
}

export function RecordForm(props: FormProps) {
  const { zone } = useShared();
  const names = useNames();
  const desc = schemaOf[props.kind];
  const before = useDrafted(props);
  const [draft, setDraft] = useState<Draft>(before);
  const [reason, setReason] = useState("");
  const [settles, setSettles] = useState(false);
  const [problems, setProblems] = useState(new Map<string, string>());
  const hidden = props.view ? hiddenAlways(props) : hiddenInNew(props);
  const shown = fieldsOf(desc).filter((field) => !hidden.includes(field.name));
  const saving = useSaving(props.saved ?? props.leave, (problem) =>
    shown.some((field) => field.number === problem.field),
  );
  const disagreements = props.view?.disagreements ?? [];

  const changed = fieldsOf(desc).filter((field) => !isSame(draft[field.name], before[field.name]));
  const settled = changed.filter((field) => disagreements.includes(field.number));

  const save = () => {
    if (props.view && changed.length === 0) {
      saving.fail(words.desk.form.nothingChanged);
      return;
    }
    if (settled.length > 0 && !settles) {
      saving.fail(words.desk.form.saySettles);
      return;
    }
    const only = props.view ? new Set(changed.map((field) => field.name)) : undefined;
    const made = messageOf(desc, draft, zone, only);
    setProblems(made.problems);
    if (made.problems.size > 0) {
      saving.fail(words.lookAgain);
      return;
    }
    const fields = toBinary(desc, made.message);
    if (!props.view?.record) {
      saving.log(
        { case: "log", value: { records: [{ kind: props.kind, fields }] } },
        words.desk.form.made(words.kindNames[nameOf(props.kind)][0]),
      );
      return;
    }
    const clears = changed.filter((field) => isEmpty(draft[field.name])).map((field) => field.number);
    saving.edit(
      [
        {
          case: "edit",
          value: {
            record: props.view.record,
            fields,
            clears,
            reason,
            seen: props.view.heads,
            settle: settles,
          },
        },
      ],
      words.desk.form.changed,
    );
  };

  const remark = (field: DescField) => (
    <>
      {disagreements.includes(field.number) && <p class="asks">{words.desk.form.disagreement}</p>}
      {problems.has(field.name) && <p class="failure">{problems.get(field.name)}</p>}
      <FieldProblems problems={saving.problems} field={field.number} />
    </>
  );
  const caution = cautions[props.kind];
  return (
    <form
      class="record"
      onSubmit={(event) => {
        event.preventDefault();
        save();
      }}
    >
      {caution !== undefined && <p class="caution">{caution}</p>}
      <Fields desc={desc} draft={draft} names={names} hidden={hidden} remark={remark} onDraft={setDraft} />
      {props.view && <Text label={words.desk.form.reason} value={reason} onValue={setReason} />}
      {settled.length > 0 && (
        <label class="tick">
          <input
            type="checkbox"
            checked={settles}
            onChange={(event) => setSettles(event.currentTarget.checked)}
          />
          {words.desk.form.settles(settled.map(fieldLabel).join(", "))}
        </label>
      )}
      {saving.failure}
      <div class="row foot">
        <button type="button" class="quiet" onClick={props.leave}>
          {words.cancel}
        </button>
        <button type="submit">{words.save}</button>
      </div>
      {saving.really}
    </form>
  );
}

function nameOf(number: Kind): keyof typeof kinds {
  return (Object.keys(kinds) as (keyof typeof kinds)[]).find((name) => kinds[name] === number) ?? "facility";
}
