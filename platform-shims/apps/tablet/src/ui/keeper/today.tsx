// This screen shows what is due today, by area and pool, and how it stands by what is known here.
import { useState } from "preact/hooks";
import type { Client } from "../../core/client";
import { kind } from "../../core/kinds";
import { listAll, recordKey } from "../../core/records";
import { dayAtHead } from "../../core/dates";
import type { RecordRef } from "../../proto/change_pb";
import { PortionSchema } from "../../proto/events_pb";
import { type DueItem, DueKind, DueState } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { DueLine } from "./due_item";
import { Known } from "./known";
import { useMinute } from "./minute";
import { Urgent } from "./urgent";

const k = words.keeper.today;

type Filter = "due" | "late" | "unknown" | "done";
const filters: [Filter, string, DueState[]][] = [
  ["due", k.dueNow, [DueState.DUE]],
  ["late", k.late, [DueState.LATE, DueState.MISSED]],
  ["unknown", words.due.notKnown, [DueState.NOT_KNOWN]],
  ["done", words.due.done, [DueState.DONE]],
];

// Meals that were given today and have a portion of which nobody has weighed what came back.
async function unweighedMeals(client: Client, items: DueItem[]): Promise<RecordRef[]> {
  const meals = items.flatMap((item) => (item.dueKind === DueKind.MEAL && item.doneBy ? [item.doneBy] : []));
  const open = await Promise.all(
    meals.map(async (meal) => {
      const portions = await listAll(client, kind.portion, PortionSchema, { subject: meal });
      return portions.some(({ fields }) => fields.leftMg === undefined);
    }),
  );
  return meals.filter((_, index) => open[index]);
}

function Pool({ name, items, unweighed }: { name: string; items: DueItem[]; unweighed: RecordRef[] }) {
  const { go } = useShared();
  const animals = new Map<string, DueItem>();
  let water: DueItem | undefined;
  for (const item of items) {
    if (!item.subject) continue;
    if (item.dueKind === DueKind.WATER) water ??= item;
    else if (item.dueKind !== DueKind.INSPECTION) animals.set(recordKey(item.subject), item);
  }
  return (
    <section class="pool">
      <h4>{name}</h4>
      <ul>
        {items.map((item, index) => (
          <DueLine key={index} item={item} unweighed={unweighed} />
        ))}
      </ul>
      <div class="row quick">
        {[...animals].map(([key, { subject, subjectName }]) => (
          <button
            type="button"
            class="quiet"
            key={key}
            onClick={() => subject && go({ at: "animal", animal: { record: subject, name: subjectName } })}
          >
            {k.moreOf(subjectName)}
          </button>
        ))}
        {water && (
          <button
            type="button"
            class="quiet"
            aria-label={k.waterOf(name)}
            onClick={() => water.subject && go({ at: "water", pool: { record: water.subject, name } })}
          >
            {words.kinds.water}
          </button>
        )}
      </div>
    </section>
  );
}

// Enrichers have no pool of their own.
function placeName(item: DueItem): string {
  return item.dueKind === DueKind.INSPECTION ? k.enrichers : item.poolName || item.subjectName;
}

function grouped(items: DueItem[], name: (item: DueItem) => string): [string, DueItem[]][] {
  const groups = new Map<string, DueItem[]>();
  for (const item of items) groups.set(name(item), [...(groups.get(name(item)) ?? []), item]);
  // A group without a name comes last.
  return [...groups].sort(
    ([a], [b]) => Number(a === "") - Number(b === "") || a.localeCompare(b, words.language),
  );
}

export function Today() {
  const { client, zone, status, go } = useShared();
  const [area, setArea] = useState("");
  const [filter, setFilter] = useState<Filter | null>(null);
  const minute = useMinute();
  const day = zone.day(Date.now());
  const { answer: round, failure } = useAnswer(
    () => client.ask({ case: "round", value: { day, zone: zone.offsets(day) } }, "round"),
    [client, day, minute],
  );
  const { answer: unweighed } = useAnswer(
    async () => (round ? unweighedMeals(client, round.items) : []),
    [client, round],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!round) return <p>{words.loading}</p>;

  const areas = [...new Set(round.items.map((item) => item.area).filter((name) => name !== ""))].sort();
  const here = round.items.filter((item) => area === "" || item.area === area);
  const states = filters.find(([name]) => name === filter)?.[2];
  const shown = here.filter((item) => !states || states.includes(item.state));
  const count = (of: DueState[]) => here.filter((item) => of.includes(item.state)).length;
  return (
    <main class="keeper today">
      <h2>{dayAtHead(day, words.language)}</h2>
      {status.reviewUrgent > 0 && <Urgent />}
      {areas.length > 1 && (
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
      )}
      <div class="counts" role="group" aria-label={k.counts}>
        {filters.map(([name, title, of]) => (
          <button
            type="button"
            key={name}
            class={`count ${name} ${filter === name ? "chosen" : "quiet"}`}
            aria-pressed={filter === name}
            onClick={() => setFilter(filter === name ? null : name)}
          >
            <span class="number">{name === "done" ? k.doneOf(count(of), here.length) : count(of)}</span>
            {title}
          </button>
        ))}
      </div>
      <Known knownAsOfMs={round.knownAsOfMs} />
      {here.length === 0 && <p>{words.nothingDue}</p>}
      {here.length > 0 && shown.length === 0 && <p>{k.nothingOfThese}</p>}
      <div class="pools">
        {grouped(shown, (item) => item.area).map(([areaName, ofArea]) => (
          <section key={areaName}>
            <h3>{areaName === "" ? k.everywhere : areaName}</h3>
            {grouped(ofArea, placeName).map(([pool, items]) => (
              <Pool key={pool} name={pool} items={items} unweighed={unweighed ?? []} />
            ))}
          </section>
        ))}
      </div>
      <div class="row quick">
        <button type="button" class="quiet" onClick={() => go({ at: "beings" })}>
          {k.unplanned}
        </button>
        <button type="button" class="quiet" onClick={() => go({ at: "hygiene", area })}>
          {k.hygiene}
        </button>
      </div>
    </main>
  );
}
