// This file gathers who and what there is, as the keeper's screens need it: animals by area and pool, foods,
// people.
import type { Client } from "../../core/client";
import { kind } from "../../core/kinds";
import { type Held, listAll, recordKey } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import {
  type Animal,
  AnimalSchema,
  AreaSchema,
  EnricherSchema,
  FoodSchema,
  PersonSchema,
  type Pool,
  PoolSchema,
} from "../../proto/roster_pb";
import { words } from "../../words/words";

export interface PoolOf {
  pool: Held<Pool> | null; // Null: animals whose pool is not known.
  animals: Held<Animal>[];
}

const byName = (a: { fields: { name: string } }, b: { fields: { name: string } }) =>
  a.fields.name.localeCompare(b.fields.name, words.language);

export async function poolsAndAnimals(client: Client): Promise<PoolOf[]> {
  const [animals, pools] = await Promise.all([
    listAll(client, kind.animal, AnimalSchema),
    listAll(client, kind.pool, PoolSchema),
  ]);
  const rows = pools
    .sort((a, b) => a.view.areaName.localeCompare(b.view.areaName, words.language) || byName(a, b))
    .map((pool): PoolOf => ({ pool, animals: [] }));
  const at = new Map(rows.map((row) => [row.pool ? recordKey(row.pool.record) : "", row]));
  const nowhere: PoolOf = { pool: null, animals: [] };
  for (const animal of animals.sort(byName)) {
    const row = animal.fields.pool && at.get(recordKey(animal.fields.pool));
    (row ?? nowhere).animals.push(animal);
  }
  return nowhere.animals.length > 0 ? [...rows, nowhere] : rows;
}

export interface Named {
  record: RecordRef;
  key: string;
  name: string;
}
async function named(held: Promise<Held<{ name: string }>[]>): Promise<Named[]> {
  return (await held)
    .sort(byName)
    .map(({ record, fields }) => ({ record, key: recordKey(record), name: fields.name }));
}
export const foods = (client: Client) => named(listAll(client, kind.food, FoodSchema));
export const people = (client: Client) => named(listAll(client, kind.person, PersonSchema));
export const areas = (client: Client) => named(listAll(client, kind.area, AreaSchema));
export const enrichers = (client: Client) => named(listAll(client, kind.enricher, EnricherSchema));
export const areasOf = (pools: PoolOf[]) =>
  [...new Set(pools.map(({ pool }) => pool?.view.areaName ?? "").filter((area) => area !== ""))].sort();
