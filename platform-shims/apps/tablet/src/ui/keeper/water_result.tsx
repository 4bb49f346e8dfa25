// This screen shows what the core makes of readings that were just saved: each beside its limit, what is derived from
// them, what is overdue.
import { recordKey } from "../../core/records";
import { Derived, Judgement, type WaterDerived, type WaterPoint } from "../../proto/husbandry_pb";
import { Parameter } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Foot } from "./foot";
import type { About } from "./places";
import { parameterName, type Unit, unitOfParameter, withUnit } from "./units";

const k = words.keeper.water;
const judged: Record<Judgement, string> = {
  [Judgement.UNSPECIFIED]: k.noLimit,
  [Judgement.INSIDE]: k.inside,
  [Judgement.BELOW]: k.below,
  [Judgement.ABOVE]: k.above,
};
const isOutside = (one: Judgement) => one === Judgement.BELOW || one === Judgement.ABOVE;
const lookOf = (one: Judgement) => (isOutside(one) ? "late" : one === Judgement.INSIDE ? "done" : "upcoming");
const derivedUnits: Record<Derived, Unit> = {
  [Derived.UNSPECIFIED]: { text: "", decimals: 0 },
  [Derived.SALINITY]: { text: "psu", decimals: 3 },
  [Derived.DENSITY]: { text: "kg/m³", decimals: 3 },
  [Derived.OXYGEN_SATURATION]: { text: "%", decimals: 4 },
  [Derived.AMMONIA_UNIONISED]: { text: unitOfParameter(Parameter.AMMONIA).text, decimals: 6 },
  [Derived.CHLORINE_COMBINED]: { text: unitOfParameter(Parameter.CHLORINE_TOTAL).text, decimals: 3 },
  [Derived.COLIFORM_MEAN]: { text: "MPN/100 mL", decimals: 3 },
};

function Judged({
  name,
  text,
  judgement,
  more,
}: {
  name: string;
  text: string;
  judgement: Judgement;
  more: string;
}) {
  return (
    <li class="item">
      <span class="what">
        <strong>{name}</strong> {text} <small>{more}</small>
      </span>
      <span class={`state ${lookOf(judgement)}`}>{judged[judgement]}</span>
    </li>
  );
}
const nameOf = (derived: Derived) => k.derivedNames[derived] ?? words.keeper.newer;
const pointMore = (point: WaterPoint) =>
  [point.unverifiedLimit ? k.unverified : "", point.disagrees ? k.disagrees : ""].filter(Boolean).join(" · ");
const derivedMore = (one: WaterDerived) =>
  [k.derived, one.formula, one.outsideRange ? k.outsideFormula : ""].filter(Boolean).join(" · ");

export function WaterResult(props: { pool: About; day: number; fromMs: bigint; leave: () => void }) {
  const { client, zone } = useShared();
  const { answer, failure } = useAnswer(
    () =>
      client.ask(
        { case: "water", value: { pool: props.pool.record, firstDay: props.day, lastDay: props.day } },
        "water",
      ),
    [client, props.pool, props.day],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.loading}</p>;
  const points = answer.points.filter((point) => point.happenedMs === props.fromMs);
  const derived = answer.derived.filter((one) => one.happenedMs === props.fromMs);
  const refused = answer.refused.filter((one) => one.happenedMs === props.fromMs);
  const outside = [...points, ...derived].some(({ judgement }) => isOutside(judgement));
  return (
    <main class="keeper entry">
      <h2>{k.resultTitle(props.pool.name)}</h2>
      <p class="caution">{k.caution}</p>
      {outside && (
        <p class="failure" role="alert">
          {k.recheck}
        </p>
      )}
      <section class="pool">
        <h3>{k.read}</h3>
        <ul>
          {points.map((point) => (
            <Judged
              key={point.record ? recordKey(point.record) : ""}
              name={parameterName(point.parameter)}
              text={withUnit(point.value, unitOfParameter(point.parameter))}
              judgement={point.judgement}
              more={pointMore(point)}
            />
          ))}
          {derived.map((one) => (
            <Judged
              key={one.derived}
              name={nameOf(one.derived)}
              text={withUnit(one.value, derivedUnits[one.derived])}
              judgement={one.judgement}
              more={derivedMore(one)}
            />
          ))}
        </ul>
        {refused.map((one, index) => (
          <p class="known" key={index}>
            {nameOf(one.derived)}: {one.reason}
          </p>
        ))}
      </section>
      {answer.overdue.length > 0 && (
        <section class="pool">
          <h3>{k.overdue}</h3>
          <ul class="lines">
            {answer.overdue.map((one) => (
              <li key={one.parameter}>
                {k.overdueOf(
                  parameterName(one.parameter),
                  one.everyHours,
                  one.lastMs === 0n ? "" : zone.momentText(Number(one.lastMs), words.language),
                )}
              </li>
            ))}
          </ul>
        </section>
      )}
      <Foot leave={null}>
        <button type="button" onClick={props.leave}>
          {k.seen}
        </button>
      </Foot>
    </main>
  );
}
