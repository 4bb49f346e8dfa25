// Reports to be read and printed: the day of an area, the treatments of an animal, an animal's month.
import { useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import type { Named } from "../../core/names";
import { recordKey } from "../../core/records";
import { dayText } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { Choice, Day, Picker } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { useAreas } from "./areas";
import { useNames } from "./record_words";
import { DayReport } from "./report_day";
import { MonthReport } from "./report_month";
import { TreatmentsReport } from "./report_treatments";

type Which = "day" | "treatments" | "month";

const allAreas = "*";

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
  const { answer: animals } = useAnswer(() => names.options(kind.animal), [names]);
  const { report } = words.desk;

  const name = animals?.find((one: Named) => animal && one.key === recordKey(animal))?.title ?? "";
  const span = monthOf(month);
  return (
    <main class="desk">
      <h2 class="screen-only">{report.title}</h2>
      <div class="screen-only">
        <Choice
          label={report.which}
          options={(["day", "treatments", "month"] as const).map((one) => ({
            value: one,
            title: report.names[one],
          }))}
          value={which}
          onValue={(value) => {
            if (value) setWhich(value);
          }}
        />
        <div class="row filters">
          {which === "day" && (
            <>
              <Picker
                label={words.fields.area}
                options={[
                  { key: allAreas, title: words.allAreas, value: "" },
                  ...areas.map((one) => ({ key: one, title: one, value: one })),
                ]}
                chosen={area === "" ? allAreas : area}
                onValue={(value) => setArea(value ?? "")}
              />
              <Day label={words.fields.day} value={day} onValue={setDay} />
            </>
          )}
          {which !== "day" && (
            <Picker
              label={words.fields.animal}
              options={animals ?? []}
              chosen={animal ? recordKey(animal) : ""}
              onValue={setAnimal}
            />
          )}
          {which === "treatments" && (
            <>
              <Day label={words.fields.first_day} value={first} onValue={setFirst} />
              <Day label={words.fields.last_day} value={day} onValue={setDay} />
            </>
          )}
          {which === "month" && (
            <label>
              {report.month}
              <input type="month" value={month} onInput={(event) => setMonth(event.currentTarget.value)} />
            </label>
          )}
          <button type="button" onClick={() => print()}>
            {report.print}
          </button>
        </div>
      </div>
      {which === "day" && day !== null && <DayReport area={area} day={day} />}
      {which !== "day" && !animal && <p>{report.chooseAnimal}</p>}
      {which === "treatments" && animal && first !== null && day !== null && (
        <TreatmentsReport animal={animal} name={name} first={first} last={day} />
      )}
      {which === "month" && animal && span && span[0] <= today && (
        <MonthReport animal={animal} name={name} first={span[0]} last={Math.min(span[1], today)} />
      )}
    </main>
  );
}
