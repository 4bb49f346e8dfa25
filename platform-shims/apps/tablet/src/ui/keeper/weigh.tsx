// One tray on the scale, and on to the next. What is typed is kept at once: there is nothing to save before it is given.
import { useState } from "preact/hooks";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Foot } from "./foot";
import { traysOf, trayState, type TrayOf } from "./prep";
import { scaleSoFar, useTray } from "./tray";
import { grams, slotText, WeighLine } from "./weigh_line";
import type { PrepReply } from "../../proto/husbandry_pb";

const k = words.keeper.prep;

function TrayOnScale(props: {
  tray: TrayOf;
  prep: PrepReply;
  next: TrayOf | undefined;
  goOn: (name: string) => void;
  leave: () => void;
}) {
  const { client } = useShared();
  const { tray } = props;
  const weighed = useTray(tray.name, client.person?.name ?? "");
  const { first } = tray;
  const total = tray.lines.reduce((sum, { key }) => sum + (scaleSoFar(weighed.at(key)) ?? 0n), 0n);
  const planned = tray.lines.every(({ line }) => line.massMg !== undefined)
    ? tray.lines.reduce((sum, { line }) => sum + (line.massMg ?? 0n), 0n)
    : null;
  return (
    <main class="keeper entry">
      <h2>{k.weighTitle(first.animalName, slotText(first.slotMin))}</h2>
      <p class="known">
        {[first.area, first.poolName].filter(Boolean).join(" · ")}
        {first.given ? ` · ${k.givenAlready}` : ""}
      </p>
      <div class="columns">
        {tray.lines.map((line) => (
          <WeighLine
            key={line.key}
            line={line}
            weighing={weighed.at(line.key)}
            thaws={props.prep.thaws}
            set={(change) => weighed.set(line.key, change)}
          />
        ))}
      </div>
      <p class="total" aria-live="polite">
        {planned === null ? words.total(grams(total)) : k.ofPlanned(grams(total), grams(planned))}
      </p>
      <p class="known">{trayState(tray).text === k.ready ? k.kept : k.keptSoFar}</p>
      <Foot leave={props.leave}>
        <button type="button" class="quiet" onClick={weighed.turnDish}>
          {weighed.dish ? words.withoutDish : words.withDish}
        </button>
        {props.next ? (
          <button type="button" onClick={() => props.next && props.goOn(props.next.name)}>
            {k.next(props.next.first.animalName, slotText(props.next.first.slotMin))}
          </button>
        ) : (
          <button type="button" onClick={props.leave}>
            {k.allWeighed}
          </button>
        )}
      </Foot>
    </main>
  );
}

export function Weigh(props: {
  day: number;
  area: string;
  slot: number | null;
  tray: string;
  leave: () => void;
}) {
  const { client } = useShared();
  const [name, setName] = useState(props.tray);
  const { answer: prep, failure } = useAnswer(
    () => client.ask({ case: "prep", value: { day: props.day, area: props.area } }, "prep"),
    [client, props.day, props.area],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!prep) return <p>{words.loading}</p>;
  const trays = traysOf(
    props.day,
    prep.lines.filter((line) => props.slot === null || line.slotMin === props.slot),
  );
  const at = trays.findIndex((tray) => tray.name === name);
  const tray = trays[at];
  if (!tray) return <p class="narrow">{words.noPlan}</p>;
  const next = trays.slice(at + 1).find((one) => !one.first.given);
  return (
    <TrayOnScale
      key={name}
      tray={tray}
      prep={prep}
      next={next}
      goOn={(to) => {
        setName(to);
        scrollTo(0, 0);
      }}
      leave={props.leave}
    />
  );
}
