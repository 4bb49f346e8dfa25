// The first walk: a card above the screens of the menu, which it tells of. It is no veil: everything under it can be used meanwhile, and it
// can be left at any step.
import { useEffect, useState } from "preact/hooks";
import { words } from "../../words/words";
import type { Place } from "../place";
import { menu } from "../screens";
import { useShared } from "../state";
import { setWalkStep, walkEvent, walkStep } from "./walk_state";
import "./help.css";

const text = words.help.walk;

interface Step {
  title: string;
  says: string[];
  at: Place["at"]; // A screen of the menu.
}
const steps: Step[] = [
  { ...text.today, at: "today" },
  { ...text.prep, at: "prep" },
  { ...text.dose, at: "today" },
  { ...text.tide, at: "tablet" },
  { ...text.offline, at: "today" },
  { ...text.desk, at: "desk" },
  { ...text.help, at: "help" },
];

function placeOf(at: string): Place | undefined {
  return menu.flatMap(({ entries }) => entries).find(({ place }) => place.at === at)?.place;
}

export function Walk({ here }: { here: Place }) {
  const { go } = useShared();
  const [at, setAt] = useState(walkStep);
  useEffect(() => {
    const told = () => setAt(walkStep());
    addEventListener(walkEvent, told);
    return () => removeEventListener(walkEvent, told);
  }, []);
  const step = at === null ? undefined : steps[at];
  // Whoever makes an entry has their hands full.
  if (at === null || !step || !placeOf(here.at)) return null;

  const goTo = (next: number) => {
    setWalkStep(next);
    const place = placeOf(steps[next]?.at ?? "");
    if (place && place.at !== here.at) go(place);
  };
  return (
    <section class="walk" aria-labelledby="walk-title">
      <h2 id="walk-title">
        {step.title} <small>{text.step(at + 1, steps.length)}</small>
      </h2>
      <div aria-live="polite">
        {step.says.map((line) => (
          <p key={line}>{line}</p>
        ))}
      </div>
      <div class="row">
        <button type="button" class="quiet" onClick={() => setWalkStep(null)}>
          {at === steps.length - 1 ? text.done : text.leave}
        </button>
        {at > 0 && (
          <button type="button" class="quiet" onClick={() => goTo(at - 1)}>
            {text.back}
          </button>
        )}
        {at < steps.length - 1 && (
          <button type="button" onClick={() => goTo(at + 1)}>
            {text.next}
          </button>
        )}
      </div>
    </section>
  );
}
