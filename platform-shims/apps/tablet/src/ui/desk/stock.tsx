// The stores: what is on hand, how long the plans let it last, what to order, and the lots with the one to use first on top.
import { useState } from "preact/hooks";
import { dayText } from "../../core/time";
import { units, writeQuantity } from "../../core/units";
import type { FoodStock, LotView } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";

const usualDays = 14;
const longestDays = 366;

const massText = (mg: bigint) => writeQuantity(units.massChangeMg, mg);

function lastsText(food: FoodStock): string {
  const { stock } = words.desk;
  if (food.lastsDays === undefined) return stock.notPlanned;
  const days = food.lastsDays >= 365 ? stock.aYear : words.days(food.lastsDays);
  return food.needIncomplete ? stock.atMost(days) : days;
}

function Lot({ lot }: { lot: LotView }) {
  const { go } = useShared();
  const { stock } = words.desk;
  const record = lot.lot;
  return (
    <li class="item line">
      <span class="what">
        <strong>{lot.code}</strong> {massText(lot.onHandMg)}
        <small>
          {[lot.store, lot.useByDay === undefined ? stock.noUseBy : stock.useBy(dayText(lot.useByDay))]
            .filter(Boolean)
            .join(" · ")}
        </small>
        {lot.pastUseBy && <span class="asks">{stock.past}</span>}
        {lot.onHandMg < 0n && <span class="asks">{stock.belowZero}</span>}
      </span>
      {record && (
        <span class="row">
          <button
            type="button"
            class="quiet"
            aria-label={`${stock.count}: ${lot.code}`}
            onClick={() => go({ at: "stock-change", lot: record, onHandMg: lot.onHandMg, cause: "counted" })}
          >
            {stock.count}
          </button>
          <button
            type="button"
            class="quiet"
            aria-label={`${stock.discard}: ${lot.code}`}
            onClick={() =>
              go({ at: "stock-change", lot: record, onHandMg: lot.onHandMg, cause: "discarded" })
            }
          >
            {stock.discard}
          </button>
        </span>
      )}
    </li>
  );
}

export function Stock() {
  const { client, zone, go } = useShared();
  const day = zone.day(Date.now());
  const [typed, setTyped] = useState(String(usualDays));
  const days = /^\d{1,3}$/.test(typed) ? Math.min(Math.max(Number(typed), 1), longestDays) : usualDays;
  const { answer, failure } = useAnswer(
    () => client.ask({ case: "stock", value: { day, horizonDays: days } }, "stock"),
    [client, day, days],
  );
  const { stock } = words.desk;
  const foods = answer?.foods ?? [];
  const isIncomplete = foods.some((food) => food.needIncomplete);
  return (
    <main class="desk">
      <h2>{stock.title}</h2>
      <p class="known">{stock.help}</p>
      <div class="row filters">
        <label>
          {stock.horizon}
          <input inputMode="numeric" value={typed} onInput={(event) => setTyped(event.currentTarget.value)} />
        </label>
        <button type="button" onClick={() => go({ at: "stock-receive" })}>
          {stock.receive}
        </button>
      </div>
      {failure !== "" && <p class="failure">{failure}</p>}
      {answer && foods.length === 0 && <p>{stock.none}</p>}
      {foods.length > 0 && (
        <Table
          caption={stock.caption(dayText(day), days)}
          head={[stock.food, stock.onHand, stock.pastUseBy, stock.need, stock.lasts, stock.order]}
          figures={[1, 2, 3, 5]}
          rows={foods.map((food) => [
            food.foodName,
            massText(food.onHandMg),
            food.pastUseByMg === 0n ? "" : massText(food.pastUseByMg),
            (food.needIncomplete ? `${stock.atLeast} ` : "") + massText(food.needMg),
            lastsText(food),
            food.orderMg === 0n ? (
              ""
            ) : (
              <strong>{(food.needIncomplete ? `${stock.atLeast} ` : "") + massText(food.orderMg)}</strong>
            ),
          ])}
        />
      )}
      {isIncomplete && <p class="asks">{stock.incomplete}</p>}
      {foods
        .filter((food) => food.lots.length > 0)
        .map((food, index) => (
          <section class="pool" key={index}>
            <h3>{food.foodName}</h3>
            <ul>
              {food.lots.map((lot, at) => (
                <Lot key={at} lot={lot} />
              ))}
            </ul>
          </section>
        ))}
      <p class="caution">{words.desk.cautions.food}</p>
    </main>
  );
}
