// A choice of records: found by kind, whom they belong to and days, and ticked.
import { useState } from "preact/hooks";
import { recordWords } from "../../core/field_words";
import { type Kind, kind } from "../../core/kinds";
import { kindWord } from "../../core/names";
import { recordKey, sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { useNames } from "../desk/record_words";
import { Day, Picker } from "../parts/inputs";
import { useAnswer, useShared } from "../state";

const text = words.admin.evidence;
const most = 100;
const kinds = (Object.values(kind) as Kind[])
  .map((value) => ({ key: String(value), title: kindWord(value, true), value }))
  .sort((a, b) => a.title.localeCompare(b.title, words.language));

function Found(props: {
  of: Kind;
  subject: RecordRef | null;
  first: number | null;
  last: number | null;
  value: RecordRef[];
  onValue: (records: RecordRef[]) => void;
}) {
  const { client, zone } = useShared();
  const names = useNames();
  const { of, subject, first, last } = props;
  const { answer, failure } = useAnswer(async () => {
    const reply = await client.ask(
      {
        case: "list",
        value: {
          kind: of,
          withStruck: true,
          limit: most,
          ...(subject ? { subject } : { allSubjects: true }),
          ...(first === null ? {} : { firstDay: first }),
          ...(last === null ? {} : { lastDay: last }),
        },
      },
      "list",
    );
    const found = await Promise.all(
      reply.records.map(async (view) => ({
        record: view.record,
        name: await names.ofView(view),
        says: (await recordWords(view.kind, view.fields, { names, zone })).map(([, value]) => value),
      })),
    );
    return { found, more: reply.more };
  }, [client, names, of, subject, first, last]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.admin.reading}</p>;
  return (
    <fieldset class="choices">
      <legend>{answer.found.length === 0 ? text.noneFound : text.tick}</legend>
      {answer.found.map(({ record, name, says }) =>
        record ? (
          <label class="check" key={recordKey(record)}>
            <input
              type="checkbox"
              checked={props.value.some((one) => sameRecord(one, record))}
              onChange={(event) =>
                props.onValue(
                  event.currentTarget.checked
                    ? [...props.value, record]
                    : props.value.filter((one) => !sameRecord(one, record)),
                )
              }
            />
            <span>
              {name} <small>{says.join(" · ")}</small>
            </span>
          </label>
        ) : null,
      )}
      {answer.more && <p>{text.narrow(most)}</p>}
    </fieldset>
  );
}

export function ChosenRecords(props: { value: RecordRef[]; onValue: (records: RecordRef[]) => void }) {
  const names = useNames();
  const [of, setOf] = useState<Kind | null>(null);
  const [subject, setSubject] = useState<RecordRef | null>(null);
  const [first, setFirst] = useState<number | null>(null);
  const [last, setLast] = useState<number | null>(null);
  const { answer: subjects } = useAnswer(
    async () => [...(await names.options(kind.animal)), ...(await names.options(kind.pool))],
    [names],
  );
  const { answer: chosen } = useAnswer(
    () => Promise.all(props.value.map(async (record) => ({ record, name: await names.of(record) }))),
    [names, props.value],
  );
  return (
    <section class="pool">
      <h3>{text.chosen(props.value.length)}</h3>
      <ul class="plain lined">
        {chosen?.map(({ record, name }) => (
          <li class="row between" key={recordKey(record)}>
            <span>{name}</span>
            <button
              type="button"
              class="quiet"
              aria-label={text.leaveOut(name)}
              onClick={() => props.onValue(props.value.filter((one) => !sameRecord(one, record)))}
            >
              ✕
            </button>
          </li>
        ))}
      </ul>
      <div class="filters">
        <Picker label={text.kind} options={kinds} chosen={of === null ? "" : String(of)} onValue={setOf} />
        <Picker
          label={text.subject}
          options={subjects ?? []}
          chosen={subject ? recordKey(subject) : ""}
          onValue={setSubject}
        />
        <Day label={words.admin.trail.from} value={first} onValue={setFirst} />
        <Day label={words.admin.trail.to} value={last} onValue={setLast} />
      </div>
      {of !== null && (
        <Found
          of={of}
          subject={subject}
          first={first}
          last={last}
          value={props.value}
          onValue={props.onValue}
        />
      )}
    </section>
  );
}
