// An animal, or heads of a group, brought to another pool.
import { create, toBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { getOne, recordKey, recordOf, sameRecord } from "../../core/records";
import { MoveSchema } from "../../proto/events_pb";
import { AnimalSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";
import { poolsAndAnimals } from "./roster";
import { useWhen } from "./when";

const k = words.keeper.move;

export function Move({ animal, leave }: { animal: About; leave: () => void }) {
  const { client } = useShared();
  const draft = useDraft(`move.${recordKey(animal.record)}`, { to: "", heads: "", reason: "" });
  const { value, set } = draft;
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: pools } = useAnswer(() => poolsAndAnimals(client), [client]);
  const { answer: held } = useAnswer(() => getOne(client, animal.record, AnimalSchema), [client, animal]);
  const from = held?.fields.pool;
  const fromName = pools?.find(({ pool }) => sameRecord(pool?.record, from))?.pool?.fields.name;
  const isGroup = (held?.fields.headCount ?? 1) > 1;

  const save = () => {
    const to = recordOf(value.to);
    if (!to) {
      saving.fail(k.noPool);
      return;
    }
    const heads = value.heads.trim();
    if (heads !== "" && !/^[1-9]\d{0,6}$/.test(heads)) {
      saving.fail(k.noHeads);
      return;
    }
    const move = create(MoveSchema, {
      animal: animal.record,
      ...when(),
      ...(from ? { fromPool: from } : {}),
      toPool: to,
      ...(heads === "" ? {} : { heads: Number(heads) }),
      reason: value.reason,
    });
    const fields = toBinary(MoveSchema, move);
    saving.log({ case: "log", value: { records: [{ kind: kind.move, fields }] } }, k.saved(animal.name));
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
      <p>{k.from(fromName ?? words.keeper.notKnown)}</p>
      <Picker
        label={k.to}
        options={(pools ?? []).flatMap(({ pool }) =>
          pool && !sameRecord(pool.record, from)
            ? [
                {
                  key: recordKey(pool.record),
                  title: [pool.fields.name, pool.view.areaName].filter(Boolean).join(" · "),
                  value: pool,
                },
              ]
            : [],
        )}
        chosen={value.to}
        onValue={(_, to) => set({ to })}
      />
      {isGroup && <Text label={k.heads} value={value.heads} onValue={(heads) => set({ heads })} />}
      <Text label={k.reason} value={value.reason} onValue={(reason) => set({ reason })} />
      <p class="known">{k.roster}</p>
      {whenField}
    </Form>
  );
}
