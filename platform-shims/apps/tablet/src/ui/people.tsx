// This screen asks who is at this tablet: a tile for each person, and the PIN of those who have one.
import { CallFailed, errorCode, failureText } from "../core/messages";
import { fromBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import type { Client, Person } from "../core/client";
import { kind } from "../core/kinds";
import { recordKey } from "../core/records";
import type { RecordRef } from "../proto/change_pb";
import { PersonSchema } from "../proto/roster_pb";
import { words } from "../words/words";
import { ChoosePin } from "./parts/choose_pin";
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
  const [isUnreached, setUnreached] = useState(false); // The tablet does not know their PIN, and the hub cannot be asked.
  const [isChoosing, setChoosing] = useState(false); // Another PIN, with a code.
  const { answer: tiles } = useAnswer(async () => {
    const list = await client.ask({ case: "list", value: { kind: kind.person } }, "list");
    return list.records.flatMap((view): Tile[] => {
      if (view.struck || view.foldedInto || !view.record) return [];
      const person = fromBinary(PersonSchema, view.fields);
      return [{ record: view.record, name: person.name, hasPin: person.pinSetMs > 0n }];
    });
  }, [client]);

  const signIn = (tile: Tile, typed: string) => {
    const unproven = (error: unknown) => props.say({ text: words.device.unproven(failureText(error)) });
    client.signIn(tile.record, tile.name, typed, unproven).then(enter, (error: unknown) => {
      setPin("");
      setUnreached(error instanceof CallFailed && error.code === errorCode.transport);
      setFailure(failureText(error));
    });
  };
  const choose = (tile: Tile) => {
    // A PIN typed for somebody else must not be sent for this person.
    setPin("");
    setFailure("");
    setUnreached(false);
    setChoosing(false);
    if (tile.hasPin) setChosen(tile);
    else enter({ record: tile.record, name: tile.name, session: new Uint8Array() });
  };

  if (chosen && isChoosing)
    return (
      <main class="narrow">
        <h2>{words.pinOf(chosen.name)}</h2>
        <ChoosePin client={client} person={chosen.record} chosen={(fresh) => signIn(chosen, fresh)} />
        <button type="button" class="quiet" onClick={() => setChoosing(false)}>
          {words.cancel}
        </button>
      </main>
    );
  if (chosen)
    return (
      <main class="narrow">
        <h2>{words.pinOf(chosen.name)}</h2>
        <form
          onSubmit={(event) => {
            event.preventDefault();
            signIn(chosen, pin);
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
        {isUnreached && (
          <>
            <p>{words.device.byName(chosen.name)}</p>
            <button
              type="button"
              onClick={() => enter({ record: chosen.record, name: chosen.name, session: new Uint8Array() })}
            >
              {words.device.byNameDo}
            </button>
          </>
        )}
        <div class="row">
          <button type="button" class="quiet" onClick={() => setChoosing(true)}>
            {words.admin.pin.haveCode}
          </button>
          <button type="button" class="quiet" onClick={() => setChosen(null)}>
            {words.cancel}
          </button>
        </div>
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
