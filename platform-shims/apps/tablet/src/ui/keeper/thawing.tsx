// The batches that are thawing, each with its clock; found thawed, or discarded.
import { create, toBinary } from "@bufbuild/protobuf";
import { recordKey } from "../../core/records";
import { ThawBatchSchema, ThawMethod } from "../../proto/events_pb";
import type { ThawView } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { useSaving } from "../parts/saving";
import { useShared } from "../state";
import { grams } from "./weigh_line";

const k = words.keeper.thaw;

export function Thawing({ thaws }: { thaws: ThawView[] }) {
  const { client, zone, go } = useShared();
  const saving = useSaving(() => undefined);

  const change = async (
    batch: ThawView["batch"],
    fields: { thawedMs: bigint } | { discardedMs: bigint },
    said: string,
  ) => {
    if (!batch) return;
    const { record } = await client.ask({ case: "get", value: { record: batch } }, "get");
    const edit = {
      record: batch,
      fields: toBinary(ThawBatchSchema, create(ThawBatchSchema, fields)),
      seen: record?.heads ?? [],
    };
    saving.edit([{ case: "edit", value: edit }], said);
  };
  const moment = (ms: bigint) => zone.momentText(Number(ms), words.language);
  return (
    <section class="pool">
      <h3>{k.title}</h3>
      {thaws.length === 0 && <p>{k.nothing}</p>}
      <ul class="lines">
        {thaws.map((thaw) => (
          <li key={thaw.batch ? recordKey(thaw.batch) : ""}>
            <strong>{thaw.foodName}</strong> {thaw.massMg === undefined ? "" : grams(thaw.massMg)} ·{" "}
            {k.lot(thaw.lotCode)} · {thaw.method === ThawMethod.REFRIGERATOR ? k.refrigerator : k.coldWater}
            <br />
            {k.out(moment(thaw.outMs))}
            {thaw.thawedMs === 0n ? "" : ` · ${k.thawed(moment(thaw.thawedMs))}`}
            <br />
            <span class={thaw.past ? "asks" : undefined}>
              {thaw.past
                ? k.past(moment(thaw.useUntilMs))
                : thaw.useUntilMs === 0n
                  ? k.notRunning
                  : k.until(moment(thaw.useUntilMs))}
            </span>
            <div class="row">
              {thaw.thawedMs === 0n && thaw.method === ThawMethod.REFRIGERATOR && (
                <button
                  type="button"
                  class="quiet"
                  onClick={() => void change(thaw.batch, { thawedMs: BigInt(Date.now()) }, k.thawedSaved)}
                >
                  {k.foundThawed}
                </button>
              )}
              <button
                type="button"
                class={thaw.past ? "warn" : "quiet"}
                onClick={() => void change(thaw.batch, { discardedMs: BigInt(Date.now()) }, k.discardedSaved)}
              >
                {k.discard}
              </button>
            </div>
          </li>
        ))}
      </ul>
      {saving.failure}
      <button type="button" onClick={() => go({ at: "thaw" })}>
        {k.start}
      </button>
      {saving.really}
    </section>
  );
}
