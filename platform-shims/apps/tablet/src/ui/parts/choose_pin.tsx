// Somebody chooses the PIN they sign in with: with the one so far, or the one-time code that an admin gave.
import { useState } from "preact/hooks";
import type { Client } from "../../core/client";
import { failureText } from "../../core/messages";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { Secret } from "./secret";

const text = words.admin.pin;

// `chosen` is told the new one, so that they need not type it once more.
export function ChoosePin(props: { client: Client; person: RecordRef; chosen: (pin: string) => void }) {
  const [secret, setSecret] = useState("");
  const [pin, setPin] = useState("");
  const [again, setAgain] = useState("");
  const [failure, setFailure] = useState("");
  const choose = () => {
    if (pin !== again) {
      setFailure(text.differ);
      return;
    }
    setFailure("");
    props.client.choosePin(props.person, secret, pin).then(
      () => props.chosen(pin),
      (error: unknown) => setFailure(failureText(error, words.failed)),
    );
  };
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        choose();
      }}
    >
      <p>{text.rule}</p>
      <Secret label={text.soFar} value={secret} onValue={setSecret} letters />
      <Secret label={text.fresh} value={pin} onValue={setPin} />
      <Secret label={text.again} value={again} onValue={setAgain} />
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
      <button type="submit" disabled={secret === "" || pin === "" || again === ""}>
        {text.give}
      </button>
    </form>
  );
}
