// In the kitchen: every meal of the day as a tray to be weighed, what is reckoned from the food, what to take out of the
// freezer and which batches are thawing.
import { useState } from "preact/hooks";
import { dose as doseText } from "../../core/amounts";
import { recordKey } from "../../core/records";
import { clock } from "../../core/time";
import type { PrepDose, PrepLine } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { Choice } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { Known } from "./known";
import { PrepTotals } from "./prep_totals";
import { Thawing } from "./thawing";
import { isReady, type Line, linesWithKeys, readTray, scaleSoFar, trayName } from "./tray";
import { grams, slotText } from "./weigh_line";

const k = words.keeper.prep;

export interface TrayOf {
  name: string;
  lines: Line[];
  first: PrepLine;
}
export function traysOf(day: number, lines: PrepLine[]): TrayOf[] {
  const trays = new Map<string, PrepLine[]>();
  for (const line of lines) {
    const name = trayName(day, line.animal, line.slotMin);
    trays.set(name, [...(trays.get(name) ?? []), line]);
  }
  return [...trays].flatMap(([name, of]) =>
    of[0] ? [{ name, lines: linesWithKeys(of), first: of[0] }] : [],
  );
}

export function trayState(tray: TrayOf): { text: string; look: string } {
  if (tray.first.given) return { text: k.given, look: "done" };
  const kept = readTray(tray.name)?.value;
  if (kept && isReady(kept, tray.lines)) return { text: k.ready, look: "done" };
  const begun =
    kept && Object.values(kept.weighings).some((one) => one.unweighed || scaleSoFar(one) !== null);
  return begun ? { text: k.begun, look: "due" } : { text: k.toWeigh, look: "upcoming" };
}

function Tray({ tray, open }: { tray: TrayOf; open: () => void }) {
  const { first } = tray;
  const state = trayState(tray);
  const foods = tray.lines.map(({ line }) =>
    [line.foodName, line.massMg === undefined ? "" : grams(line.massMg)].filter(Boolean).join(" "),
  );
  return (
    <li>
      <button type="button" class="item" onClick={open}>
        <span class="slot">{slotText(first.slotMin)}</span>
        <span class="what">
          <strong>{first.animalName}</strong> {foods.join(", ")}
        </span>
        <span class={`state ${state.look}`}>{state.text}</span>
      </button>
    </li>
  );
}

function DoseLine({ dose }: { dose: PrepDose }) {
  const amount = doseText(
    {
      ...(dose.doseUg === undefined ? {} : { ug: dose.doseUg }),
      ...(dose.doseUnits === undefined ? {} : { unitsThousandths: dose.doseUnits * 1000n }),
    },
    words.language,
  );
  return (
    <li>
      <strong>{dose.animalName}</strong>, {dose.slotMin === undefined ? words.anyTime : clock(dose.slotMin)}:{" "}
      {[dose.preparation, dose.substance].filter(Boolean).join(", ")}
      <br />
      <span class="total">{amount === "" ? words.doseNotReckoned : amount}</span>
      <br />
      {dose.foodMg > 0n && k.reckonedFromFood(grams(dose.foodMg))} {k.orderedBy(dose.orderedBy)}
    </li>
  );
}

export function Prep() {
  const { client, zone, go } = useShared();
  const [area, setArea] = useState("");
  const [slot, setSlot] = useState<number | null>(null);
  const day = zone.day(Date.now());
  const { answer: prep, failure } = useAnswer(
    () => client.ask({ case: "prep", value: { day } }, "prep"),
    [client, day],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!prep) return <p>{words.loading}</p>;
  const areas = [...new Set(prep.lines.map((line) => line.area).filter((name) => name !== ""))].sort();
  const slots = [...new Set(prep.lines.flatMap((line) => line.slotMin ?? []))].sort((a, b) => a - b);
  const trays = traysOf(
    day,
    prep.lines.filter(
      (line) => (area === "" || line.area === area) && (slot === null || line.slotMin === slot),
    ),
  );
  const pools = [...new Set(trays.map(({ first }) => first.poolName))];
  return (
    <main class="keeper">
      <h2>{k.title}</h2>
      <p class="caution">{k.caution}</p>
      <Choice
        label={k.areas}
        options={["", ...areas].map((name) => ({ value: name, title: name === "" ? words.allAreas : name }))}
        value={area}
        onValue={(chosen) => setArea(chosen ?? "")}
      />
      {slots.length > 1 && (
        <Choice
          label={k.slots}
          none
          options={slots.map((minute) => ({ value: minute, title: clock(minute) }))}
          value={slot}
          onValue={setSlot}
        />
      )}
      <Known knownAsOfMs={prep.knownAsOfMs} />
      {trays.length === 0 && <p>{k.nothing}</p>}
      <div class="columns">
        <div>
          {pools.map((pool) => (
            <section class="pool" key={pool}>
              <h3>{pool === "" ? k.noPool : pool}</h3>
              <ul>
                {trays
                  .filter(({ first }) => first.poolName === pool)
                  .map((tray) => (
                    <Tray
                      key={tray.name}
                      tray={tray}
                      open={() => go({ at: "weigh", day, area, slot, tray: tray.name })}
                    />
                  ))}
              </ul>
            </section>
          ))}
        </div>
        <div>
          {prep.doses.length > 0 && (
            <section class="pool">
              <h3>{k.doses}</h3>
              <p class="caution">{words.doseCaution}</p>
              <ul class="lines">
                {prep.doses.map((dose) => (
                  <DoseLine
                    key={`${dose.order ? recordKey(dose.order) : ""} ${dose.slotMin ?? ""}`}
                    dose={dose}
                  />
                ))}
              </ul>
            </section>
          )}
          <PrepTotals totals={prep.totals} />
          <Thawing thaws={prep.thaws} />
        </div>
      </div>
    </main>
  );
}
