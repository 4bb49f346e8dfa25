// This part lists what is attached to a record: a line for each, the last first, and the way to attach more where the
// screen has no other.
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
    const last = held.reverse().slice(0, all ? held.length : shownAtFirst);
    const files = last.map((one) => ({ ...one, file: fileName(one.fields.sha256) }));
    const whether = await Promise.all(files.map(({ file }) => client.readFile(file)));
    const shown = files.map((one, index) => ({ ...one, isHere: Boolean(whether[index]) }));
    return { count: held.length, shown };
  }, [client, to.record, all]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  return (
    <section class="pool attached">
      <h3>{text.title}</h3>
      {answer?.count === 0 && <p>{text.nothing}</p>}
      <ul>
        {answer?.shown.map(({ record, view, fields, file, isHere }) => (
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
        {answer && answer.shown.length < answer.count && (
          <button type="button" class="quiet" onClick={() => setAll(true)}>
            {text.showAll(answer.count)}
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
