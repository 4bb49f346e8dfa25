// Enrichment as a calendar: a row for each week, a column for each day, a sign for each enricher that was offered; and how varied it was.
import type { RecordRef } from "../../proto/change_pb";
import { type EnrichmentUse, EnrichmentUseSchema } from "../../proto/events_pb";
import { EnricherState } from "../../proto/husbandry_pb";
import { EnricherSchema } from "../../proto/roster_pb";
import { dayShort, dayWords, weekdayOf, weekdayWords } from "../../core/dates";
import { kind } from "../../core/kinds";
import { listAll, recordKey } from "../../core/records";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { number } from "./figures";
import type { Days } from "./span";

const text = words.pictures.rotation;
const daysOfWeek = [0, 1, 2, 3, 4, 5, 6];

const stateWord: Record<EnricherState, string> = {
  [EnricherState.UNSPECIFIED]: words.pictures.unknown,
  [EnricherState.READY]: text.ready,
  [EnricherState.TOO_SOON]: text.tooSoon,
  [EnricherState.INSPECTION_DUE]: text.inspectionDue,
  [EnricherState.UNSAFE]: text.unsafe,
};

// A letter or two for each name, none twice: "F", "Fe", "Fl" ...; a number where letters do not do.
function signsOf(names: string[]): Map<string, string> {
  const signs = new Map<string, string>();
  const taken = new Set<string>();
  for (const name of [...names].sort((a, b) => a.localeCompare(b, words.language))) {
    const letters = Array.from(name.replaceAll(" ", ""));
    const first = letters[0]?.toLocaleUpperCase(words.language) ?? "?";
    const tries = [first, ...letters.slice(1).map((letter) => first + letter)];
    const sign = tries.find((one) => !taken.has(one)) ?? `${first}${taken.size}`;
    taken.add(sign);
    signs.set(name, sign);
  }
  return signs;
}

function Sign({ sign, name, response }: { sign: string; name: string; response: number | undefined }) {
  const said = response === undefined ? text.notWatched : (text.responses[response] ?? String(response));
  return (
    <abbr class="sign" title={`${name}, ${said}`}>
      {sign}
      <span class="unseen">{` ${name}, ${said}`}</span>
    </abbr>
  );
}

interface Use {
  name: string;
  use: EnrichmentUse;
}

function Calendar({ days, uses, signs }: { days: Days; uses: Use[]; signs: Map<string, string> }) {
  const firstMonday = days.first - weekdayOf(days.first);
  const weeks: number[] = [];
  for (let monday = firstMonday; monday <= days.last; monday += 7) weeks.push(monday);
  const cell = (day: number) => {
    if (day < days.first || day > days.last) return <td key={day} class="outside" />;
    const here = uses.filter(({ use }) => use.day === day);
    return (
      <td key={day}>
        <small>{dayShort(day, words.language)}</small>
        {here.length === 0 ? (
          <span class="unseen">{text.nothingThatDay}</span>
        ) : (
          here.map(({ name, use }, index) => (
            <Sign key={index} sign={signs.get(name) ?? "?"} name={name} response={use.response} />
          ))
        )}
      </td>
    );
  };
  return (
    <div class="wide" tabIndex={0} role="region" aria-label={text.calendar}>
      <table class="calendar">
        <caption class="unseen">{text.calendar}</caption>
        <thead>
          <tr>
            <th scope="col">{text.week}</th>
            {daysOfWeek.map((weekday) => (
              <th scope="col" key={weekday}>
                {weekdayWords(weekday, words.language, "short")}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {weeks.map((monday) => (
            <tr key={monday}>
              <th scope="row">{dayShort(monday, words.language)}</th>
              {daysOfWeek.map((weekday) => cell(monday + weekday))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

export function Rotation({ animal, name, days }: { animal: RecordRef; name: string; days: Days }) {
  const { client } = useShared();
  const { answer, failure } = useAnswer(async () => {
    const spanDays = days.last - days.first + 1;
    const reply = await client.ask(
      { case: "enrichment", value: { animal, day: days.last, spanDays } },
      "enrichment",
    );
    const enrichers = await listAll(client, kind.enricher, EnricherSchema);
    const named = new Map(enrichers.map(({ record, fields }) => [recordKey(record), fields.name]));
    const found = await listAll(client, kind.enrichmentUse, EnrichmentUseSchema, {
      subject: animal,
      firstDay: days.first,
      lastDay: days.last,
    });
    const uses = found.map(
      ({ fields }): Use => ({
        name: (fields.enricher && named.get(recordKey(fields.enricher))) ?? words.pictures.unknown,
        use: fields,
      }),
    );
    return { reply, uses, signs: signsOf([...new Set(uses.map((use) => use.name))]) };
  }, [client, animal, days.first, days.last]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.pictures.drawing}</p>;
  const { reply, uses, signs } = answer;
  const variety = reply.varietyMillionths;
  return (
    <>
      <section class="pool picture">
        <h3>{text.title(name)}</h3>
        <p>
          {uses.length === 0
            ? text.nothing
            : text.says(
                uses.length,
                signs.size,
                variety === undefined ? words.pictures.unknown : number(variety / 1e6, 2),
              )}
        </p>
        <p>{text.week7(reply.usesThisWeek, reply.plannedPerWeek)}</p>
        <ul class="legend">
          {[...signs].map(([enricher, sign]) => (
            <li key={enricher}>
              <span class="sign">{sign}</span> {enricher}
            </li>
          ))}
        </ul>
        <Calendar days={days} uses={uses} signs={signs} />
      </section>
      <section class="pool picture">
        <h3>{text.nextTitle}</h3>
        <p>{text.nextSays}</p>
        <Table
          caption={text.nextTitle}
          head={text.head}
          rows={reply.choices.map((choice) => [
            choice.name,
            choice.readyDay === undefined
              ? stateWord[choice.state]
              : `${stateWord[choice.state]}, ${text.readyFrom(dayWords(choice.readyDay, words.language))}`,
            choice.lastDay === undefined ? text.never : dayWords(choice.lastDay, words.language),
            String(choice.uses),
            choice.responseThousandths === undefined
              ? text.notWatched
              : text.meanResponse(number(choice.responseThousandths / 1000, 1), choice.watched),
            [choice.goal, choice.caution].filter(Boolean).join(" · "),
          ])}
          figures={[3]}
        />
        <p class="caution">{text.caution}</p>
      </section>
    </>
  );
}
