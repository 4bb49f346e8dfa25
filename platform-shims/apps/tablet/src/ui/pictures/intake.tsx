// This picture shows what an animal ate against its plan, day by day. A day that nobody recorded is a gap.
import type { RecordRef } from "../../proto/change_pb";
import type { IntakeDay } from "../../proto/husbandry_pb";
import type { IntakeReply } from "../../proto/call_pb";
import { dayWords } from "../../core/dates";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Chart } from "./chart";
import type { Drawing } from "./drawing";
import { massUnit, massWords, number, percent } from "./figures";
import { Picture } from "./picture";
import type { Days } from "./span";

const text = words.pictures.intake;

function drawingOf(days: IntakeDay[]): Drawing {
  const unit = massUnit(days.flatMap((day) => [day.eatenMg, day.plannedMg, day.offeredMg]));
  const eaten = (isWhole: boolean) =>
    days.map((day) =>
      day.recorded && (day.portionsUnweighed === 0) === isWhole ? unit.of(day.eatenMg) : null,
    );
  return {
    unit: unit.name,
    digits: unit.digits,
    fromZero: true,
    bands: [],
    series: [
      {
        label: text.planned,
        values: days.map((day) => unit.of(day.plannedMg)),
        colour: "ink",
        stroke: "none",
        mark: "level",
      },
      {
        label: text.offered,
        values: days.map((day) => unit.of(day.offeredMg)),
        colour: "amber",
        stroke: "none",
        mark: "ring",
      },
      { label: text.eaten, values: eaten(true), colour: "water", stroke: "full", mark: "dot" },
      { label: text.eatenInPart, values: eaten(false), colour: "alarm", stroke: "none", mark: "diamond" },
    ],
  };
}

function says(day: IntakeDay): string {
  if (!day.recorded) return text.dayWithout(dayWords(day.day, words.language));
  return text.day(
    dayWords(day.day, words.language),
    massWords(day.eatenMg),
    massWords(day.plannedMg),
    day.portionsUnweighed,
  );
}

function rowOf(day: IntakeDay): string[] {
  const energy = day.energyCal;
  return [
    dayWords(day.day, words.language),
    day.recorded ? String(day.meals) : words.pictures.notRecorded,
    massWords(day.plannedMg),
    day.recorded ? massWords(day.offeredMg) : "",
    day.recorded ? massWords(day.leftMg) : "",
    day.recorded ? massWords(day.eatenMg) : "",
    day.recorded ? String(day.portionsUnweighed) : "",
    day.recorded ? percent(day.planPpm) : "",
    day.recorded && energy !== undefined ? `${number(Number(energy) / 1000, 0)} kcal` : "",
    day.recorded ? percent(day.bodyMassPpm) : "",
  ];
}

export function Intake({ animal, name, days }: { animal: RecordRef; name: string; days: Days }) {
  const { client } = useShared();
  const { answer, failure } = useAnswer(async () => {
    const reply: IntakeReply = await client.ask(
      { case: "intake", value: { animal, firstDay: days.first, lastDay: days.last } },
      "intake",
    );
    return { reply, at: reply.days.map(({ day }) => day), drawing: drawingOf(reply.days) };
  }, [client, animal, days.first, days.last]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.pictures.drawing}</p>;
  const { reply, at, drawing } = answer;
  return (
    <>
      <Picture
        title={text.title(name)}
        says={
          reply.daysRecorded === 0
            ? text.nothing
            : text.says(
                reply.daysRecorded,
                reply.days.length,
                reply.daysComplete,
                massWords(reply.eatenMeanMg),
              )
        }
        series={drawing.series}
        table={{ head: text.head, rows: reply.days.map(rowOf), figures: [1, 2, 3, 4, 5, 6, 7, 8, 9] }}
      >
        <Chart
          label={text.title(name)}
          at={at}
          drawing={drawing}
          say={(index) => {
            const day = reply.days[index];
            return day ? says(day) : "";
          }}
        />
      </Picture>
      <p class="caution">{text.caution}</p>
    </>
  );
}
