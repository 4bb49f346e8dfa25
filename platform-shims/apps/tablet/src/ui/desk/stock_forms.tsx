// These forms book deliveries, counts and waste: each is a movement of a lot, never a total written over.
import { failureText } from "../../core/messages";
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import type { Named } from "../../core/names";
import { recordKey } from "../../core/records";
import { readQuantity, units, writeQuantity } from "../../core/units";
import type { RecordRef } from "../../proto/change_pb";
import { MovementCause, StockMovementSchema } from "../../proto/events_pb";
import { LotSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Day, Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { NumberInput } from "./field_inputs";
import { useNames } from "./record_words";

// Throws what is wrong, in words.
function massTyped(text: string): bigint {
  if (text === "") throw new Error(words.desk.stock.massMissing);
  return readQuantity(units.massMg, text);
}

function Foot({ leave, doIt }: { leave: () => void; doIt: string }) {
  return (
    <div class="row foot">
      <button type="button" class="quiet" onClick={leave}>
        {words.cancel}
      </button>
      <button type="submit">{doIt}</button>
    </div>
  );
}

const lotOfMovement = 1;

export function Receive({ food, leave }: { food?: RecordRef; leave: () => void }) {
  const { zone } = useShared();
  const names = useNames();
  const [chosen, setChosen] = useState<RecordRef | null>(food ?? null);
  const [mass, setMass] = useState("");
  const [code, setCode] = useState("");
  const [useBy, setUseBy] = useState<number | null>(null);
  const [store, setStore] = useState("");
  const [note, setNote] = useState("");
  const saving = useSaving(leave);
  const { stock } = words.desk;
  const { answer } = useAnswer(async () => {
    const foods = await names.options(kind.food);
    const lots = await names.options(kind.lot);
    return { foods, lots };
  }, [names]);
  const isKnown = (lot: Named) => code.trim() !== "" && lot.title.startsWith(`${code.trim()}, `);
  const known = answer?.lots.find(isKnown);

  const save = () => {
    let changeMg: bigint;
    try {
      changeMg = massTyped(mass);
    } catch (error) {
      saving.fail(failureText(error, words.failed));
      return;
    }
    const when = zone.when(Date.now());
    const lot = create(LotSchema, {
      ...(chosen ? { food: chosen } : {}),
      code: code.trim(),
      receivedDay: when.day,
      ...(useBy === null ? {} : { useByDay: useBy }),
      store,
      note,
    });
    const movement = create(StockMovementSchema, { ...when, cause: MovementCause.RECEIVED, changeMg });
    saving.log(
      {
        case: "log",
        value: {
          records: [
            { kind: kind.lot, fields: toBinary(LotSchema, lot) },
            {
              kind: kind.stockMovement,
              fields: toBinary(StockMovementSchema, movement),
              links: [{ field: lotOfMovement, record: 0 }],
            },
          ],
        },
      },
      stock.received(code.trim()),
    );
  };
  return (
    <main class="desk">
      <h2>{stock.receive}</h2>
      <p class="caution">{words.desk.cautions.food}</p>
      <form
        class="record"
        onSubmit={(event) => {
          event.preventDefault();
          save();
        }}
      >
        <div class="fields-grid">
          <Picker
            label={words.fields.food}
            options={answer?.foods ?? []}
            chosen={chosen ? recordKey(chosen) : ""}
            onValue={setChosen}
          />
          <NumberInput
            label={words.fields.mass_mg}
            unit={units.massMg}
            usual="kg"
            text={mass}
            onText={setMass}
          />
          <Text label={stock.codeOnBox} value={code} onValue={setCode} />
          <Day label={words.fields.use_by_day} value={useBy} onValue={setUseBy} />
          <Text label={words.fields.store} value={store} onValue={setStore} />
          <Text label={words.fields.note} value={note} onValue={setNote} />
        </div>
        {known && <p class="asks">{stock.knownLot(known.title)}</p>}
        {useBy === null && <p class="known">{stock.useByHelp}</p>}
        {saving.failure}
        <Foot leave={leave} doIt={stock.receiveDo} />
        {saving.really}
      </form>
    </main>
  );
}

export function StockChange(props: {
  lot: RecordRef;
  onHandMg: bigint;
  cause: "counted" | "discarded";
  leave: () => void;
}) {
  const { zone } = useShared();
  const names = useNames();
  const [mass, setMass] = useState("");
  const [note, setNote] = useState("");
  const saving = useSaving(props.leave);
  const { stock } = words.desk;
  const isCount = props.cause === "counted";
  const { answer: name } = useAnswer(() => names.of(props.lot), [names, props.lot]);

  const save = () => {
    let typedMg: bigint;
    try {
      typedMg = massTyped(mass);
    } catch (error) {
      saving.fail(failureText(error, words.failed));
      return;
    }
    const movement = create(StockMovementSchema, {
      lot: props.lot,
      ...zone.when(Date.now()),
      note,
      ...(isCount
        ? { cause: MovementCause.COUNTED, countedMg: typedMg, changeMg: typedMg - props.onHandMg }
        : { cause: MovementCause.DISCARDED, changeMg: -typedMg }),
    });
    saving.log(
      {
        case: "log",
        value: {
          records: [{ kind: kind.stockMovement, fields: toBinary(StockMovementSchema, movement) }],
        },
      },
      isCount ? stock.countedSaved : stock.discardedSaved,
    );
  };
  return (
    <main class="desk">
      <h2>{isCount ? stock.countOf(name ?? "") : stock.discardOf(name ?? "")}</h2>
      <p class="total">{stock.byTheBook(writeQuantity(units.massChangeMg, props.onHandMg))}</p>
      <p>{isCount ? stock.countHelp : stock.discardHelp}</p>
      <form
        class="record"
        onSubmit={(event) => {
          event.preventDefault();
          save();
        }}
      >
        <NumberInput
          label={isCount ? words.fields.counted_mg : stock.discardMass}
          unit={units.massMg}
          usual="kg"
          text={mass}
          onText={setMass}
        />
        <Text label={isCount ? words.fields.note : stock.why} value={note} onValue={setNote} />
        {saving.failure}
        <Foot leave={props.leave} doIt={isCount ? stock.countDo : stock.discardDo} />
        {saving.really}
      </form>
    </main>
  );
}
