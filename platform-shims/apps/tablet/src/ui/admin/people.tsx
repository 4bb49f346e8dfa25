// Everybody who can be the author of an entry; those who left stay in the list, struck.
import { dayText } from "../../core/time";
import { kind } from "../../core/kinds";
import { listAll, recordKey } from "../../core/records";
import { PersonSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { roleWords } from "./roles";
import { SignInRules } from "./sign_in_rules";

const text = words.admin.people;

export function PeopleList() {
  const { client, zone, go } = useShared();
  const { answer: people, failure } = useAnswer(
    () => listAll(client, kind.person, PersonSchema, { allSubjects: true, withStruck: true }),
    [client],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!people) return <p>{words.admin.reading}</p>;
  const sorted = [...people].sort(
    (a, b) =>
      Number(a.view.struck) - Number(b.view.struck) ||
      a.fields.name.localeCompare(b.fields.name, words.language),
  );
  return (
    <main>
      <h2>{text.title}</h2>
      <p>{text.help}</p>
      <button type="button" onClick={() => go({ at: "new-person" })}>
        {text.add}
      </button>
      <section class="pool">
        <ul>
          {sorted.map(({ record, fields, view }) => (
            <li key={recordKey(record)}>
              <button type="button" class="item" onClick={() => go({ at: "person", person: record })}>
                <span class="what">
                  <strong>{fields.name}</strong> {fields.roles.map(roleWords).join(", ")}
                  <small>{text.since(dayText(zone.day(Number(view.enteredMs))))}</small>
                </span>
                <span class={`state ${view.struck ? "missed" : fields.pinSetMs > 0n ? "done" : "due"}`}>
                  {view.struck ? words.admin.struck : fields.pinSetMs > 0n ? text.hasPin : text.noPin}
                </span>
              </button>
            </li>
          ))}
        </ul>
      </section>
      <SignInRules />
    </main>
  );
}
