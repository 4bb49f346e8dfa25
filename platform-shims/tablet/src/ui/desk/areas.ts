// The areas of the facility: those its pools lie in.
import { fromBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { PoolSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";

export function useAreas(): string[] {
  const { client } = useShared();
  const { answer } = useAnswer(async () => {
    const { records } = await client.ask(
      { case: "list", value: { kind: kind.pool, allSubjects: true } },
      "list",
    );
    const names = records.flatMap((view) => {
      const { area } = fromBinary(PoolSchema, view.fields);
      return view.struck || view.foldedInto || area === "" ? [] : [area];
    });
    return [...new Set(names)].sort((a, b) => a.localeCompare(b, words.language, { numeric: true }));
  }, [client]);
  return answer ?? [];
}
