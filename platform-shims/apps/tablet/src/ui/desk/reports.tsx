// Reports to be read, printed and saved: which one, of whom and of which days.
import { useMemo, useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { dayText } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import { ReportKind } from "../../proto/report_pb";
import { words } from "../../words/words";
import { Choice, Day, Picker } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { useAreas } from "./areas";
import { useNames } from "./record_words";
import { type ReportAsk, ReportView } from "./report_view";

type Which = keyof typeof words.reports.names;

const kindOf: Record<Which, ReportKind> = {
  day: ReportKind.DAY,
  month: ReportKind.MONTH,
  treatments: ReportKind.TREATMENTS,
  animal: ReportKind.ANIMAL,
  water: ReportKind.WATER,
  retention: ReportKind.RETENTION,
};
const all = "*";
// Offsets of a day that no centre's records are older than: 2000-01-01.
const firstEntries = 10_957;

// The first and the last day of a month, typed as 2026-11.
function monthOf(text: string): [number, number] | null {
  const match = /^(\d{4})-(\d{2})$/.exec(text);
  if (!match) return null;
  const at = (month: number) => Date.UTC(Number(match[1]), month, 1) / 86_400_000;
  return [at(Number(match[2]) - 1), at(Number(match[2])) - 1];
}

export function Reports() {
  const { zone } = useShared();
  const names = useNames();
  const areas = useAreas();
  const today = zone.day(Date.now());
  const [which, setWhich] = useState<Which>("day");
  const [area, setArea] = useState("");
  const [day, setDay] = useState<number | null>(today);
  const [first, setFirst] = useState<number | null>(today - 13);
  const [month, setMonth] = useState(dayText(today).slice(0, 7));
  const [animal, setAnimal] = useState<RecordRef | null>(null);
  const [pool, setPool] = useState<RecordRef | null>(null);
  const { answer: animals } = useAnswer(() => names.options(kind.animal), [names]);
  const { answer: pools } = useAnswer(() => names.options(kind.pool), [names]);
  const text = words.reports;

  const isSpanned = which === "treatments" || which === "animal" || which === "water";
  const subject = which === "water" ? pool : which === "day" || which === "retention" ? null : animal;
  const days = ((): [number, number] | null => {
    if (which === "month") {
      const span = monthOf(month);
      return span && span[0] <= today ? [span[0], Math.min(span[1], today)] : null;
    }
    if (day === null || (isSpanned && first === null)) return null;
    return [isSpanned ? (first ?? day) : day, day];
  })();
  const needsSubject = isSpanned && !subject;
  // One question as long as nothing about it changes.
  const asked = [which, area, subject ? recordKey(subject) : "", ...(days ?? [])].join(" ");
  const ask = useMemo((): ReportAsk | null => {
    if (!days || needsSubject) return null;
    const [from, to] = days;
    return {
      report: kindOf[which],
      ...(subject ? { subject } : {}),
      area: which === "day" || which === "month" ? area : "",
      firstDay: from,
      lastDay: to,
      zone: zone.offsets(which === "retention" ? firstEntries : from, to),
    };
  }, [asked, zone]);
  return (
    <main class="desk">
      <h2 class="screen-only">{text.title}</h2>
      <div class="screen-only">
        <Choice
          label={text.which}
          options={(Object.keys(kindOf) as Which[]).map((one) => ({ value: one, title: text.names[one] }))}
          value={which}
          onValue={(value) => {
            if (value) setWhich(value);
          }}
        />
        <div class="row filters">
          {(which === "day" || which === "month") && (
            <Picker
              label={words.fields.area}
              options={[
                { key: all, title: words.allAreas, value: "" },
                ...areas.map((one) => ({ key: one, title: one, value: one })),
              ]}
              chosen={area === "" ? all : area}
              onValue={(value) => setArea(value ?? "")}
            />
          )}
          {(which === "treatments" || which === "animal") && (
            <Picker
              label={words.fields.animal}
              options={animals ?? []}
              chosen={animal ? recordKey(animal) : ""}
              onValue={setAnimal}
            />
          )}
          {which === "month" && (
            <Picker<RecordRef | null>
              label={words.fields.animal}
              options={[{ key: all, title: text.allAnimals, value: null }, ...(animals ?? [])]}
              chosen={animal ? recordKey(animal) : all}
              onValue={setAnimal}
            />
          )}
          {which === "water" && (
            <Picker
              label={words.fields.pool}
              options={pools ?? []}
              chosen={pool ? recordKey(pool) : ""}
              onValue={setPool}
            />
          )}
          {isSpanned && <Day label={words.fields.first_day} value={first} onValue={setFirst} />}
          {which !== "month" && (
            <Day label={isSpanned ? words.fields.last_day : words.fields.day} value={day} onValue={setDay} />
          )}
          {which === "month" && (
            <label>
              {text.month}
              <input type="month" value={month} onInput={(event) => setMonth(event.currentTarget.value)} />
            </label>
          )}
          <button type="button" onClick={() => print()}>
            {text.print}
          </button>
        </div>
      </div>
      {needsSubject && <p>{which === "water" ? text.ofWhat.pool : text.ofWhat.animal}</p>}
      {ask && <ReportView ask={ask} />}
    </main>
  );
}
