// Records as screens hold them: the view the core gives, with its fields read.
import {
  create,
  type DescMessage,
  fromBinary,
  type MessageInitShape,
  type MessageShape,
} from "@bufbuild/protobuf";
import { type RecordRef, RecordRefSchema } from "../proto/change_pb";
import type { RecordView } from "../proto/reading_pb";
import type { ListCallSchema } from "../proto/reading_pb";
import type { Client } from "./client";
import type { Kind } from "./kinds";

export interface Held<Message> {
  record: RecordRef;
  view: RecordView; // view.heads is what an edit hands back as `seen`.
  fields: Message;
}

export function sameRecord(a: RecordRef | undefined, b: RecordRef | undefined): boolean {
  return a !== undefined && b !== undefined && a.log === b.log && a.seq === b.seq;
}
export function recordKey(record: RecordRef): string {
  return `${record.log.toString(16)}-${record.seq}`;
}

// The record a key was made of; null when it is none.
export function recordOf(key: string): RecordRef | null {
  const match = /^([0-9a-f]+)-(\d+)$/.exec(key);
  return match
    ? create(RecordRefSchema, { log: BigInt(`0x${match[1] ?? "0"}`), seq: Number(match[2]) })
    : null;
}

// All records of a kind that are in account, page after page.
export async function listAll<Schema extends DescMessage>(
  client: Client,
  kind: Kind,
  schema: Schema,
  where: Omit<MessageInitShape<typeof ListCallSchema>, "kind" | "after" | "$typeName"> = {
    allSubjects: true,
  },
): Promise<Held<MessageShape<Schema>>[]> {
  const found: Held<MessageShape<Schema>>[] = [];
  let after: RecordRef | undefined;
  for (;;) {
    const page = await client.ask(
      { case: "list", value: { ...where, kind, ...(after ? { after } : {}) } },
      "list",
    );
    for (const view of page.records) {
      after = view.record;
      if (!view.record || view.foldedInto || (view.struck && !where.withStruck)) continue;
      found.push({ record: view.record, view, fields: fromBinary(schema, view.fields) });
    }
    if (!page.more) return found;
  }
}

export async function getOne<Schema extends DescMessage>(
  client: Client,
  record: RecordRef,
  schema: Schema,
): Promise<Held<MessageShape<Schema>> | null> {
  const { record: view } = await client.ask({ case: "get", value: { record } }, "get");
  return view?.record ? { record: view.record, view, fields: fromBinary(schema, view.fields) } : null;
}
