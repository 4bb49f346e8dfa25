// How an animal's body goes: mass over time, other measures beside it, growth and condition as the core reckons them.
import type { RecordRef } from "../../proto/change_pb";
import type { BodyPoint, BodyReply } from "../../proto/husbandry_pb";
import { Quantity } from "../../proto/plans_pb";
import { dayWords } from "../../core/dates";
import { enumWord } from "../../core/field_words";
import { unitOfQuantity } from "../../core/fields";
import { writeQuantity } from "../../core/units";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Chart } from "./chart";
import type { Drawing } from "./drawing";
import { massUnit, massWords, number, percent } from "./figures";
import { Picture } from "./picture";
import type { Days } from "./span";

const text = words.pictures.body;

function drawingOf(masses: BodyPoint[]): Drawing {
  const unit = massUnit(masses.map(({ value }) => value));
  const of = (disagrees: boolean) =>
    masses.map((point) => (point.disagrees === disagrees ? unit.of(point.value) : null));
  return {
    unit: unit.name,
    digits: unit.digits,
    fromZero: false,
    bands: [],
    series: [
      {
        label: text.mass,
        values: masses.map(({ value }) => unit.of(value)),
        colour: "water",
        stroke: "full",
      },
      { label: text.weighing, values: of(false), colour: "water", stroke: "none", mark: "dot" },
      { label: text.disagrees, values: of(true), colour: "alarm", stroke: "none", mark: "diamond" },
    ],
  };
}

function facts(reply: BodyReply): string[] {
  const out: string[] = [];
  if (reply.massMg !== undefined)
    out.push(
      reply.massBetween
        ? text.massBetween(massWords(reply.massMg))
        : text.massNow(massWords(reply.massMg), reply.massAgeDays),
    );
  if (reply.headCount > 1 && reply.massPerHeadMg !== undefined)
    out.push(text.perHead(reply.headCount, massWords(reply.massPerHeadMg)));
  if (reply.changePpm !== undefined) out.push(text.change(percent(reply.changePpm)));
  if (reply.growthMgPerDay !== undefined)
    out.push(
      text.growth(
        massWords(reply.growthMgPerDay),
        reply.growthPpmPerDay === undefined
          ? words.pictures.unknown
          : number(reply.growthPpmPerDay / 10_000, 3),
      ),
    );
  if (reply.fultonMillionths !== undefined && reply.conditionDay !== undefined)
    out.push(
      text.fulton(number(reply.fultonMillionths / 1e6, 3), dayWords(reply.conditionDay, words.language)),
    );
  return out;
}

export function Body({ animal, name, days }: { animal: RecordRef; name: string; days: Days }) {
  const { client } = useShared();
  const { answer, failure } = useAnswer(async () => {
    const reply = await client.ask(
      { case: "body", value: { animal, firstDay: days.first, lastDay: days.last } },
      "body",
    );
    const masses = reply.points.filter(({ quantity }) => quantity === Quantity.MASS);
    return { reply, masses, at: masses.map(({ day }) => day), drawing: drawingOf(masses) };
  }, [client, animal, days.first, days.last]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.pictures.drawing}</p>;
  const { reply, masses, at, drawing } = answer;
  const title = text.title(name);
  return (
    <>
      <Picture
        title={title}
        says={masses.length === 0 ? text.nothing : text.says(masses.length)}
        {...(masses.length === 0 ? {} : { series: drawing.series })}
        {...(reply.points.length === 0
          ? {}
          : {
              table: {
                head: text.head,
                rows: reply.points.map((point) => [
                  dayWords(point.day, words.language),
                  enumWord("Quantity", Quantity[point.quantity], point.quantity),
                  writeQuantity(unitOfQuantity(point.quantity), point.value),
                  point.method,
                  point.disagrees ? text.disagrees : "",
                ]),
                figures: [2],
              },
            })}
      >
        {masses.length > 0 && (
          <Chart
            label={title}
            at={at}
            drawing={drawing}
            say={(index) => {
              const point = masses[index];
              return point ? `${dayWords(point.day, words.language)}: ${massWords(point.value)}` : "";
            }}
          />
        )}
        <ul>
          {facts(reply).map((fact) => (
            <li key={fact}>{fact}</li>
          ))}
        </ul>
      </Picture>
      <p class="caution">{text.caution}</p>
    </>
  );
}
