// This screen lists what a vet or curator should know of now, urgent first, with the way to its picture.
import { age, words } from "../../words/words";
import { dayWords, instantWords } from "../../core/dates";
import { sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { type AttentionItem, AttentionRule } from "../../proto/husbandry_pb";
import type { Place } from "../place";
import { useAnswer, useShared } from "../state";
import type { AnimalPicture } from "./places";

const text = words.pictures.attention;

const animalPicture: Partial<Record<AttentionRule, AnimalPicture>> = {
  [AttentionRule.NOT_EATING]: "intake",
  [AttentionRule.NOT_FED]: "intake",
  [AttentionRule.LEFT_ABOVE_OFFERED]: "intake",
  [AttentionRule.MASS_OVERDUE]: "body",
};
const waterRules = [AttentionRule.WATER_OUTSIDE, AttentionRule.WATER_OVERDUE];

function pictureOf(rule: AttentionRule, subject: RecordRef | undefined): Place | null {
  if (!subject) return null;
  if (waterRules.includes(rule)) return { at: "waterPicture", pool: subject };
  const picture = animalPicture[rule];
  return picture ? { at: "animalPicture", animal: subject, picture } : null;
}

// Items of one rule and subject that are not urgent are one line: twelve old lots of herring are one errand.
interface Line {
  first: AttentionItem;
  whats: string[];
  items: number;
}
function linesOf(items: AttentionItem[]): Line[] {
  const lines: Line[] = [];
  for (const item of items) {
    const last = lines.at(-1);
    const goesOn =
      last &&
      !item.urgent &&
      last.first.rule === item.rule &&
      last.first.subjectName === item.subjectName &&
      (sameRecord(last.first.subject, item.subject) || (!last.first.subject && !item.subject));
    const line = goesOn ? last : { first: item, whats: [], items: 0 };
    if (!goesOn) lines.push(line);
    line.items += 1;
    if (item.what !== "" && !line.whats.includes(item.what)) line.whats.push(item.what);
  }
  return lines;
}

const namedWhats = 3;

function LineOf({ line }: { line: Line }) {
  const { go, zone } = useShared();
  const { first, whats, items } = line;
  const place = pictureOf(first.rule, first.subject);
  const rest = whats.length - namedWhats;
  const named = whats.slice(0, namedWhats).join(", ") + (rest > 0 ? text.andMore(rest) : "");
  const since =
    first.sinceMs !== 0n
      ? instantWords(first.sinceMs, zone, words.language)
      : first.rule === AttentionRule.WATER_OVERDUE
        ? text.notInDays
        : dayWords(first.day, words.language);
  const says = (text.rules as Partial<Record<number, string>>)[first.rule] ?? text.otherRule;
  const inside = (
    <span class="what">
      <strong>{first.subjectName}</strong> {named === "" ? "" : `${named}: `}
      {says}
      {items > 1 ? ` · ${text.times(items)}` : ""} <small>{since}</small>
    </span>
  );
  return (
    <li>
      {place ? (
        <button type="button" class="item" onClick={() => go(place)}>
          {inside}
          <span class="onward">{text.see}</span>
        </button>
      ) : (
        <div class="item">{inside}</div>
      )}
    </li>
  );
}

export function Attention() {
  const { client, zone } = useShared();
  const day = zone.day(Date.now());
  const { answer: reply, failure } = useAnswer(
    () => client.ask({ case: "attention", value: { day, zone: zone.offsets(day) } }, "attention"),
    [client, day],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!reply) return <p>{words.pictures.drawing}</p>;
  const urgent = linesOf(reply.items.filter((item) => item.urgent));
  const others = linesOf(reply.items.filter((item) => !item.urgent));
  return (
    <main>
      <h2>{text.title}</h2>
      <p class="known">
        {reply.knownAsOfMs === 0n
          ? words.knownNever
          : words.known(age(Date.now() - Number(reply.knownAsOfMs)))}
      </p>
      {reply.items.length === 0 && <p>{text.nothing}</p>}
      {urgent.length > 0 && (
        <section class="pool urgent">
          <h3>{text.urgent(urgent.length)}</h3>
          <ul>
            {urgent.map((line, index) => (
              <LineOf key={index} line={line} />
            ))}
          </ul>
        </section>
      )}
      {others.length > 0 && (
        <section class="pool">
          <h3>{text.others(others.length)}</h3>
          <ul>
            {others.map((line, index) => (
              <LineOf key={index} line={line} />
            ))}
          </ul>
        </section>
      )}
      <p class="caution">{text.caution}</p>
    </main>
  );
}
