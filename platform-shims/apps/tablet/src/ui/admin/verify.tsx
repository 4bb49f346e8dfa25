// Checks that every change is as its device wrote and sealed it: page by page, with its progress, and may be stopped.
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import { kindWord, shortId } from "../../core/names";
import type { RecordRef } from "../../proto/change_pb";
import { Fault, type FaultPlace } from "../../proto/proof_pb";
import { words } from "../../words/words";
import { useNames } from "../desk/record_words";
import { useAnswer, useShared } from "../state";
import { useStopping } from "./stopping";

const text = words.admin.proof;

interface Problem {
  message: string;
  place: FaultPlace | undefined;
}
interface Checked {
  changes: number;
  seals: number;
  arrivals: number;
  unsealed: number;
  problems: Problem[];
  all: boolean;
}
const nothing: Checked = { changes: 0, seals: 0, arrivals: 0, unsealed: 0, problems: [], all: false };

// Then data beside a run is damaged; the changes themselves are whole.
function isBeside({ place }: Problem): boolean {
  return place?.fault === Fault.MARK || place?.fault === Fault.TREE;
}

function Where({ place }: { place: FaultPlace }) {
  const { zone } = useShared();
  const names = useNames();
  const { answer: record } = useAnswer(
    () => (place.record ? names.of(place.record) : Promise.resolve("")),
    [names, place],
  );
  const fault = (text.faults as Partial<Record<number, string>>)[place.fault] ?? words.admin.unknown;
  const parts = [
    fault,
    place.first ? text.at(shortId(place.first), place.lastSeq) : "",
    place.deviceName === "" ? "" : text.onDevice(place.deviceName),
    place.readable && place.kind !== 0 ? `${kindWord(place.kind)} ${record ?? ""}` : "",
    place.readable && place.authorName !== "" ? text.by(place.authorName) : "",
    place.readable && place.enteredMs !== 0n ? text.entered(zone.text(Number(place.enteredMs))) : "",
  ];
  return <p class="known">{parts.filter((part) => part.trim() !== "").join(" · ")}</p>;
}

function Outcome({ checked, isRunning }: { checked: Checked; isRunning: boolean }) {
  if (isRunning) return null;
  if (!checked.all) return <p>{text.stopped(checked.changes)}</p>;
  if (checked.problems.length === 0)
    return (
      <>
        <p class="well">{text.verified(checked.changes, checked.seals, checked.arrivals)}</p>
        {checked.unsealed > 0 && <p>{text.unsealed(checked.unsealed)}</p>}
      </>
    );
  return <p class="failure">{checked.problems.every(isBeside) ? text.onlyBeside : text.altered}</p>;
}

export function Verify() {
  const { client, status } = useShared();
  const [checked, setChecked] = useState<Checked | null>(null);
  const [failure, setFailure] = useState("");
  const [isRunning, setRunning] = useState(false);
  const stopping = useStopping();

  const verify = async () => {
    stopping.begin();
    setRunning(true);
    setFailure("");
    let now = nothing;
    let after: RecordRef | undefined;
    setChecked(now);
    try {
      do {
        const page = await client.ask({ case: "verify", value: after ? { after } : {} }, "verify");
        after = page.next;
        now = {
          changes: now.changes + page.changes,
          seals: now.seals + page.seals,
          arrivals: now.arrivals + page.arrivals,
          unsealed: now.unsealed + page.unsealed,
          problems: [
            ...now.problems,
            ...page.problems.map(({ message }, index) => ({ message, place: page.places[index] })),
          ],
          all: page.next === undefined,
        };
        setChecked(now);
      } while (after && !stopping.isStopped());
    } catch (error) {
      setFailure(failureText(error));
    }
    setRunning(false);
  };
  const all = Number(status.changes);
  return (
    <section class="pool">
      <h3>{text.verifyTitle}</h3>
      <p>{text.verifyHelp}</p>
      <div class="row">
        <button type="button" disabled={isRunning} onClick={() => void verify()}>
          {text.verifyDo}
        </button>
        {isRunning && (
          <button type="button" class="quiet" onClick={stopping.stop}>
            {words.admin.stop}
          </button>
        )}
      </div>
      {checked && (
        <>
          <label>
            {text.progress(checked.changes, all)}
            <progress value={checked.changes} max={Math.max(1, all)} />
          </label>
          <div role="status">
            <Outcome checked={checked} isRunning={isRunning} />
          </div>
          <ul class="findings">
            {checked.problems.map((problem, index) => (
              <li key={index}>
                <span class="asks">{problem.message}</span>
                {problem.place && <Where place={problem.place} />}
              </li>
            ))}
          </ul>
        </>
      )}
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
    </section>
  );
}
