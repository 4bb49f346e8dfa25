// Records in a file that an outsider can check without this app: which records, what else is in it, and the file.
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import { dayText } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import type { EvidenceCursor } from "../../proto/proof_pb";
import { words } from "../../words/words";
import { saveFile } from "../device/save_file";
import { useShared } from "../state";
import { ChosenRecords } from "./chosen_records";
import { useStopping } from "./stopping";

const text = words.admin.evidence;

interface Written {
  changes: number;
  changesInAll: number;
  seals: number;
  withheld: number;
}

export function Evidence({ records, leave }: { records: RecordRef[]; leave: () => void }) {
  const { client, zone } = useShared();
  const [chosen, setChosen] = useState(records);
  const [whole, setWhole] = useState(false);
  const [written, setWritten] = useState<Written | null>(null);
  const [file, setFile] = useState<Uint8Array[] | null>(null);
  const [failure, setFailure] = useState("");
  const [isRunning, setRunning] = useState(false);
  const stopping = useStopping();

  const write = async () => {
    stopping.begin();
    setRunning(true);
    setFailure("");
    setFile(null);
    const pieces: Uint8Array[] = [];
    let at: EvidenceCursor | undefined;
    let now: Written = { changes: 0, changesInAll: 0, seals: 0, withheld: 0 };
    try {
      do {
        const piece = await client.ask(
          { case: "evidence", value: { records: chosen, whole, ...(at ? { at } : {}) } },
          "evidence",
        );
        at = piece.next;
        pieces.push(piece.text);
        now = {
          changes: piece.changes,
          changesInAll: piece.changesInAll,
          seals: piece.seals,
          withheld: now.withheld + piece.withheld,
        };
        setWritten(now);
      } while (at && !stopping.isStopped());
      if (!at) setFile(pieces);
    } catch (error) {
      setFailure(failureText(error));
    }
    setRunning(false);
  };
  const change = (next: RecordRef[]) => {
    setChosen(next);
    setFile(null);
    setWritten(null);
  };
  return (
    <main>
      <h2>{text.title}</h2>
      <p>{text.help}</p>
      <ChosenRecords value={chosen} onValue={change} />
      <label class="check">
        <input type="checkbox" checked={whole} onChange={(event) => setWhole(event.currentTarget.checked)} />
        <span>{text.whole}</span>
      </label>
      <p class="caution">{text.caution}</p>
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
      {written && (
        <label>
          {text.progress(written.changes, written.changesInAll)}
          <progress value={written.changes} max={Math.max(1, written.changesInAll)} />
        </label>
      )}
      <div role="status">
        {file && written && (
          <section class="pool">
            <h3>{text.done(written.changes, written.seals)}</h3>
            {written.withheld > 0 && <p>{text.withheld(written.withheld)}</p>}
            <p>{text.check}</p>
            <button
              type="button"
              onClick={() =>
                saveFile(
                  `${text.fileName}-${dayText(zone.day(Date.now()))}.evidence`,
                  "text/plain",
                  new Blob(file as BlobPart[]),
                )
              }
            >
              {text.save}
            </button>
          </section>
        )}
      </div>
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        {isRunning ? (
          <button type="button" class="quiet" onClick={stopping.stop}>
            {words.admin.stop}
          </button>
        ) : (
          <button type="button" disabled={chosen.length === 0} onClick={() => void write()}>
            {text.make}
          </button>
        )}
      </div>
    </main>
  );
}
