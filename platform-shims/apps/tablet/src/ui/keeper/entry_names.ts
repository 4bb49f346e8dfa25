// The names of all that entries speak of, by the keys of their records.
import type { DescMessage } from "@bufbuild/protobuf";
import type { Client } from "../../core/client";
import { kind, type Kind } from "../../core/kinds";
import { listAll, recordKey } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { TreatmentOrderSchema } from "../../proto/plans_pb";
import {
  AnimalSchema,
  CueSchema,
  EnricherSchema,
  FoodSchema,
  LotSchema,
  PersonSchema,
  PoolSchema,
} from "../../proto/roster_pb";
import { words } from "../../words/words";

const named: [Kind, DescMessage][] = [
  [kind.animal, AnimalSchema],
  [kind.pool, PoolSchema],
  [kind.food, FoodSchema],
  [kind.enricher, EnricherSchema],
  [kind.cue, CueSchema],
  [kind.person, PersonSchema],
];

export class Names {
  constructor(
    private readonly names: Map<string, string>,
    private readonly animals: Map<string, RecordRef>,
  ) {}

  of(record: RecordRef | undefined): string {
    return (record && this.names.get(recordKey(record))) ?? words.keeper.notKnown;
  }
  // The animal that a treatment order is for.
  animalOf(order: RecordRef | undefined): RecordRef | undefined {
    return order && this.animals.get(recordKey(order));
  }
}

export async function loadNames(client: Client): Promise<Names> {
  const names = new Map<string, string>();
  const animals = new Map<string, RecordRef>();
  // Struck ones too: what was written of them is still there.
  const all = { allSubjects: true, withStruck: true };
  await Promise.all([
    ...named.map(async ([of, schema]) => {
      for (const { record, fields } of await listAll(client, of, schema, all))
        names.set(recordKey(record), (fields as unknown as { name: string }).name);
    }),
    (async () => {
      for (const { record, fields } of await listAll(client, kind.lot, LotSchema, all))
        names.set(recordKey(record), fields.code);
    })(),
    (async () => {
      for (const { record, fields } of await listAll(
        client,
        kind.treatmentOrder,
        TreatmentOrderSchema,
        all,
      )) {
        names.set(recordKey(record), fields.preparation);
        if (fields.animal) animals.set(recordKey(record), fields.animal);
      }
    })(),
  ]);
  return new Names(names, animals);
}
