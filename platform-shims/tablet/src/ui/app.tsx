// The app: opens the records, lets a tablet in, asks who is here, shows the day.
import { useCallback, useEffect, useState } from "preact/hooks";
import type { Client, Person } from "../core/client";
import { Zone } from "../core/time";
import type { Started } from "../core/messages";
import type { StatusReply } from "../proto/call_pb";
import { words } from "../words/words";
import { Enrol } from "./enrol";
import { People } from "./people";
import { Menu } from "./menu";
import type { Place } from "./place";
import { screenOf } from "./screens";
import { type Note, Provide } from "./state";
import { useWay } from "./way";
import { TideLine } from "./tide_line";

const noteMs = 8_000;

function Screen({ place, leave }: { place: Place; leave: () => void }) {
  const Shown = screenOf(place);
  return <Shown place={place} leave={leave} />;
}

export function App({ client }: { client: Client }) {
  const [started, setStarted] = useState<Started | null>(null);
  const [status, setStatus] = useState<StatusReply | null>(null);
  const [person, setPerson] = useState<Person | null>(null);
  const way = useWay();
  const [note, setNote] = useState<Note | null>(null);

  const refresh = useCallback(() => {
    void client.ask({ case: "status", value: {} }, "status").then(setStatus, () => undefined);
  }, [client]);
  const start = useCallback(() => {
    void client.start().then(
      (now) => {
        setStarted(now);
        if (now.state === "open") refresh();
      },
      (error: unknown) => setStarted({ state: "failed", message: String(error) }),
    );
  }, [client, refresh]);
  useEffect(start, [start]);
  useEffect(() => {
    if (!note) return;
    const timer = setTimeout(() => setNote(null), noteMs);
    return () => clearTimeout(timer);
  }, [note]);

  const enter = (who: Person | null) => {
    client.person = who;
    setPerson(who);
    way.begin();
  };
  if (!started) return <p class="narrow">{words.loading}</p>;
  if (started.state === "failed")
    return (
      <main class="narrow">
        <p class="failure">
          {words.noRecords} {started.message}
        </p>
        <button type="button" onClick={start}>
          {words.again}
        </button>
      </main>
    );
  if (started.state === "not-enrolled") return <Enrol client={client} entered={start} />;
  if (!status) return <p class="narrow">{words.loading}</p>;
  return (
    <Provide
      value={{ client, zone: new Zone(status.timeZone || "Etc/UTC"), status, go: way.go, say: setNote }}
    >
      <header>
        <h1>{status.facilityName || words.app}</h1>
        {person && (
          <button type="button" class="quiet" onClick={() => enter(null)}>
            {person.name} · {words.signOut}
          </button>
        )}
      </header>
      {person && <Menu place={way.place} go={way.go} />}
      {person ? (
        <Screen key={way.depth} place={way.place} leave={way.leave} />
      ) : (
        <People client={client} enter={enter} />
      )}
      {note && (
        <div class="note" role="status">
          {note.text}
          {note.undo && (
            <button type="button" class="quiet" onClick={() => void note.undo?.()}>
              {words.undo}
            </button>
          )}
        </div>
      )}
      <TideLine client={client} status={status} refresh={refresh} />
    </Provide>
  );
}
