// The desk at a glance: what waits for a decision, what needs attention today, and the ways to the rest.
import { dayText } from "../../core/time";
import { words } from "../../words/words";
import type { Place } from "../place";
import { useAnswer, useShared } from "../state";
import { attentionWord } from "./attention_words";

const attentionShown = 12;

export function Home() {
  const { client, zone, status, go } = useShared();
  const day = zone.day(Date.now());
  const { home, groups } = words.desk;
  const { answer, failure } = useAnswer(
    () => client.ask({ case: "attention", value: { day, zone: zone.offsets(day) } }, "attention"),
    [client, zone, day],
  );
  const ways: [string, string, Place][] = [
    [groups.roster, home.roster, { at: "roster" }],
    [groups.plans, home.plans, { at: "plans" }],
    [groups.entries, home.entries, { at: "entries" }],
    [groups.close, home.close, { at: "day-close" }],
    [groups.stock, home.stock, { at: "stock" }],
    [groups.import, home.import, { at: "import" }],
    [groups.reports, home.reports, { at: "reports" }],
  ];
  const items = answer?.items ?? [];
  return (
    <main class="desk">
      <h2>{words.desk.menu}</h2>
      <button
        type="button"
        class={status.reviewUrgent > 0 ? "warn big" : "quiet big"}
        onClick={() => go({ at: "review" })}
      >
        {status.reviewUrgent > 0 ? home.urgent(status.reviewUrgent) : home.toReview(status.reviewOther)}
        {status.reviewUrgent > 0 && status.reviewOther > 0 ? ` · ${home.other(status.reviewOther)}` : ""}
      </button>
      <section class="pool">
        <h3>{home.attention}</h3>
        {failure !== "" && <p class="failure">{failure}</p>}
        {answer && items.length === 0 && <p>{words.desk.home.nothing}</p>}
        <ul>
          {items.slice(0, attentionShown).map((item, index) => {
            const record = item.record;
            const line = (
              <span class="what">
                <strong>{item.subjectName}</strong>
                <small>
                  {[item.what, attentionWord(item.rule)].filter(Boolean).join(": ")} ·{" "}
                  {item.sinceMs === 0n ? dayText(item.day) : zone.text(Number(item.sinceMs))}
                </small>
              </span>
            );
            const mark = item.urgent && <span class="state late">{words.desk.home.urgentMark}</span>;
            return (
              <li key={index}>
                {record ? (
                  <button type="button" class="item line" onClick={() => go({ at: "desk-record", record })}>
                    {line}
                    {mark}
                  </button>
                ) : (
                  <div class="item line">
                    {line}
                    {mark}
                  </div>
                )}
              </li>
            );
          })}
        </ul>
        {items.length > attentionShown && (
          <p class="known">{home.moreAttention(items.length - attentionShown)}</p>
        )}
        <p class="caution">{home.attentionCaution}</p>
      </section>
      <div class="tiles">
        {ways.map(([title, help, place]) => (
          <button type="button" class="tile" key={title} onClick={() => go(place)}>
            {title}
            <small>{help}</small>
          </button>
        ))}
      </div>
    </main>
  );
}
