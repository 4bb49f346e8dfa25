// Readings of a pool's water, several properties in one go. After saving the core judges them by the site's limits.
import { create, toBinary } from "@bufbuild/protobuf";
import { useRef, useState } from "preact/hooks";
import { decimalTyped } from "./numbers";
import { kind } from "../../core/kinds";
import { recordKey, sameRecord } from "../../core/records";
import { WaterReadingSchema } from "../../proto/events_pb";
import { DueKind, DueState } from "../../proto/husbandry_pb";
import { Parameter } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { Amount, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { readKept, useDraft, writeKept } from "./kept";
import type { About } from "./places";
import { parameterName, unitOfParameter } from "./units";
import { WaterResult } from "./water_result";
import { useWhen } from "./when";

const k = words.keeper.water;
const parameters = Object.values(Parameter).filter(
  (one): one is Parameter => typeof one === "number" && one !== Parameter.UNSPECIFIED,
);
const usual = [
  Parameter.TEMPERATURE,
  Parameter.SALINITY,
  Parameter.PH,
  Parameter.OXYGEN,
  Parameter.AMMONIA,
  Parameter.NITRITE,
];
const signed = [Parameter.TEMPERATURE, Parameter.REDOX];

export function Water({ pool, leave }: { pool: About; leave: () => void }) {
  const { client, zone } = useShared();
  const day = zone.day(Date.now());
  const [saved, setSaved] = useState<{ day: number; fromMs: bigint } | null>(null);
  const [all, setAll] = useState(false);
  const instruments = `water-instrument.${recordKey(pool.record)}`;
  const draft = useDraft(`water.${recordKey(pool.record)}`, {
    values: {} as Partial<Record<number, string>>,
    method: "",
    instrument: readKept<string>(instruments)?.value ?? "",
    note: "",
  });
  const { value, set } = draft;
  const { when, field: whenField } = useWhen();
  const at = useRef<{ day: number; fromMs: bigint } | null>(null);
  const saving = useSaving(() => {
    if (value.instrument !== "") writeKept(instruments, value.instrument);
    draft.drop();
    setSaved(at.current);
  });
  const { answer: due } = useAnswer(async () => {
    const round = await client.ask({ case: "round", value: { day, zone: zone.offsets(day) } }, "round");
    return round.items
      .filter(
        (item) =>
          item.dueKind === DueKind.WATER &&
          item.state !== DueState.DONE &&
          sameRecord(item.subject, pool.record),
      )
      .map((item) => item.parameter);
  }, [client, day, pool]);
  if (saved) return <WaterResult pool={pool} day={saved.day} fromMs={saved.fromMs} leave={leave} />;
  if (!due) return <p>{words.loading}</p>;

  const first = [...new Set([...due, ...usual])].filter((one) => one !== Parameter.UNSPECIFIED);
  const shown = all
    ? [...first, ...parameters.filter((one) => !(first as Parameter[]).includes(one))]
    : first;
  const save = () => {
    const moment = when();
    const records = [];
    for (const parameter of parameters) {
      const text = value.values[parameter] ?? "";
      if (text.trim() === "") continue;
      const read = decimalTyped(text, unitOfParameter(parameter).decimals);
      if (read === null || (read < 0n && !signed.includes(parameter))) {
        saving.fail(k.noValue(parameterName(parameter)));
        return;
      }
      const reading = create(WaterReadingSchema, {
        pool: pool.record,
        ...moment,
        parameter,
        value: read,
        instrument: value.instrument,
        method: value.method,
        note: value.note,
      });
      records.push({ kind: kind.waterReading, fields: toBinary(WaterReadingSchema, reading) });
    }
    if (records.length === 0) {
      saving.fail(k.nothing);
      return;
    }
    at.current = { day: moment.day, fromMs: moment.happenedMs };
    saving.log({ case: "log", value: { records } }, k.saved(pool.name));
  };
  return (
    <Form
      title={k.title(pool.name)}
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
      <div class="readings">
        {shown.map((parameter) => {
          const name = [parameterName(parameter), unitOfParameter(parameter).text].filter(Boolean).join(", ");
          return (
            <Amount
              key={parameter}
              label={due.includes(parameter) ? `${name} · ${words.due.due}` : name}
              value={value.values[parameter] ?? ""}
              onValue={(text) => set({ values: { ...value.values, [parameter]: text } })}
            />
          );
        })}
      </div>
      {!all && (
        <button type="button" class="quiet" onClick={() => setAll(true)}>
          {k.more}
        </button>
      )}
      <div class="columns">
        <Text label={k.instrument} value={value.instrument} onValue={(instrument) => set({ instrument })} />
        <Text label={k.method} value={value.method} onValue={(method) => set({ method })} />
        <Text label={words.keeper.note} value={value.note} onValue={(note) => set({ note })} />
      </div>
      {whenField}
    </Form>
  );
}
