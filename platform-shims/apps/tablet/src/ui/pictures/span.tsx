// People choose here which days a picture shows: the last week, four weeks, a quarter, a year, or days that
// were typed.
import { useState } from "preact/hooks";
import { words } from "../../words/words";
import { Choice, Day } from "../parts/inputs";
import { useShared } from "../state";

export interface Days {
  first: number;
  last: number;
}
const lengths = [7, 28, 90, 365];

export function useDays(length = 28): { days: Days; chooser: preact.JSX.Element } {
  const { zone } = useShared();
  const today = zone.day(Date.now());
  const [chosen, setChosen] = useState<number | null>(length);
  const [first, setFirst] = useState<number | null>(today - length + 1);
  const [last, setLast] = useState<number | null>(today);
  const typed = { first: first ?? today, last: Math.max(first ?? today, last ?? today) };
  const days = chosen === null ? typed : { first: today - chosen + 1, last: today };
  const chooser = (
    <>
      <Choice
        label={words.pictures.span}
        options={[
          ...lengths.map((value) => ({ value, title: words.pictures.lastDays(value) })),
          { value: 0, title: words.pictures.daysTyped },
        ]}
        value={chosen ?? 0}
        onValue={(value) => {
          setFirst(days.first);
          setLast(days.last);
          setChosen(value === 0 ? null : value);
        }}
      />
      {chosen === null && (
        <div class="row pair">
          <Day label={words.pictures.from} value={first} onValue={setFirst} />
          <Day label={words.pictures.to} value={last} onValue={setLast} />
        </div>
      )}
    </>
  );
  return { days, chooser };
}
