// This list shows how much the day needs of each food, and the lots to take it from, the one to use first on
// top.
import { dayText } from "../../core/time";
import type { LotView, PrepTotal } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { grams } from "./weigh_line";

const k = words.keeper.prep;

function lotText(lot: LotView): string {
  const onHand = lot.onHandMg > 0n ? grams(lot.onHandMg) : "";
  const until = lot.useByDay === undefined ? "" : k.useBy(dayText(lot.useByDay));
  return [lot.code, lot.store, onHand, until].filter(Boolean).join(" · ");
}

export function PrepTotals({ totals }: { totals: PrepTotal[] }) {
  return (
    <section class="pool">
      <h3>{k.totals}</h3>
      {totals.length === 0 && <p>{k.nothing}</p>}
      <ul class="lines">
        {totals.map((total) => (
          <li key={total.foodName}>
            <strong>{total.foodName}</strong>{" "}
            <span class="total">
              {total.incomplete ? k.atLeast(grams(total.massMg)) : grams(total.massMg)}
            </span>
            {total.lots.length === 0 && <p class="known">{k.noLots}</p>}
            <ol class="lots">
              {total.lots.map((lot, index) => (
                <li key={index} class={lot.pastUseBy ? "asks" : undefined}>
                  {lotText(lot)} {lot.pastUseBy ? k.pastUseBy : ""}
                </li>
              ))}
            </ol>
          </li>
        ))}
      </ul>
    </section>
  );
}
