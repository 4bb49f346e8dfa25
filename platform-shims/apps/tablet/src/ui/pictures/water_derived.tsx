// This part shows what a pool's readings tell together, with the formula that says so; and what is not
// reckoned, and why.
import { Judgement, type WaterReply } from "../../proto/husbandry_pb";
import { dayWords, instantWords } from "../../core/dates";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { useShared } from "../state";
import { derivedValue, derivedWords, judgementWords } from "./water_words";

const text = words.pictures.water;

export function Derived({ reply }: { reply: WaterReply }) {
  const { zone } = useShared();
  if (reply.derived.length === 0 && reply.refused.length === 0) return null;
  const time = ({ day, happenedMs }: { day: number; happenedMs: bigint }) =>
    happenedMs === 0n ? dayWords(day, words.language) : instantWords(happenedMs, zone, words.language);
  const formulas = [...new Set(reply.derived.map(({ formula }) => formula))];
  return (
    <section class="pool">
      <h3>{text.derivedTitle}</h3>
      <p>{text.derivedSays}</p>
      {reply.derived.length > 0 && (
        <Table
          caption={text.derivedTitle}
          head={text.derivedHead}
          rows={reply.derived.map((one) => [
            time(one),
            derivedWords(one.derived),
            derivedValue(one.derived, one.value),
            one.outsideRange
              ? text.outsideRange
              : one.judgement === Judgement.UNSPECIFIED
                ? ""
                : judgementWords(one.judgement),
            `[${formulas.indexOf(one.formula) + 1}]`,
          ])}
          figures={[2]}
        />
      )}
      <ol class="formulas">
        {formulas.map((formula) => (
          <li key={formula}>{formula}</li>
        ))}
      </ol>
      {reply.refused.length > 0 && (
        <ul>
          {reply.refused.map((one, index) => (
            <li key={index}>{text.refused(derivedWords(one.derived), time(one), one.reason)}</li>
          ))}
        </ul>
      )}
    </section>
  );
}
