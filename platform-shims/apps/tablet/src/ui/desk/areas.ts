// The areas of the facility, by name: those that have a record, and those its pools say they lie in, which release 0.1 wrote
// without one.
import { kind } from "../../core/kinds";
import { listAll } from "../../core/records";
import { AreaSchema, PoolSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";

export function useAreas(): string[] {
  const { client } = useShared();
  const { answer } = useAnswer(async () => {
    const [areas, pools] = await Promise.all([
      listAll(client, kind.area, AreaSchema),
      listAll(client, kind.pool, PoolSchema),
    ]);
    const names = [...areas.map(({ fields }) => fields.name), ...pools.map(({ view }) => view.areaName)];
    return [...new Set(names)]
      .filter((name) => name !== "")
      .sort((a, b) => a.localeCompare(b, words.language, { numeric: true }));
  }, [client]);
  return answer ?? [];
}
