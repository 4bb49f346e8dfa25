// The facility's own list of codes for what is seen, by topic.
import type { Client } from "../../core/client";
import { kind } from "../../core/kinds";
import { listAll } from "../../core/records";
import { type Code, CodeSchema, Topic } from "../../proto/roster_pb";
import { words } from "../../words/words";

export async function codes(client: Client): Promise<Code[]> {
  return (await listAll(client, kind.code, CodeSchema)).map(({ fields }) => fields);
}
export const topicsOf = (all: Code[]): Topic[] =>
  [...new Set(all.map((code) => code.topic ?? Topic.UNSPECIFIED))].sort((a, b) => a - b);
export const topicName = (topic: Topic): string =>
  (words.keeper.topics as Partial<Record<number, string>>)[topic] ?? words.keeper.newer;
