// Roster, plans and entries: the records of a kind, found by typing, each a line that leads to it.
import { useState } from "preact/hooks";
import { type Kind, kind as kinds } from "../../core/kinds";
import { kindWord } from "../../core/names";
import type { RecordRef } from "../../proto/change_pb";
import type { RecordView } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { Choice, Day, Text } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { type Group, groups, isReadOnly } from "./groups";
import { type Line, lineOf } from "./lines";
import { useNames } from "./record_words";

const shownAtOnce = 150;
// Keeps the last view of each list, so that one comes back to it from a record.
const last = new Map<Group, { kind: Kind; search: string; withStruck: boolean; firstDay: number | null }>();

export function LineButton({ line }: { line: Line }) {
  const { go } = useShared();
  return (
    <li>
      <button type="button" class="item line" onClick={() => go({ at: "desk-record", record: line.record })}>
        <span class="what">
          <strong>{line.title}</strong>
          {line.tells !== "" && <small>{line.tells}</small>}
        </span>
        {line.marks.map((mark) => (
          <span class="state late" key={mark}>
            {mark}
          </span>
        ))}
      </button>
    </li>
  );
}

export function Lists({ group }: { group: Group }) {
  const { client, zone, go } = useShared();
  const names = useNames();
  const isOfDays = group === "entries";
  const today = zone.day(Date.now());
  const [looked, setLooked] = useState(
    last.get(group) ?? {
      kind: groups[group][0] as Kind,
      search: "",
      withStruck: false,
      firstDay: isOfDays ? today - 1 : null,
    },
  );
  const look = (change: Partial<typeof looked>) => {
    const now = { ...looked, ...change };
    last.set(group, now);
    setLooked(now);
  };
  const { kind, search, withStruck, firstDay } = looked;
  const { answer, failure } = useAnswer(async () => {
    const lines: Line[] = [];
    let after: RecordRef | undefined;
    for (;;) {
      const page = await client.ask(
        {
          case: "list",
          value: {
            kind,
            allSubjects: true,
            withStruck,
            ...(firstDay === null ? {} : { firstDay }),
            ...(after ? { after } : {}),
          },
        },
        "list",
      );
      const shown = page.records.filter(
        (view: RecordView) => withStruck || !(view.struck || view.foldedInto),
      );
      for (const line of await Promise.all(shown.map((view) => lineOf(view, names, zone))))
        if (line) lines.push(line);
      after = page.records.at(-1)?.record;
      if (!page.more) break;
    }
    return {
      of: kind,
      lines: lines.sort((a, b) => a.title.localeCompare(b.title, words.language, { numeric: true })),
    };
  }, [client, names, kind, withStruck, firstDay]);

  const wanted = search.trim().toLocaleLowerCase(words.language);
  const found =
    answer?.of === kind
      ? answer.lines.filter((line) =>
          `${line.title} ${line.tells}`.toLocaleLowerCase(words.language).includes(wanted),
        )
      : null;
  return (
    <main class="desk">
      <h2>{words.desk.groups[group]}</h2>
      <Choice
        label={words.desk.list.kind}
        options={groups[group].map((one) => ({ value: one, title: kindWord(one, true) }))}
        value={kind}
        onValue={(value) => {
          if (value) look({ kind: value });
        }}
      />
      <div class="row filters">
        <Text label={words.desk.list.search} value={search} onValue={(text) => look({ search: text })} />
        {isOfDays && (
          <Day label={words.desk.list.from} value={firstDay} onValue={(day) => look({ firstDay: day })} />
        )}
        <label class="tick">
          <input
            type="checkbox"
            checked={withStruck}
            onChange={(event) => look({ withStruck: event.currentTarget.checked })}
          />
          {words.desk.list.withStruck}
        </label>
        {!isReadOnly(kind) && (
          <button type="button" onClick={() => go({ at: "desk-new", kind })}>
            {words.desk.list.add(kindWord(kind))}
          </button>
        )}
      </div>
      {isReadOnly(kind) && (
        <p class="known">{kind === kinds.attachment ? words.desk.list.attached : words.desk.list.readOnly}</p>
      )}
      {failure !== "" && <p class="failure">{failure}</p>}
      {!found && failure === "" && <p>{words.desk.reading}</p>}
      {found && (
        <section class="pool" aria-label={kindWord(kind, true)}>
          <p class="known">{words.desk.list.count(found.length)}</p>
          <ul>
            {found.slice(0, shownAtOnce).map((line) => (
              <LineButton key={line.key} line={line} />
            ))}
          </ul>
          {found.length === 0 && (
            <p>{search === "" ? words.desk.list.none(kindWord(kind, true)) : words.desk.list.noneFound}</p>
          )}
          {found.length > shownAtOnce && <p>{words.desk.list.more(shownAtOnce)}</p>}
        </section>
      )}
    </main>
  );
}
