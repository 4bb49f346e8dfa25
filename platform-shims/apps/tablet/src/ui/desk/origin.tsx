// This part shows who wrote something, when by the device's clock, when the hub held it, on what device, and
// why.
import type { TrailEntry } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { useShared } from "../state";
import { ValueWords } from "./record_words";

export function Origin({ entry }: { entry: TrailEntry }) {
  const { zone } = useShared();
  const { origin } = words.desk;
  return (
    <dl class="fields">
      <div>
        <dt>{origin.by}</dt>
        <dd>
          {entry.authorName || words.desk.hub} · {entry.deviceName} ·{" "}
          {words.admin.trail.authorship[entry.authorship]}
        </dd>
      </div>
      <div>
        <dt>{origin.entered}</dt>
        <dd>
          {zone.text(Number(entry.enteredMs))}
          {entry.clockSuspect && <strong class="asks"> {origin.clockSuspect}</strong>}
        </dd>
      </div>
      <div>
        <dt>{origin.held}</dt>
        <dd>{entry.heldMs === 0n ? origin.notHeld : zone.text(Number(entry.heldMs))}</dd>
      </div>
      <div>
        <dt>{origin.why}</dt>
        <dd>{entry.reason || origin.noReason}</dd>
      </div>
    </dl>
  );
}

// How a value came about, oldest first.
export function History({ entries, whole }: { entries: TrailEntry[]; whole?: Uint8Array }) {
  const { zone } = useShared();
  if (entries.length === 0) return null;
  return (
    <ol class="history">
      {entries.map((entry, index) => (
        <li key={index}>
          <ValueWords
            kind={entry.kind}
            field={entry.field}
            part={entry.value}
            {...(whole ? { whole } : {})}
          />{" "}
          <small>
            {[
              entry.authorName || words.desk.hub,
              entry.deviceName,
              zone.text(Number(entry.enteredMs)),
              entry.reason,
            ]
              .filter(Boolean)
              .join(" · ")}
          </small>
        </li>
      ))}
    </ol>
  );
}
