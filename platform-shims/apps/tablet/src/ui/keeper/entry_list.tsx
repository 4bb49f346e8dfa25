// The entries of a day, the last first: of all or of one person, of everything or of one animal or kind.
import { type Held, listAll, recordKey, sameRecord } from "../../core/records";
import { type Kind, kind, schemaOf } from "../../core/kinds";
import type { Message } from "@bufbuild/protobuf";
import type { RecordRef } from "../../proto/change_pb";
import { PortionSchema } from "../../proto/events_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { loadNames } from "./entry_names";
import { entryKinds, happenedMs, kindTitle, portionText, say } from "./entry_words";

const k = words.keeper.entries;

export function EntryList(props: {
  day: number;
  animal: RecordRef | null;
  author: RecordRef | null;
  of: Kind | null;
}) {
  const { client, zone, go } = useShared();
  const { day, animal, author, of } = props;
  const { answer: entries, failure } = useAnswer(async () => {
    const kinds = of === null ? entryKinds : [of];
    const where = { allSubjects: true, firstDay: day, lastDay: day, withStruck: true };
    const [names, ...lists] = await Promise.all([
      loadNames(client),
      ...kinds.map((one) => listAll(client, one, schemaOf[one], where) as Promise<Held<Message>[]>),
    ]);
    const shown = lists
      .flat()
      .map((held) => ({
        held,
        said: say(held.view, names),
        who: names.of(held.view.author),
        names,
        atMs: happenedMs(held.fields) ?? Number(held.view.enteredMs),
      }))
      .filter(({ held, said }) => {
        const isTheirs = author === null || sameRecord(held.view.author, author);
        return isTheirs && (animal === null || sameRecord(said.subject, animal));
      })
      .sort((a, b) => b.atMs - a.atMs);
    const foods = await Promise.all(
      shown.map(async ({ held }) => {
        if (held.view.kind !== kind.meal) return [];
        const portions = await listAll(client, kind.portion, PortionSchema, { subject: held.record });
        return portions.map(({ fields }) => portionText(fields, names));
      }),
    );
    return shown.map((one, index) => ({ ...one, foods: foods[index] ?? [] }));
  }, [client, day, animal, author, of]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!entries) return <p>{words.loading}</p>;
  if (entries.length === 0) return <p>{k.nothing}</p>;
  return (
    <ul class="entries">
      {entries.map(({ held, said, who, names, atMs, foods }) => (
        <li key={recordKey(held.record)}>
          <button
            type="button"
            class={held.view.struck ? "item struck" : "item"}
            onClick={() => go({ at: "entry", record: held.record })}
          >
            <span class="slot">{zone.clockAt(atMs)}</span>
            <span class="what">
              <strong>{said.subject ? names.of(said.subject) : said.place}</strong>{" "}
              {kindTitle(held.view.kind)} {said.text}
              {foods.map((food, index) => (
                <span class="food" key={index}>
                  {food}
                </span>
              ))}
              {author === null && <small> · {who}</small>}
            </span>
            {held.view.struck && <span class="state upcoming">{k.struck}</span>}
            {held.view.disagreements.length > 0 && <span class="state late">{k.disagrees}</span>}
          </button>
        </li>
      ))}
    </ul>
  );
}
