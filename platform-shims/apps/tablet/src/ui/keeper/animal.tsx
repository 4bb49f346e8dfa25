// One animal at the pool: what is due for it, and all that can be written of it.
import { getOne, sameRecord } from "../../core/records";
import { AnimalSchema, PoolSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Attached } from "../parts/attached";
import type { Place } from "../place";
import { useAnswer, useShared } from "../state";
import { DueLine } from "./due_item";
import { EntryList } from "./entry_list";
import { useMinute } from "./minute";
import type { About } from "./places";

const k = words.keeper.animal;

export function Animal({ animal }: { animal: About }) {
  const { client, zone, go } = useShared();
  const minute = useMinute();
  const day = zone.day(Date.now());
  const { answer: held } = useAnswer(async () => {
    const one = await getOne(client, animal.record, AnimalSchema);
    const pool = one?.fields.pool && (await getOne(client, one.fields.pool, PoolSchema));
    return { fields: one?.fields, pool: pool ?? null };
  }, [client, animal]);
  const { answer: round } = useAnswer(
    () =>
      client.ask(
        { case: "round", value: { day, zone: zone.offsets(day), animals: [animal.record] } },
        "round",
      ),
    [client, day, animal, minute],
  );
  const actions: [string, Place][] = [
    [k.seen, { at: "seen", animal }],
    [k.measure, { at: "measure", animal }],
    [k.snack, { at: "snack", animal }],
    [k.enrich, { at: "enrich", animal }],
    [k.train, { at: "train", animal }],
    [k.scan, { at: "scan", animal }],
    [k.move, { at: "move", animal }],
    [words.files.add, { at: "attach", to: animal }],
  ];
  const items = (round?.items ?? []).filter((item) => sameRecord(item.subject, animal.record));
  const about = [
    held?.fields?.taxon,
    held?.pool?.fields.name,
    held?.pool?.view.areaName,
    held?.fields?.marks,
  ];
  return (
    <main class="keeper">
      <h2>{animal.name}</h2>
      <p class="known">{about.filter(Boolean).join(" · ")}</p>
      <div class="tiles actions">
        {actions.map(([title, place]) => (
          <button type="button" class="tile" key={place.at} onClick={() => go(place)}>
            {title}
          </button>
        ))}
      </div>
      <div class="columns">
        <section class="pool">
          <h3>{k.due}</h3>
          {round && items.length === 0 && <p>{words.nothingDue}</p>}
          <ul>
            {items.map((item, index) => (
              <DueLine key={index} item={item} />
            ))}
          </ul>
        </section>
        <section class="pool">
          <h3>{k.entries}</h3>
          <EntryList day={day} animal={animal.record} author={null} of={null} />
        </section>
        <Attached to={animal} add={false} />
      </div>
    </main>
  );
}
