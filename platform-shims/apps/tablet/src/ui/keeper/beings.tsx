// All animals and pools, for what no plan asks for.
import { useState } from "preact/hooks";
import { recordKey } from "../../core/records";
import { words } from "../../words/words";
import { Choice, Text } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { areasOf, type PoolOf, poolsAndAnimals } from "./roster";

const k = words.keeper.beings;

function matches({ pool, animals }: PoolOf, area: string, typed: string): PoolOf | null {
  if (area !== "" && pool?.view.areaName !== area) return null;
  const wanted = typed.trim().toLocaleLowerCase(words.language);
  if (wanted === "") return { pool, animals };
  const has = (text: string) => text.toLocaleLowerCase(words.language).includes(wanted);
  if (pool && has(pool.fields.name)) return { pool, animals };
  const found = animals.filter(({ fields }) => has(fields.name) || has(fields.taxon) || has(fields.marks));
  return found.length > 0 ? { pool, animals: found } : null;
}

export function Beings() {
  const { client, go } = useShared();
  const [area, setArea] = useState("");
  const [typed, setTyped] = useState("");
  const { answer: pools, failure } = useAnswer(() => poolsAndAnimals(client), [client]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!pools) return <p>{words.loading}</p>;
  const shown = pools.flatMap((row) => matches(row, area, typed) ?? []);
  return (
    <main class="keeper">
      <h2>{k.title}</h2>
      <Choice
        label={words.allAreas}
        options={["", ...areasOf(pools)].map((name) => ({
          value: name,
          title: name === "" ? words.allAreas : name,
        }))}
        value={area}
        onValue={(chosen) => setArea(chosen ?? "")}
      />
      <Text label={k.find} value={typed} onValue={setTyped} />
      {shown.length === 0 && <p>{pools.length === 0 ? k.nothing : k.nothingFound}</p>}
      <div class="columns">
        {shown.map(({ pool, animals }) => (
          <section class="pool" key={pool ? recordKey(pool.record) : ""}>
            <h3>
              {pool?.fields.name ?? words.keeper.prep.noPool} <small>{pool?.view.areaName}</small>
            </h3>
            <div class="row">
              {animals.map(({ record, fields }) => (
                <button
                  type="button"
                  class="quiet"
                  key={recordKey(record)}
                  onClick={() => go({ at: "animal", animal: { record, name: fields.name } })}
                >
                  {fields.name}
                  {(fields.headCount ?? 1) > 1 ? ` (${fields.headCount ?? 1})` : ""}
                </button>
              ))}
            </div>
            {pool && (
              <div class="row quick">
                <button
                  type="button"
                  class="quiet"
                  onClick={() => go({ at: "water", pool: { record: pool.record, name: pool.fields.name } })}
                >
                  {k.water}
                </button>
                <button
                  type="button"
                  class="quiet"
                  onClick={() => go({ at: "hygiene", area: pool.view.areaName })}
                >
                  {k.hygiene}
                </button>
              </div>
            )}
          </section>
        ))}
      </div>
    </main>
  );
}
