// Training by cue: the share of trials that succeeded, with the interval in which it may well lie.
import type { RecordRef } from "../../proto/change_pb";
import type { CueFigures } from "../../proto/husbandry_pb";
import { dayWords } from "../../core/dates";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Bars } from "./bars";
import { massWords, number, percent } from "./figures";
import type { Days } from "./span";

const text = words.pictures.training;

function trendOf(cue: CueFigures): string {
  const z = cue.trendZThousandths;
  return z === undefined ? words.pictures.unknown : `z ${number(z / 1000, 2)}`;
}

export function Training({ animal, name, days }: { animal: RecordRef; name: string; days: Days }) {
  const { client } = useShared();
  const { answer: reply, failure } = useAnswer(
    () =>
      client.ask(
        { case: "training", value: { animal, firstDay: days.first, lastDay: days.last } },
        "training",
      ),
    [client, animal, days.first, days.last],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!reply) return <p>{words.pictures.drawing}</p>;
  return (
    <>
      <section class="pool picture">
        <h3>{text.title(name)}</h3>
        <p>{reply.cues.length === 0 ? text.nothing : text.says}</p>
        {reply.cues.length > 0 && (
          <Bars
            caption={text.title(name)}
            full={1_000_000}
            head={text.head}
            rows={reply.cues.map((cue) => ({
              cells: [
                cue.name,
                percent(cue.successPpm),
                cue.lowPpm === undefined || cue.highPpm === undefined
                  ? words.pictures.unknown
                  : `${number(cue.lowPpm / 10_000, 1)}–${percent(cue.highPpm)}`,
                text.trials(Number(cue.successes), Number(cue.trials)),
                String(cue.sessions),
                trendOf(cue),
                dayWords(cue.lastDay, words.language),
              ],
              value: cue.successPpm ?? null,
              ...(cue.lowPpm === undefined || cue.highPpm === undefined
                ? {}
                : { range: [cue.lowPpm, cue.highPpm] as [number, number] }),
            }))}
          />
        )}
        <p>{text.trendHelp}</p>
        <p>{text.food(massWords(reply.foodMg))}</p>
      </section>
      <p class="caution">{text.caution}</p>
    </>
  );
}
