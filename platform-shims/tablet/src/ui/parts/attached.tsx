// What is attached to a record: a line for each, the last first, and the way to attach more where the screen has no other.
import { useState } from "preact/hooks";
import { fileName } from "../../core/file_store";
import { kind } from "../../core/kinds";
import { listAll, recordKey } from "../../core/records";
import { AttachmentSchema } from "../../proto/events_pb";
import { words } from "../../words/words";
import type { About } from "../keeper/places";
import { useAnswer, useShared } from "../state";
import { sizeText } from "./size";
import { Thumbnail } from "./thumbnail";

const text = words.files;
const shownAtFirst = 6;

export function Attached({ to, add = true }: { to: About; add?: boolean }) {
  const { client, go } = useShared();
  const [all, setAll] = useState(false);
  const { answer, failure } = useAnswer(async () => {
    const held = await listAll(client, kind.attachment, AttachmentSchema, {
      subject: to.record,
      withStruck: true,
    });
    const files = held.map((one) => ({ ...one, file: fileName(one.fields.sha256) }));
    const whether = await Promise.all(files.map(({ file }) => client.readFile(file)));
    return files.map((one, index) => ({ ...one, isHere: Boolean(whether[index]) })).reverse();
  }, [client, to.record]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  const shown = all ? answer : answer?.slice(0, shownAtFirst);
  return (
    <section class="pool attached">
      <h3>{text.title}</h3>
      {answer?.length === 0 && <p>{text.nothing}</p>}
      <ul>
        {shown?.map(({ record, view, fields, file, isHere }) => (
          <li key={recordKey(record)}>
            <button
              type="button"
              class={view.struck ? "item struck" : "item"}
              onClick={() => go({ at: "entry", record })}
            >
              <Thumbnail file={file} called={fields.name} mediaType={fields.mediaType} />
              <span class="what">
                {fields.note || fields.name}
                <small>
                  {" "}
                  {[fields.note && fields.name, sizeText(Number(fields.bytes ?? 0)), !isHere && text.notHere]
                    .filter(Boolean)
                    .join(" · ")}
                </small>
              </span>
              {view.struck && <span class="state upcoming">{words.keeper.entries.struck}</span>}
            </button>
          </li>
        ))}
      </ul>
      <div class="row">
        {answer && shown && shown.length < answer.length && (
          <button type="button" class="quiet" onClick={() => setAll(true)}>
            {text.showAll(answer.length)}
          </button>
        )}
        {add && (
          <button type="button" class="quiet" onClick={() => go({ at: "attach", to })}>
            {text.add}
          </button>
        )}
      </div>
    </section>
  );
}
