// One food on the scale: what the plan wants, what it weighs in big numerals, and how far off that is.
import { useState } from "preact/hooks";
import { mass } from "../../core/amounts";
import { recordKey } from "../../core/records";
import { clock } from "../../core/time";
import { Equality } from "../../proto/events_pb";
import type { ThawView } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { Amount, Picker } from "../parts/inputs";
import { useShared } from "../state";
import { Substitute } from "./substitute";
import type { Line, Weighing } from "./tray";
import { scaleSoFar } from "./tray";

const k = words.keeper.scale;
export const grams = (mg: bigint) => mass(mg, words.language);

// The difference to the plan, in words; nothing to say of a food without a planned mass.
function difference(weighedMg: bigint, plannedMg: bigint | undefined, toleranceMg: bigint | undefined) {
  if (plannedMg === undefined) return null;
  const off = weighedMg - plannedMg;
  const size = off < 0n ? -off : off;
  if (off === 0n) return { text: k.asPlanned, isOff: false };
  const how = off < 0n ? k.under(grams(size)) : k.over(grams(size));
  if (toleranceMg === undefined) return { text: how, isOff: false };
  return size <= toleranceMg
    ? { text: `${how}, ${k.within(grams(toleranceMg))}`, isOff: false }
    : { text: `${how}, ${k.outside(grams(toleranceMg))}`, isOff: true };
}

export function WeighLine(props: {
  line: Line;
  weighing: Weighing;
  thaws: ThawView[];
  set: (change: Partial<Weighing>) => void;
}) {
  const { zone } = useShared();
  const [replacing, setReplacing] = useState(false);
  const { line } = props.line;
  const { weighing, set } = props;
  const plannedMg = weighing.instead ? BigInt(weighing.instead.massMg) : line.massMg;
  const weighedMg = scaleSoFar(weighing);
  const off = weighedMg === null ? null : difference(weighedMg, plannedMg, line.toleranceMg);
  const foodName = weighing.instead?.name ?? line.foodName;
  const batches = props.thaws.filter((thaw) => thaw.foodName === foodName && !thaw.past);
  return (
    <section class="pool">
      <h3>
        {foodName} <small>{plannedMg === undefined ? k.byEye : words.planned(grams(plannedMg))}</small>
      </h3>
      {weighing.instead && (
        <p>
          {k.insteadOf(
            line.foodName,
            grams(BigInt(weighing.instead.plannedMg)),
            weighing.instead.equality === Equality.ENERGY ? k.byEnergy : k.byMass,
          )}
        </p>
      )}
      <p>{[line.preparation, line.presentation].filter(Boolean).join(" · ")}</p>
      {!line.approved && <p class="asks">{k.notApproved}</p>}
      {weighing.unweighed ? (
        <p class="total">{k.unweighed}</p>
      ) : (
        <div class="row">
          {weighing.dish ? (
            <>
              <Amount label={words.gross} value={weighing.gross} onValue={(gross) => set({ gross })} />
              <Amount label={words.tare} value={weighing.tare} onValue={(tare) => set({ tare })} />
            </>
          ) : (
            <Amount label={words.weighed} value={weighing.net} onValue={(net) => set({ net })} />
          )}
        </div>
      )}
      {weighedMg !== null && !weighing.unweighed && (
        <p class={off?.isOff ? "difference asks" : "difference"} aria-live="polite">
          {[weighing.dish ? k.food(grams(weighedMg)) : "", off?.text ?? ""].filter(Boolean).join(" · ")}
        </p>
      )}
      {batches.length > 0 && (
        <Picker
          label={k.fromBatch}
          options={batches.map((thaw) => {
            const key = thaw.batch ? recordKey(thaw.batch) : "";
            return { key, title: k.batch(thaw.lotCode, zone.clockAt(Number(thaw.outMs))), value: key };
          })}
          chosen={weighing.batch}
          onValue={(batch) => set({ batch: batch ?? "" })}
        />
      )}
      <div class="row">
        <button
          type="button"
          class={weighing.unweighed ? "chosen" : "quiet"}
          aria-pressed={weighing.unweighed}
          onClick={() => set({ unweighed: !weighing.unweighed })}
        >
          {k.unweighed}
        </button>
        {weighing.instead ? (
          <button type="button" class="quiet" onClick={() => set({ instead: null })}>
            {k.notInstead}
          </button>
        ) : (
          line.massMg !== undefined && (
            <button
              type="button"
              class="quiet"
              aria-expanded={replacing}
              onClick={() => setReplacing(!replacing)}
            >
              {k.missing}
            </button>
          )
        )}
      </div>
      {replacing && !weighing.instead && line.food && line.massMg !== undefined && (
        <Substitute
          food={line.food}
          massMg={line.massMg}
          choose={(instead) => {
            set({ instead });
            setReplacing(false);
          }}
        />
      )}
    </section>
  );
}

export function slotText(slotMin: number | undefined): string {
  return slotMin === undefined ? words.anyTime : clock(slotMin);
}
