// Food is taken out of the freezer to thaw: a batch, and what left its lot.
import { create, toBinary } from "@bufbuild/protobuf";
import { gramsTyped } from "./numbers";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { dayText } from "../../core/time";
import { MovementCause, StockMovementSchema, ThawBatchSchema, ThawMethod } from "../../proto/events_pb";
import type { LotView } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { Amount, Choice, Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import { grams } from "./weigh_line";
import { useWhen } from "./when";

const k = words.keeper.thaw;

interface Lot {
  key: string;
  title: string;
  view: LotView;
}

export function Thaw({ leave }: { leave: () => void }) {
  const { client, zone } = useShared();
  const draft = useDraft("thaw", { lot: "", mass: "", method: ThawMethod.UNSPECIFIED, note: "" });
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: lots } = useAnswer(async () => {
    const { foods } = await client.ask({ case: "stock", value: { day: zone.day(Date.now()) } }, "stock");
    return foods.flatMap((food) =>
      food.lots.flatMap((view): Lot[] => {
        if (!view.lot) return [];
        const until = view.useByDay === undefined ? "" : words.keeper.prep.useBy(dayText(view.useByDay));
        const title = [food.foodName, view.code, view.store, grams(view.onHandMg), until];
        return [{ key: recordKey(view.lot), title: title.filter(Boolean).join(" · "), view }];
      }),
    );
  }, [client, zone]);
  const chosen = lots?.find(({ key }) => key === draft.value.lot);

  const save = () => {
    const massMg = gramsTyped(draft.value.mass);
    if (!chosen?.view.lot) {
      saving.fail(k.noLot);
      return;
    }
    if (massMg === null) {
      saving.fail(words.notANumber);
      return;
    }
    if (draft.value.method === ThawMethod.UNSPECIFIED) {
      saving.fail(k.noMethod);
      return;
    }
    const at = when();
    const { lot } = chosen.view;
    const { method, note } = draft.value;
    const batch = create(ThawBatchSchema, { lot, ...at, massMg, method, note });
    const movement = create(StockMovementSchema, {
      lot,
      ...at,
      cause: MovementCause.USED,
      changeMg: -massMg,
    });
    const records = [
      { kind: kind.thawBatch, fields: toBinary(ThawBatchSchema, batch) },
      // It has left the freezer for good: thawed food is never frozen again.
      { kind: kind.stockMovement, fields: toBinary(StockMovementSchema, movement) },
    ];
    saving.log({ case: "log", value: { records } }, k.saved);
  };
  return (
    <Form
      title={k.startTitle}
      caution={words.keeper.prep.caution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" onClick={save}>
          {words.save}
        </button>
      }
    >
      {lots?.length === 0 && <p>{words.keeper.prep.noLots}</p>}
      <Picker
        label={k.ofLot}
        options={(lots ?? []).map((lot) => ({ key: lot.key, title: lot.title, value: lot }))}
        chosen={draft.value.lot}
        onValue={(_, lot) => draft.set({ lot })}
      />
      {chosen?.view.pastUseBy && <p class="asks">{words.keeper.prep.pastUseBy}</p>}
      <Amount label={k.mass} value={draft.value.mass} onValue={(mass) => draft.set({ mass })} />
      <h3>{k.how}</h3>
      <Choice
        label={k.how}
        options={[
          { value: ThawMethod.REFRIGERATOR, title: k.refrigerator },
          { value: ThawMethod.COLD_WATER, title: k.coldWater },
        ]}
        value={draft.value.method}
        onValue={(method) => draft.set({ method: method ?? ThawMethod.UNSPECIFIED })}
      />
      <Text label={words.keeper.note} value={draft.value.note} onValue={(note) => draft.set({ note })} />
      {whenField}
    </Form>
  );
}
