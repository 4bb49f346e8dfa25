// The app: opens the records, lets a tablet in, asks who is here, shows the day.
import { useCallback, useEffect, useMemo, useState } from "preact/hooks";
import type { Client, Person } from "../core/client";
import { failureText } from "../core/messages";
import { sameRecord } from "../core/records";
import { Zone } from "../core/time";
import type { Started } from "../core/messages";
import type { StatusReply } from "../proto/call_pb";
import { words } from "../words/words";
import { Enrol } from "./enrol";
import { dropOld } from "./keeper/kept";
import { Walk } from "./help/walk";
import { PinAsked } from "./parts/pin_asked";
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

// Shown while no records are open.
function Closed({ started, again, client }: { started: Started | null; again: () => void; client: Client }) {
  if (!started) return <p class="narrow">{words.loading}</p>;
  if (started.state === "not-enrolled") return <Enrol client={client} entered={again} />;
  if (started.state !== "failed") return <p class="narrow">{words.loading}</p>;
  return (
    <main class="narrow">
      <p class="failure" role="alert">
        {started.noPlace ? words.device.noPlace : words.noRecords} {started.message}
      </p>
      <button type="button" onClick={again}>
        {words.again}
      </button>
    </main>
  );
}

export function App({ client, newVersion }: { client: Client; newVersion: (() => void) | null }) {
  const [started, setStarted] = useState<Started | null>(null);
  const [status, setStatus] = useState<StatusReply | null>(null);
  const [person, setPerson] = useState<Person | null>(null);
  // The person's session has ended by itself: their screen is kept, out of sight, until they are back.
  const [locked, setLocked] = useState(false);
  const [halted, setHalted] = useState(false);
  const [pinAsked, setPinAsked] = useState<{ name: string; done: (pin: string | null) => void } | null>(null);
  const way = useWay();
  const [note, setNote] = useState<Note | null>(null);

  const refresh = useCallback(() => {
    const asking = client.person; // Whoever has signed in since has another session.
    void client.ask({ case: "status", value: {} }, "status").then(
      (now) => {
        setStatus(now);
        if (asking && asking === client.person && asking.session.length > 0 && !now.session) setLocked(true);
      },
      () => undefined,
    );
  }, [client]);
  const start = useCallback(() => {
    void client.start().then(
      (now) => {
        setStarted(now);
        if (now.state !== "open") return;
        refresh();
        for (const file of dropOld()) void client.dropFile(file).catch(() => undefined);
      },
      (error: unknown) => setStarted({ state: "failed", message: String(error), noPlace: false }),
    );
  }, [client, refresh]);
  useEffect(start, [start]);
  useEffect(() => {
    client.onHalted = () => setHalted(true);
    client.askPin = (name) =>
      new Promise((resolve) =>
        setPinAsked({
          name,
          done: (pin) => {
            setPinAsked(null);
            resolve(pin);
          },
        }),
      );
  }, [client]);
  useEffect(() => {
    if (!note) return;
    const timer = setTimeout(() => setNote(null), noteMs);
    return () => clearTimeout(timer);
  }, [note]);

  const enter = (who: Person) => {
    if (!person || !sameRecord(person.record, who.record)) way.begin();
    client.person = who;
    setPerson(who);
    setLocked(false);
    refresh();
  };
  const lock = () => {
    void client.signOut();
    setPerson(null);
    setNote(null);
  };
  const zoneName = status?.timeZone ?? "";
  const zone = useMemo(() => new Zone(zoneName === "" ? "Etc/UTC" : zoneName), [zoneName]);
  if (started?.state !== "open" || !status) return <Closed started={started} again={start} client={client} />;
  const away = locked || !person;
  return (
    <Provide value={{ client, zone, status, go: way.go, say: setNote }}>
      <header>
        <h1>{status.facilityName || words.app}</h1>
        {!away && (
          <button type="button" class="quiet" onClick={lock}>
            {person.name} · {words.signOut}
          </button>
        )}
      </header>
      {halted && (
        <p class="banner failure" role="alert">
          {words.device.halted}
          <button type="button" onClick={() => location.reload()}>
            {words.device.restart}
          </button>
        </p>
      )}
      {newVersion && (
        <p class="banner" role="status">
          {words.device.newVersion}
          <button type="button" class="quiet" onClick={newVersion}>
            {words.device.startIt}
          </button>
        </p>
      )}
      {away && (
        <People client={client} enter={enter} notice={locked ? words.device.locked : ""} say={setNote} />
      )}
      {person && (
        <div hidden={locked}>
          <Menu place={way.place} go={way.go} />
          <Walk here={way.place} />
          <Screen key={way.depth} place={way.place} leave={way.leave} />
        </div>
      )}
      {note && (
        <div class="note" role="status">
          {note.text}
          {note.undo && (
            <button
              type="button"
              class="quiet"
              onClick={() =>
                void note
                  .undo?.()
                  .catch((error: unknown) => setNote({ text: failureText(error, words.failed) }))
              }
            >
              {words.undo}
            </button>
          )}
        </div>
      )}
      {pinAsked && <PinAsked name={pinAsked.name} done={pinAsked.done} />}
      <TideLine
        client={client}
        status={status}
        refresh={refresh}
        open={() => {
          if (!away) way.go({ at: "tablet" });
        }}
      />
    </Provide>
  );
}
