// Something seen of an animal, with a code of the facility's own list.
import { create, fromBinary, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import { ObservationSchema } from "../../proto/events_pb";
import type { DueItem } from "../../proto/husbandry_pb";
import { CodeSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";

export function Seen({ item, leave }: { item: DueItem; leave: () => void }) {
  const { client, zone } = useShared();
  const [code, setCode] = useState("");
  const [text, setText] = useState("");
  const saving = useSaving(leave);
  const { answer: codes } = useAnswer(async () => {
    const list = await client.ask({ case: "list", value: { kind: kind.code, allSubjects: true } }, "list");
    return list.records
      .filter((view) => !view.struck && !view.foldedInto)
      .map((view) => fromBinary(CodeSchema, view.fields));
  }, [client]);
  const save = () => {
    const observation = create(ObservationSchema, {
      ...(item.subject ? { animal: item.subject } : {}),
      ...zone.when(Date.now()),
      code,
      text,
    });
    const fields = toBinary(ObservationSchema, observation);
    saving.log({ case: "log", value: { records: [{ kind: kind.observation, fields }] } }, words.seenSaved);
  };
  return (
    <main>
      <h2>{words.seenTitle(item.subjectName)}</h2>
      <div class="row">
        {codes?.map((one) => (
          <button
            type="button"
            key={one.code}
            class={one.code === code ? "chosen" : "quiet"}
            aria-pressed={one.code === code}
            onClick={() => setCode(one.code === code ? "" : one.code)}
          >
            {one.code}
          </button>
        ))}
      </div>
      <label>
        {words.seenText}
        <textarea value={text} onInput={(event) => setText(event.currentTarget.value)} />
      </label>
      {saving.failure}
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        <button type="button" onClick={save}>
          {words.save}
        </button>
      </div>
      {saving.really}
    </main>
  );
}
