// A planned food is missing: what another must weigh to stand in for it. The core reckons; people decide.
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import { decimalText } from "./numbers";
import { recordKey, sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { Equality } from "../../proto/events_pb";
import { words } from "../../words/words";
import { Choice, Picker } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { foods, type Named } from "./roster";
import type { Instead } from "./tray";
import { grams } from "./weigh_line";

const k = words.keeper.scale;
const kilocalories = (cal: bigint) => `${decimalText(cal, 3)} kcal`;

export function Substitute(props: { food: RecordRef; massMg: bigint; choose: (instead: Instead) => void }) {
  const { client } = useShared();
  const [by, setBy] = useState<Named | null>(null);
  const [equality, setEquality] = useState<Equality>(Equality.ENERGY);
  const { answer: all } = useAnswer(() => foods(client), [client]);
  const { answer: reckoned } = useAnswer(async () => {
    if (!by) return null;
    try {
      const { food, massMg } = props;
      const reply = await client.ask(
        { case: "substitute", value: { food, by: by.record, massMg, equality } },
        "substitute",
      );
      return { reply, failure: "" };
    } catch (error) {
      return { reply: null, failure: failureText(error, words.failed) };
    }
  }, [client, by, equality, props.food, props.massMg]);
  const reply = reckoned?.reply;
  return (
    <div class="inset">
      <p class="caution">{k.substituteCaution}</p>
      <Picker
        label={k.substituteBy}
        options={(all ?? [])
          .filter((one) => !sameRecord(one.record, props.food))
          .map((one) => ({ key: one.key, title: one.name, value: one }))}
        chosen={by?.key ?? ""}
        onValue={setBy}
      />
      <Choice
        label={k.keptEqual}
        options={[
          { value: Equality.ENERGY, title: k.byEnergy },
          { value: Equality.MASS, title: k.byMass },
        ]}
        value={equality}
        onValue={(chosen) => setEquality(chosen ?? Equality.ENERGY)}
      />
      {reckoned && reckoned.failure !== "" && <p class="failure">{reckoned.failure}</p>}
      {by && reply && (
        <>
          <p class="total">{k.comesTo(grams(props.massMg), grams(reply.massMg), by.name)}</p>
          <p>
            {reply.energyBeforeCal === undefined || reply.energyAfterCal === undefined
              ? k.energyNotKnown
              : k.energyChange(kilocalories(reply.energyBeforeCal), kilocalories(reply.energyAfterCal))}
          </p>
          <button
            type="button"
            onClick={() =>
              props.choose({
                food: recordKey(by.record),
                name: by.name,
                equality,
                massMg: String(reply.massMg),
                plannedMg: String(props.massMg),
              })
            }
          >
            {k.useInstead(by.name)}
          </button>
        </>
      )}
    </div>
  );
}
