// What is due today, pool by pool, and how it stands by what is known here.
import { useState } from "preact/hooks";
import { clock } from "../../core/time";
import { mass } from "../../core/amounts";
import { type DueItem, DueKind, DueState } from "../../proto/husbandry_pb";
import { age, words } from "../../words/words";
import type { Place } from "../place";
import { useAnswer, useShared } from "../state";

const stateWord: Record<DueState, string> = {
  [DueState.UNSPECIFIED]: "",
  [DueState.UPCOMING]: words.due.upcoming,
  [DueState.DUE]: words.due.due,
  [DueState.LATE]: words.due.late,
  [DueState.MISSED]: words.due.missed,
  [DueState.DONE]: words.due.done,
  [DueState.NOT_KNOWN]: words.due.notKnown,
};
const stateClass: Record<DueState, string> = {
  [DueState.UNSPECIFIED]: "",
  [DueState.UPCOMING]: "upcoming",
  [DueState.DUE]: "due",
  [DueState.LATE]: "late",
  [DueState.MISSED]: "missed",
  [DueState.DONE]: "done",
  [DueState.NOT_KNOWN]: "not-known",
};
const kindWord: Record<DueKind, string> = {
  [DueKind.UNSPECIFIED]: "",
  [DueKind.MEAL]: words.kinds.meal,
  [DueKind.DOSE]: words.kinds.dose,
  [DueKind.ENRICHMENT]: words.kinds.enrichment,
  [DueKind.MEASURE]: words.kinds.measure,
  [DueKind.WATER]: words.kinds.water,
  [DueKind.INSPECTION]: words.kinds.inspection,
};

// Where a tap leads; nowhere for what has no screen yet.
function placeOf(item: DueItem): Place | null {
  const isDone = item.state === DueState.DONE;
  if (item.dueKind === DueKind.MEAL) return { at: isDone ? "left" : "meal", item };
  if (item.dueKind === DueKind.DOSE) return { at: "dose", item };
  return null;
}

function Item({ item }: { item: DueItem }) {
  const { go } = useShared();
  const place = placeOf(item);
  const line = (
    <>
      <span class="slot">{item.slotMin === undefined ? words.anyTime : clock(item.slotMin)}</span>
      <span class="what">
        <strong>{item.subjectName}</strong> {kindWord[item.dueKind]} {item.what}
        {item.plannedMg === undefined ? "" : ` · ${words.planned(mass(item.plannedMg, words.language))}`}
      </span>
      <span class={`state ${stateClass[item.state]}`}>{stateWord[item.state]}</span>
    </>
  );
  return (
    <li>
      {place ? (
        <button type="button" class="item" onClick={() => go(place)}>
          {line}
        </button>
      ) : (
        <div class="item">{line}</div>
      )}
    </li>
  );
}

export function Today() {
  const { client, zone, go } = useShared();
  const [area, setArea] = useState("");
  const day = zone.day(Date.now());
  const { answer: round, failure } = useAnswer(
    () => client.ask({ case: "round", value: { day, zone: zone.offsets(day) } }, "round"),
    [client, day],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!round) return <p>{words.loading}</p>;

  const areas = [...new Set(round.items.map((item) => item.area).filter((name) => name !== ""))].sort();
  const shown = round.items.filter((item) => area === "" || item.area === area);
  const pools = new Map<string, DueItem[]>();
  for (const item of shown)
    pools.set(item.poolName || item.subjectName, [
      ...(pools.get(item.poolName || item.subjectName) ?? []),
      item,
    ]);
  const animals = new Map(
    shown.filter((item) => item.dueKind === DueKind.MEAL).map((item) => [item.subjectName, item]),
  );
  return (
    <main>
      <nav class="areas" aria-label={words.allAreas}>
        {["", ...areas].map((name) => (
          <button
            type="button"
            key={name}
            class={name === area ? "chosen" : "quiet"}
            aria-pressed={name === area}
            onClick={() => setArea(name)}
          >
            {name === "" ? words.allAreas : name}
          </button>
        ))}
      </nav>
      <p class="known">
        {round.knownAsOfMs === 0n
          ? words.knownNever
          : words.known(age(Number(round.nowMs - round.knownAsOfMs)))}
      </p>
      {shown.length === 0 && <p>{words.nothingDue}</p>}
      {[...pools].map(([pool, items]) => (
        <section key={pool} class="pool">
          <h2>{pool}</h2>
          <ul>
            {items.map((item, index) => (
              <Item key={index} item={item} />
            ))}
          </ul>
        </section>
      ))}
      <section class="row">
        {[...animals].map(([name, item]) => (
          <button type="button" class="quiet" key={name} onClick={() => go({ at: "seen", item })}>
            {words.seenTitle(name)}
          </button>
        ))}
      </section>
    </main>
  );
}
