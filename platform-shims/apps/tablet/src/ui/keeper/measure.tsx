// A measurement of a body: what, how much, how and with what.
import { create, toBinary } from "@bufbuild/protobuf";
import { decimalTyped } from "./numbers";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { MeasureSchema } from "../../proto/events_pb";
import { Quantity } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { Amount, Choice, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { Form } from "./form";
import { readKept, useDraft, writeKept } from "./kept";
import type { About } from "./places";
import { massUnits, quantityName, unitOfQuantity, withUnit } from "./units";
import { useWhen } from "./when";

const k = words.keeper.measure;
const quantities = [
  Quantity.MASS,
  Quantity.LENGTH_STRAIGHT,
  Quantity.LENGTH_CURVED,
  Quantity.GIRTH,
  Quantity.CONDITION_SCORE,
  Quantity.BODY_TEMPERATURE,
];

export function Measure(props: { animal: About; quantity: Quantity | undefined; leave: () => void }) {
  const { animal, leave } = props;
  const draft = useDraft(`measure.${recordKey(animal.record)}`, {
    quantity: props.quantity ?? Quantity.MASS,
    unit: 0,
    value: "",
    method: "",
    note: "",
    // The scale of yesterday is most likely that of today.
    instrument: readKept<string>("instrument")?.value ?? "",
  });
  const { value, set } = draft;
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    if (value.instrument !== "") writeKept("instrument", value.instrument);
    draft.drop();
    leave();
  });
  const isMass = value.quantity === Quantity.MASS;
  const unit = (isMass ? massUnits[value.unit] : undefined) ?? unitOfQuantity(value.quantity);
  const read = decimalTyped(value.value, unit.decimals);

  const save = () => {
    if (read === null || read < 0n) {
      saving.fail(k.noValue);
      return;
    }
    const measure = create(MeasureSchema, {
      animal: animal.record,
      ...when(),
      quantity: value.quantity,
      value: read,
      method: value.method,
      instrument: value.instrument,
      note: value.note,
    });
    const fields = toBinary(MeasureSchema, measure);
    saving.log({ case: "log", value: { records: [{ kind: kind.measure, fields }] } }, k.saved(animal.name));
  };
  return (
    <Form
      title={k.title(animal.name)}
      caution={k.caution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" onClick={save}>
          {words.save}
        </button>
      }
    >
      <Choice
        label={k.what}
        options={quantities.map((quantity) => ({ value: quantity, title: quantityName(quantity) }))}
        value={value.quantity}
        onValue={(quantity) => set({ quantity: quantity ?? Quantity.MASS })}
      />
      <div class="columns">
        <div>
          <div class="row">
            <Amount
              label={[quantityName(value.quantity), unit.text].filter(Boolean).join(", ")}
              value={value.value}
              onValue={(typed) => set({ value: typed })}
            />
            {isMass && (
              <Choice
                label={k.unit}
                options={massUnits.map(({ text }, index) => ({ value: index, title: text }))}
                value={value.unit}
                onValue={(index) => set({ unit: index ?? 0 })}
              />
            )}
          </div>
          <p class="total" aria-live="polite">
            {read === null ? "" : withUnit(read, unit)}
          </p>
          {isMass && <p class="known">{k.group}</p>}
        </div>
        <div>
          <Text
            label={value.quantity === Quantity.CONDITION_SCORE ? k.scale : k.method}
            value={value.method}
            onValue={(method) => set({ method })}
          />
          <Text label={k.instrument} value={value.instrument} onValue={(instrument) => set({ instrument })} />
          <Text label={words.keeper.note} value={value.note} onValue={(note) => set({ note })} />
          {whenField}
        </div>
      </div>
    </Form>
  );
}
