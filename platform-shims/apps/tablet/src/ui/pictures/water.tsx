// A pool's water: each property over time with its limits as a band, what the readings tell together, and what is overdue.
import { useMemo } from "preact/hooks";
import type { RecordRef } from "../../proto/change_pb";
import { Judgement, type WaterPoint, type WaterReply } from "../../proto/husbandry_pb";
import { type WaterLimit, WaterLimitSchema } from "../../proto/plans_pb";
import { PoolSchema } from "../../proto/roster_pb";
import { dayWords, instantWords } from "../../core/dates";
import { kind } from "../../core/kinds";
import { getOne, listAll, recordKey } from "../../core/records";
import type { Zone } from "../../core/time";
import { age, words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Chart } from "./chart";
import { Chooser, useChosen } from "./chooser";
import type { Drawing, Series } from "./drawing";
import { Picture } from "./picture";
import { type Days, useDays } from "./span";
import { Derived } from "./water_derived";
import { axisUnit, judgementWords, parameterWords, readingWords } from "./water_words";

const text = words.pictures.water;
const dayMs = 24 * 60 * 60 * 1000;

type Limits = Map<string, WaterLimit>;

async function limitsOf(client: Parameters<typeof getOne>[0], points: WaterPoint[]): Promise<Limits> {
  const found: Limits = new Map();
  for (const { limit } of points) {
    if (!limit || found.has(recordKey(limit))) continue;
    const held = await getOne(client, limit, WaterLimitSchema);
    if (held) found.set(recordKey(limit), held.fields);
  }
  return found;
}

function limitOf(point: WaterPoint, limits: Limits): WaterLimit | undefined {
  return point.limit && limits.get(recordKey(point.limit));
}

function drawingOf(points: WaterPoint[], limits: Limits): Drawing {
  const unit = axisUnit(
    points[0]?.parameter ?? 0,
    points.map(({ value }) => value),
  );
  const scaled = (value: bigint | undefined) => (value === undefined ? null : Number(value) / unit.per);
  const judged = (is: (point: WaterPoint) => boolean) =>
    points.map((point) => (is(point) ? scaled(point.value) : null));
  const isOutside = ({ judgement }: WaterPoint) =>
    judgement === Judgement.ABOVE || judgement === Judgement.BELOW;
  const highs = points.map((point) => scaled(limitOf(point, limits)?.high));
  const lows = points.map((point) => scaled(limitOf(point, limits)?.low));
  const series: Series[] = [
    { label: text.highest, values: highs, colour: "done", stroke: "dashed" },
    { label: text.lowest, values: lows, colour: "done", stroke: "dotted" },
    { label: text.reading, values: points.map((p) => scaled(p.value)), colour: "water", stroke: "full" },
    {
      label: text.insideMark,
      values: judged((p) => !isOutside(p) && !p.disagrees),
      colour: "water",
      stroke: "none",
      mark: "dot",
    },
    {
      label: text.outsideMark,
      values: judged(isOutside),
      colour: "alarm",
      stroke: "none",
      mark: "triangle",
    },
    {
      label: text.disagrees,
      values: judged((p) => p.disagrees),
      colour: "amber",
      stroke: "none",
      mark: "ring",
    },
  ];
  return {
    unit: unit.name,
    digits: unit.digits,
    fromZero: false,
    bands: highs.some((v) => v !== null) && lows.some((v) => v !== null) ? [[0, 1]] : [],
    // A series without a reading needs no place in the legend.
    series: series.filter(({ values }) => values.some((value) => value !== null)),
  };
}

// Where two readings stand at one moment a chart needs them a hair apart.
function timesOf(points: WaterPoint[], zone: Zone): number[] {
  let last = -Infinity;
  return points.map((point) => {
    const ms = Number(point.happenedMs);
    const at = ms === 0 ? point.day + 0.5 : (ms + zone.offsetMin(ms) * 60_000) / dayMs;
    last = Math.max(at, last + 1e-6);
    return last;
  });
}

function limitWords(limit: WaterLimit | undefined, point: WaterPoint): string {
  if (!limit) return "";
  const side = (value: bigint | undefined) =>
    value === undefined ? words.pictures.open : readingWords(point.parameter, value);
  return [
    `${side(limit.low)} – ${side(limit.high)}`,
    limit.source,
    point.unverifiedLimit ? text.unverified : "",
  ]
    .filter(Boolean)
    .join(", ");
}

function Property({ points, limits, at }: { points: WaterPoint[]; limits: Limits; at: number[] }) {
  const { zone } = useShared();
  const drawing = useMemo(() => drawingOf(points, limits), [points, limits]);
  const parameter = points[0]?.parameter ?? 0;
  const outside = points.filter(({ judgement }) => judgement > Judgement.INSIDE).length;
  const judged = points.filter(({ judgement }) => judgement !== Judgement.UNSPECIFIED).length;
  const title = parameterWords(parameter);
  const time = (point: WaterPoint) =>
    point.happenedMs === 0n
      ? dayWords(point.day, words.language)
      : instantWords(point.happenedMs, zone, words.language);
  return (
    <Picture
      title={title}
      says={judged === 0 ? text.saysNoLimit(points.length) : text.says(points.length, outside)}
      series={drawing.series}
      table={{
        head: text.head,
        rows: points.map((point) => [
          time(point),
          readingWords(parameter, point.value),
          [judgementWords(point.judgement), point.disagrees ? text.disagrees : ""].filter(Boolean).join(", "),
          limitWords(limitOf(point, limits), point),
        ]),
        figures: [1],
      }}
    >
      <Chart
        label={title}
        at={at}
        drawing={drawing}
        say={(index) => {
          const point = points[index];
          return point
            ? `${time(point)}: ${readingWords(parameter, point.value)}, ${judgementWords(point.judgement)}`
            : "";
        }}
      />
    </Picture>
  );
}

function Overdue({ reply }: { reply: WaterReply }) {
  if (reply.overdue.length === 0) return <p>{text.noneOverdue}</p>;
  return (
    <ul class="findings">
      {reply.overdue.map((one, index) => (
        <li class="asks" key={index}>
          {text.overdue(
            parameterWords(one.parameter),
            one.everyHours,
            one.lastMs === 0n ? null : age(Date.now() - Number(one.lastMs)),
          )}
        </li>
      ))}
    </ul>
  );
}

function OfPool({ pool, days }: { pool: RecordRef; days: Days }) {
  const { client, zone } = useShared();
  const { answer, failure } = useAnswer(async () => {
    const reply = await client.ask(
      { case: "water", value: { pool, firstDay: days.first, lastDay: days.last } },
      "water",
    );
    const parameters = [...new Set(reply.points.map(({ parameter }) => parameter))].sort((a, b) => a - b);
    const properties = parameters.map((parameter) => {
      const points = reply.points.filter((point) => point.parameter === parameter);
      return { parameter, points, at: timesOf(points, zone) };
    });
    return { reply, properties, limits: await limitsOf(client, reply.points) };
  }, [client, pool, days.first, days.last]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.pictures.drawing}</p>;
  return (
    <>
      <section class="pool">
        <h3>{text.overdueTitle}</h3>
        <Overdue reply={answer.reply} />
      </section>
      {answer.properties.length === 0 && <p>{text.nothing}</p>}
      {answer.properties.map(({ parameter, points, at }) => (
        <Property key={parameter} points={points} limits={answer.limits} at={at} />
      ))}
      <Derived reply={answer.reply} />
      <p class="caution">{text.caution}</p>
    </>
  );
}

export function Water({ pool }: { pool?: RecordRef | undefined }) {
  const { client } = useShared();
  const { answer: pools } = useAnswer(() => listAll(client, kind.pool, PoolSchema), [client]);
  const [chosen, choose] = useChosen(pools, pool);
  const { days, chooser } = useDays();
  if (!pools) return <p>{words.pictures.drawing}</p>;
  return (
    <main>
      <h2>{text.title}</h2>
      {pools.length === 0 ? (
        <p>{text.noPools}</p>
      ) : (
        <>
          <Chooser
            label={text.pool}
            options={pools}
            nameOf={({ fields, view }) => [fields.name, view.areaName].filter(Boolean).join(" · ")}
            chosen={chosen}
            choose={choose}
          />
          {chooser}
          {chosen && <OfPool pool={chosen.record} days={days} />}
        </>
      )}
    </main>
  );
}
