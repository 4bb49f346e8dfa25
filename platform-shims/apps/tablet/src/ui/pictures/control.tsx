// The control chart of an animal's intake: its moving mean with limits, its cumulative sums, and the days that are marked, in words
// too; how it eats by weekday; and what it really eats, which is information and no ration.
import type { RecordRef } from "../../proto/change_pb";
import type { ChartPoint, IntakeTrendReply } from "../../proto/husbandry_pb";
import { dayWords, weekdayWords } from "../../core/dates";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { Bars } from "./bars";
import { Chart } from "./chart";
import type { Drawing } from "./drawing";
import { massUnit, massWords, number } from "./figures";
import { Picture } from "./picture";
import type { Days } from "./span";

const text = words.pictures.control;

function meanDrawing(points: ChartPoint[]): Drawing {
  const judged = (point: ChartPoint) => point.judgedMg ?? point.eatenMg;
  const unit = massUnit(points.flatMap((point) => [judged(point), point.highMg]));
  const marked = (is: (point: ChartPoint) => boolean) =>
    points.map((point) => (is(point) ? unit.of(judged(point)) : null));
  return {
    unit: unit.name,
    digits: unit.digits,
    fromZero: false,
    bands: [[0, 1]],
    series: [
      { label: text.high, values: points.map((p) => unit.of(p.highMg)), colour: "done", stroke: "dashed" },
      { label: text.low, values: points.map((p) => unit.of(p.lowMg)), colour: "done", stroke: "dotted" },
      { label: text.mean, values: points.map((p) => unit.of(p.ewmaMg)), colour: "water", stroke: "full" },
      {
        label: text.judged,
        values: points.map((p) => unit.of(judged(p))),
        colour: "faint",
        stroke: "none",
        mark: "dot",
      },
      {
        label: text.alarm,
        values: marked((p) => p.alarm),
        colour: "alarm",
        stroke: "none",
        mark: "triangle",
      },
      {
        label: text.outlier,
        values: marked((p) => p.outlier),
        colour: "alarm",
        stroke: "none",
        mark: "diamond",
      },
    ],
  };
}

function sumDrawing(points: ChartPoint[]): Drawing {
  const unit = massUnit(points.flatMap((point) => [point.cusumHighMg, point.cusumLowMg]));
  return {
    unit: unit.name,
    digits: unit.digits,
    fromZero: true,
    bands: [],
    series: [
      {
        label: text.sumHigh,
        values: points.map((p) => unit.of(p.cusumHighMg)),
        colour: "water",
        stroke: "full",
      },
      {
        label: text.sumLow,
        values: points.map((p) => unit.of(p.cusumLowMg)),
        colour: "amber",
        stroke: "dashed",
      },
    ],
  };
}

function markWords(point: ChartPoint): string {
  return [point.alarm ? text.alarm : "", point.outlier ? text.outlier : ""].filter(Boolean).join(", ");
}
function rowOf(point: ChartPoint): string[] {
  return [
    dayWords(point.day, words.language),
    massWords(point.eatenMg),
    massWords(point.judgedMg),
    massWords(point.ewmaMg),
    massWords(point.lowMg),
    massWords(point.highMg),
    markWords(point),
  ];
}
function say(point: ChartPoint | undefined): string {
  if (!point) return "";
  const day = dayWords(point.day, words.language);
  if (point.eatenMg === undefined) return text.gap(day);
  return [text.point(day, massWords(point.eatenMg), massWords(point.ewmaMg)), markWords(point)]
    .filter(Boolean)
    .join(" · ");
}

function trendWords(reply: IntakeTrendReply): string {
  const z = reply.trendZThousandths;
  return z === undefined
    ? text.trendUnknown
    : text.trend(number(z / 1000, 2), massWords(reply.trendMgPerWeek));
}

function Ration({ reply }: { reply: IntakeTrendReply }) {
  return (
    <section class="pool">
      <h3>{text.rationTitle}</h3>
      {reply.rationMg === undefined ? (
        <p>{text.rationNone}</p>
      ) : (
        <>
          <p class="total">{text.ration(massWords(reply.rationMg))}</p>
          <p>
            {text.rationSpread(
              massWords(reply.rationLowMg),
              massWords(reply.rationHighMg),
              reply.daysComplete,
            )}
          </p>
        </>
      )}
      {reply.calciumPerPhosphorusThousandths !== undefined && (
        <p>{text.calcium(number(reply.calciumPerPhosphorusThousandths / 1000, 2))}</p>
      )}
      <p class="caution">{text.rationCaution}</p>
    </section>
  );
}

export function Control({ animal, name, days }: { animal: RecordRef; name: string; days: Days }) {
  const { client } = useShared();
  const { answer, failure } = useAnswer(async () => {
    const reply = await client.ask(
      { case: "intakeTrend", value: { animal, firstDay: days.first, lastDay: days.last } },
      "intakeTrend",
    );
    return {
      reply,
      at: reply.points.map(({ day }) => day),
      means: meanDrawing(reply.points),
      sums: sumDrawing(reply.points),
    };
  }, [client, animal, days.first, days.last]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.pictures.drawing}</p>;
  const { reply, at, means, sums } = answer;
  const marked = reply.points.filter((point) => point.alarm || point.outlier);
  const hasChart = reply.baselineMg !== undefined;
  return (
    <>
      <Picture
        title={text.title(name)}
        says={
          hasChart
            ? text.says(massWords(reply.baselineMg), massWords(reply.baselineSdMg), marked.length)
            : text.noChart(reply.daysComplete)
        }
        series={means.series}
        table={{ head: text.head, rows: reply.points.map(rowOf), figures: [1, 2, 3, 4, 5] }}
      >
        {reply.daysComplete > 0 && (
          <Chart label={text.title(name)} at={at} drawing={means} say={(index) => say(reply.points[index])} />
        )}
        <p>
          {reply.usualPlanMg === undefined
            ? text.judgedByEaten
            : text.judgedByPlan(massWords(reply.usualPlanMg))}
        </p>
        {marked.length === 0 ? (
          <p>{text.noMarks}</p>
        ) : (
          <Table
            caption={text.marks}
            head={[text.day, text.eaten, text.mark]}
            rows={marked.map((p) => [dayWords(p.day, words.language), massWords(p.eatenMg), markWords(p)])}
            figures={[1]}
          />
        )}
        <p>{trendWords(reply)}</p>
        {reply.daysWithPlan > 0 && <p>{text.within(reply.daysWithinPlan, reply.daysWithPlan)}</p>}
      </Picture>
      {hasChart && (
        <Picture
          title={text.sumTitle}
          says={text.sumSays}
          series={sums.series}
          table={{
            head: [text.day, text.sumHigh, text.sumLow],
            rows: reply.points.map((p) => [
              dayWords(p.day, words.language),
              massWords(p.cusumHighMg),
              massWords(p.cusumLowMg),
            ]),
            figures: [1, 2],
          }}
        >
          <Chart
            label={text.sumTitle}
            at={at}
            drawing={sums}
            say={(index) => {
              const p = reply.points[index];
              return p
                ? text.sumPoint(
                    dayWords(p.day, words.language),
                    massWords(p.cusumHighMg),
                    massWords(p.cusumLowMg),
                  )
                : "";
            }}
          />
        </Picture>
      )}
      <section class="pool picture">
        <h3>{text.weekdayTitle}</h3>
        <p>{text.weekdaySays}</p>
        <Bars
          caption={text.weekdayTitle}
          head={[text.weekday, text.daysCounted, text.meanEaten, text.medianEaten]}
          rows={reply.weekdays.map((one) => ({
            cells: [
              weekdayWords(one.weekday, words.language),
              String(one.counted),
              massWords(one.eatenMeanMg),
              massWords(one.eatenMedianMg),
            ],
            value: one.eatenMeanMg === undefined ? null : Number(one.eatenMeanMg),
          }))}
        />
        <Table
          caption={text.windows}
          head={[text.lastDays, text.daysCounted, text.meanEaten]}
          rows={reply.windows.map((one) => [
            String(one.days),
            String(one.counted),
            massWords(one.eatenMeanMg),
          ])}
          figures={[0, 1, 2]}
        />
      </section>
      <Ration reply={reply} />
    </>
  );
}
