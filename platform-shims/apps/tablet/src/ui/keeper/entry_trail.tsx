// How an entry came about: each change with what it said, who made it, when, on which tablet and why; and the values that stand
// beside each other where two people did not know of each other.
import { fromBinary, type Message } from "@bufbuild/protobuf";
import { type Kind, schemaOf } from "../../core/kinds";
import { type Held, recordKey } from "../../core/records";
import { Standing } from "../../proto/built_in_pb";
import type { TrailEntry } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { useShared } from "../state";
import type { Names } from "./entry_names";
import { say } from "./entry_words";

const k = words.keeper.entry;
const standingField = 1000;

interface Told {
  held: Held<Message>;
  names: Names;
  trail: TrailEntry[];
}

// The entry as it would read with these values: of two values of a field, the later bytes hold.
function textWith({ held, names }: Told, values: TrailEntry[]): string {
  const strike = values.find(({ field }) => field === standingField);
  if (strike) {
    const schema = schemaOf[held.view.kind as Kind];
    const { standing } = fromBinary(schema, strike.value) as unknown as { standing?: Standing };
    return standing === Standing.STRUCK ? k.strikeTold : k.liftTold;
  }
  const fields = new Uint8Array(
    [held.view.fields, ...values.map(({ value }) => value)].flatMap((one) => [...one]),
  );
  return say({ ...held.view, fields }, names).text;
}

function Who({ entry }: { entry: TrailEntry }) {
  const { zone } = useShared();
  const at = zone.momentText(Number(entry.enteredMs), words.language);
  return (
    <>
      <br />
      {[entry.authorName, entry.deviceName, at].filter(Boolean).join(" · ")}
      {entry.reason !== "" && (
        <>
          <br />
          {k.because(entry.reason)}
        </>
      )}
    </>
  );
}

export function EntrySides(told: Told) {
  const sides = told.trail.filter((entry) => entry.head && entry.disagrees);
  return (
    <ul class="lines">
      {sides.map((entry) => (
        <li key={`${entry.change ? recordKey(entry.change) : ""} ${entry.field}`}>
          <strong>{textWith(told, [entry])}</strong>
          <Who entry={entry} />
        </li>
      ))}
    </ul>
  );
}

export function EntryTrail(told: Told) {
  const changes = new Map<string, TrailEntry[]>();
  for (const entry of told.trail) {
    const key = entry.change ? recordKey(entry.change) : "";
    changes.set(key, [...(changes.get(key) ?? []), entry]);
  }
  return (
    <section class="pool">
      <h3>{k.trail}</h3>
      <ol class="lines">
        {[...changes].map(([key, entries]) => {
          const first = entries[0];
          return (
            first && (
              <li key={key}>
                {first.birth ? k.written : k.changed}: <strong>{textWith(told, entries)}</strong>
                <Who entry={first} />
              </li>
            )
          );
        })}
      </ol>
    </section>
  );
}
