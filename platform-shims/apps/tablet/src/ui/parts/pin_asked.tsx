// The PIN of who is signed in, for what only the hub may write.
import { useState } from "preact/hooks";
import { words } from "../../words/words";
import { Secret } from "./secret";

const text = words.atHub;

export function PinAsked({ name, done }: { name: string; done: (pin: string | null) => void }) {
  const [pin, setPin] = useState("");
  return (
    <div class="veil" role="alertdialog" aria-labelledby="pin-asked">
      <form
        class="card"
        onSubmit={(event) => {
          event.preventDefault();
          done(pin);
        }}
      >
        <h2 id="pin-asked">{text.title}</h2>
        <p>{text.help}</p>
        <Secret label={words.pinOf(name)} value={pin} onValue={setPin} />
        <div class="row">
          <button type="button" class="quiet" onClick={() => done(null)}>
            {words.cancel}
          </button>
          <button type="submit" disabled={pin === ""}>
            {text.do}
          </button>
        </div>
      </form>
    </div>
  );
}
