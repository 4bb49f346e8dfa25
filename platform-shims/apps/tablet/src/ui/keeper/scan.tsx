// A watch by scan sampling: at every beat one look, and what the animal was doing at that very moment.
import { create, toBinary } from "@bufbuild/protobuf";
import { useEffect, useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { ScanSchema } from "../../proto/events_pb";
import { Topic } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Choice, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { codes } from "./codes";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";

const k = words.keeper.scan;
const notVisible = "";
const beats = [15, 30, 60, 120, 300];

// Seconds to the next look; null while no watch runs.
function useBeat(startedMs: number | null, everyS: number): number | null {
  const [now, setNow] = useState(Date.now());
  useEffect(() => {
    if (startedMs === null) return;
    const timer = setInterval(() => setNow(Date.now()), 250);
    return () => clearInterval(timer);
  }, [startedMs]);
  if (startedMs === null) return null;
  const gone = Math.max(0, Math.floor((now - startedMs) / 1000));
  return everyS - (gone % everyS);
}

export function Scan({ animal, leave }: { animal: About; leave: () => void }) {
  const { client, zone } = useShared();
  const draft = useDraft(`scan.${recordKey(animal.record)}`, {
    everyS: 30,
    startedMs: null as number | null,
    looks: [] as string[], // Codes in their order; "" could not be seen.
    note: "",
  });
  const { value, set } = draft;
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const left = useBeat(value.startedMs, value.everyS);
  const { answer: all } = useAnswer(() => codes(client), [client]);
  const behaviours = (all ?? []).filter((one) => one.topic === Topic.BEHAVIOUR);
  const count = (code: string) => value.looks.filter((look) => look === code).length;
  const look = (code: string) =>
    set({ looks: [...value.looks, code], startedMs: value.startedMs ?? Date.now() });

  const save = () => {
    if (value.looks.length === 0) {
      saving.fail(k.nothing);
      return;
    }
    const scan = create(ScanSchema, {
      animal: animal.record,
      ...zone.when(value.startedMs ?? Date.now()),
      everyS: value.everyS,
      counts: behaviours.map(({ code }) => ({ code, scans: count(code) })).filter(({ scans }) => scans > 0),
      notVisible: count(notVisible),
      note: value.note,
    });
    const fields = toBinary(ScanSchema, scan);
    saving.log({ case: "log", value: { records: [{ kind: kind.scan, fields }] } }, k.saved(animal.name));
  };
  return (
    <Form
      title={k.title(animal.name)}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <>
          <button
            type="button"
            class="quiet"
            disabled={value.looks.length === 0}
            onClick={() => set({ looks: value.looks.slice(0, -1) })}
          >
            {k.takeBack}
          </button>
          <button type="button" onClick={save}>
            {words.save}
          </button>
        </>
      }
    >
      <p>{behaviours.length === 0 ? k.noCodes : k.help}</p>
      <Choice
        label={k.every}
        options={beats.map((seconds) => ({ value: seconds, title: k.seconds(seconds) }))}
        value={value.everyS}
        onValue={(everyS) => set({ everyS: everyS ?? 30 })}
      />
      <p class={left !== null && left > value.everyS - 3 ? "beat now" : "beat"}>
        {left === null
          ? k.notBegun
          : left > value.everyS - 3 && value.looks.length > 0
            ? k.lookNow
            : k.in(left)}
      </p>
      <div class="tiles">
        {behaviours.map(({ code, meaning }) => (
          <button type="button" class="tile" key={code} onClick={() => look(code)}>
            <span class="total">{count(code)}</span>
            {code}
            <small>{meaning}</small>
          </button>
        ))}
        <button type="button" class="tile" onClick={() => look(notVisible)}>
          <span class="total">{count(notVisible)}</span>
          {k.notVisible}
        </button>
      </div>
      <p class="known" aria-live="polite">
        {k.looks(value.looks.length)}
      </p>
      {value.startedMs === null && (
        <button type="button" class="quiet" onClick={() => set({ startedMs: Date.now() })}>
          {k.start}
        </button>
      )}
      <Text label={words.keeper.note} value={value.note} onValue={(note) => set({ note })} />
    </Form>
  );
}
