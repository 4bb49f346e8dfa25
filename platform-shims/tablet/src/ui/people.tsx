// Who is at this tablet: a tile for each person, and the PIN of those who have one.
import { failureText } from "../core/messages";
import { fromBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import type { Client, Person } from "../core/client";
import { kind } from "../core/kinds";
import { recordKey } from "../core/records";
import type { RecordRef } from "../proto/change_pb";
import { PersonSchema } from "../proto/roster_pb";
import { words } from "../words/words";
import { type Note, useAnswer } from "./state";

interface Tile {
  record: RecordRef;
  name: string;
  hasPin: boolean;
}

export function People(props: {
  client: Client;
  enter: (person: Person) => void;
  notice: string; // Why one is asked, when somebody was here already.
  say: (note: Note) => void;
}) {
  const { client, enter } = props;
  const [chosen, setChosen] = useState<Tile | null>(null);
  const [pin, setPin] = useState("");
  const [failure, setFailure] = useState("");
  const { answer: tiles } = useAnswer(async () => {
    const list = await client.ask({ case: "list", value: { kind: kind.person } }, "list");
    return list.records.flatMap((view): Tile[] => {
      if (view.struck || view.foldedInto || !view.record) return [];
      const person = fromBinary(PersonSchema, view.fields);
      return [{ record: view.record, name: person.name, hasPin: person.pin.length > 0 }];
    });
  }, [client]);

  const signIn = (tile: Tile) => {
    client
      .ask({ case: "signIn", value: { person: tile.record, pin: new TextEncoder().encode(pin) } }, "signIn")
      .then(
        (reply) => {
          enter({ record: tile.record, name: tile.name, session: reply.token });
          if (!reply.proofRequired) return;
          // Nobody waits for the hub: it may be out of reach, and care counts without it.
          client.prove(tile.record, pin).catch((error: unknown) => {
            props.say({ text: words.device.unproven(failureText(error)) });
          });
        },
        (error: unknown) => {
          setPin("");
          setFailure(failureText(error));
        },
      );
  };
  const choose = (tile: Tile) => {
    // What was typed for somebody else is nothing to this one.
    setPin("");
    setFailure("");
    if (tile.hasPin) setChosen(tile);
    else enter({ record: tile.record, name: tile.name, session: new Uint8Array() });
  };

  if (chosen)
    return (
      <main class="narrow">
        <h2>{words.pinOf(chosen.name)}</h2>
        <form
          onSubmit={(event) => {
            event.preventDefault();
            signIn(chosen);
          }}
        >
          <output class="pin" aria-label={words.pinOf(chosen.name)}>
            {"•".repeat(pin.length)}
          </output>
          <div class="pad">
            {["1", "2", "3", "4", "5", "6", "7", "8", "9", "⌫", "0"].map((key) => (
              <button
                type="button"
                class="quiet"
                key={key}
                onClick={() => setPin(key === "⌫" ? pin.slice(0, -1) : pin + key)}
              >
                {key}
              </button>
            ))}
            <button type="submit">✓</button>
          </div>
        </form>
        {failure !== "" && (
          <p class="failure" role="alert">
            {failure}
          </p>
        )}
        <button type="button" class="quiet" onClick={() => setChosen(null)}>
          {words.cancel}
        </button>
      </main>
    );
  return (
    <main>
      <h2>{words.whoTitle}</h2>
      {props.notice !== "" && <p role="status">{props.notice}</p>}
      {tiles?.length === 0 && <p>{words.whoEmpty}</p>}
      <div class="tiles">
        {tiles?.map((tile) => (
          <button type="button" class="tile" key={recordKey(tile.record)} onClick={() => choose(tile)}>
            {tile.name}
            <small>{tile.hasPin ? "" : words.pinMissing}</small>
          </button>
        ))}
      </div>
    </main>
  );
}
