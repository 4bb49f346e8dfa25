// The review desk: what people should look at, the urgent first, and one item after the other to be decided.
import { useState } from "preact/hooks";
import { labelOf } from "../../core/field_words";
import { withKind } from "../../core/names";
import { recordKey } from "../../core/records";
import { type ReviewItem, ReviewLevel } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Decision } from "./review_item";
import { useNames } from "./record_words";

const levels: { level: ReviewLevel; title: string }[] = [
  { level: ReviewLevel.URGENT, title: words.desk.review.urgent },
  { level: ReviewLevel.CHECK, title: words.desk.review.check },
  { level: ReviewLevel.NOTE, title: words.desk.review.note },
];

function keyOf(item: ReviewItem): string {
  return `${item.rule}/${item.field}/${item.records.map(recordKey).join()}`;
}

interface Row {
  key: string;
  item: ReviewItem;
  title: string;
  rule: string;
}

export function Review() {
  const { client } = useShared();
  const names = useNames();
  const [chosen, setChosen] = useState("");
  const { answer: rows, failure } = useAnswer(async () => {
    const { items } = await client.ask({ case: "review", value: {} }, "review");
    const found = await Promise.all(
      items.map(async (item): Promise<Row> => {
        const rule = words.desk.rules[item.rule] ?? words.typing.newerValue(item.rule);
        return {
          key: keyOf(item),
          item,
          title: withKind(item.kind, await names.of(item.records[0])),
          rule: item.field === 0 ? rule : `${rule}: ${labelOf(item.kind, item.field)}`,
        };
      }),
    );
    // Urgent first; within a level in the order of the core.
    return found.sort((a, b) => b.item.level - a.item.level);
  }, [client, names]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!rows) return <p>{words.desk.reading}</p>;

  const at = rows.findIndex((row) => row.key === chosen);
  const row = rows[at];
  if (row) {
    const next = rows[at + 1] ?? rows[at - 1];
    return (
      <main class="desk">
        <h2>{row.title}</h2>
        <p class={row.item.level === ReviewLevel.URGENT ? "alarm" : "known"}>
          {row.item.level === ReviewLevel.URGENT ? `${words.desk.review.urgent} · ` : ""}
          {row.rule} · {words.desk.review.place(at + 1, rows.length)}
        </p>
        <Decision key={row.key} item={row.item} decided={() => setChosen(next?.key ?? "")} />
        <div class="row foot">
          <button type="button" class="quiet" onClick={() => setChosen("")}>
            {words.desk.review.toQueue}
          </button>
          {next && (
            <button type="button" class="quiet" onClick={() => setChosen(next.key)}>
              {words.desk.review.later}
            </button>
          )}
        </div>
      </main>
    );
  }
  return (
    <main class="desk">
      <h2>{words.desk.review.title}</h2>
      <p class="known">{words.desk.review.help}</p>
      {rows.length === 0 && <p>{words.desk.review.nothing}</p>}
      {levels.map(({ level, title }) => {
        const ofLevel = rows.filter((one) => one.item.level === level);
        if (ofLevel.length === 0) return null;
        const isUrgent = level === ReviewLevel.URGENT;
        return (
          <section class={isUrgent ? "pool loud" : "pool"} key={level}>
            <h3>
              {title} <small>{ofLevel.length}</small>
            </h3>
            {isUrgent && <p class="asks">{words.desk.review.urgentHelp}</p>}
            <ul>
              {ofLevel.map((one) => (
                <li key={one.key}>
                  <button type="button" class="item line" onClick={() => setChosen(one.key)}>
                    <span class="what">
                      <strong>{one.title}</strong>
                      <small>
                        {one.rule}
                        {one.item.records.length > 1
                          ? ` · ${words.desk.review.records(one.item.records.length)}`
                          : ""}
                      </small>
                    </span>
                  </button>
                </li>
              ))}
            </ul>
          </section>
        );
      })}
    </main>
  );
}
