// This warning must be looked at before anything is given: a dose that may have been given twice.
import { fromBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { getOne, recordKey } from "../../core/records";
import { clock } from "../../core/time";
import { AdministrationSchema } from "../../proto/events_pb";
import { TreatmentOrderSchema } from "../../proto/plans_pb";
import { ReviewLevel } from "../../proto/reading_pb";
import { AnimalSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { loadNames } from "./entry_names";

const k = words.keeper.urgent;

export function Urgent() {
  const { client, zone, go } = useShared();
  const { answer: items } = useAnswer(async () => {
    const { items: all } = await client.ask({ case: "review", value: {} }, "review");
    const names = await loadNames(client);
    const urgent = all.filter((item) => item.level === ReviewLevel.URGENT);
    return Promise.all(
      urgent.map(async (item) => {
        const record = item.records[0];
        const isDose = item.kind === kind.administration;
        const dose = record && isDose ? await getOne(client, record, AdministrationSchema) : null;
        const order = dose?.fields.order && (await getOne(client, dose.fields.order, TreatmentOrderSchema));
        const animal = order?.fields.animal && (await getOne(client, order.fields.animal, AnimalSchema));
        const slot = dose?.fields.dueSlotMin;
        const about = [animal?.fields.name, order?.fields.preparation, slot === undefined ? "" : clock(slot)];
        const entries = await Promise.all(
          item.records.map(async (one) => {
            const { record: view } = await client.ask({ case: "get", value: { record: one } }, "get");
            const fields = isDose && view ? fromBinary(AdministrationSchema, view.fields) : null;
            const at = zone.clockAt(Number(fields?.happenedMs ?? view?.enteredMs ?? 0n));
            return { record: one, title: k.open(names.of(view?.author), at) };
          }),
        );
        return { entries, isDose, about: about.filter(Boolean).join(" · ") };
      }),
    );
  }, [client, zone]);
  return (
    <section class="pool stop" role="alert">
      <h3>{k.title}</h3>
      <ul class="findings">
        {(items ?? []).map(({ entries, isDose, about }) => (
          <li class="asks" key={entries.map(({ record }) => recordKey(record)).join(" ")}>
            {about} {isDose ? k.dose : k.other}
            <div class="row">
              {entries.map(({ record, title }) => (
                <button
                  type="button"
                  class="quiet"
                  key={recordKey(record)}
                  onClick={() => go({ at: "entry", record })}
                >
                  {title}
                </button>
              ))}
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}
