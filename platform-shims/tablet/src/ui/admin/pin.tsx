// Gives a person a PIN, or takes it away. The core says what may be one.
import { useState } from "preact/hooks";
import { sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useShared } from "../state";

const text = words.admin.pin;

function Secret({
  label,
  value,
  onValue,
}: {
  label: string;
  value: string;
  onValue: (text: string) => void;
}) {
  return (
    <label>
      {label}
      <input
        type="password"
        inputMode="numeric"
        autoComplete="new-password"
        value={value}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
    </label>
  );
}

export function Pin({ person, name, has }: { person: RecordRef; name: string; has: boolean }) {
  const { client, say } = useShared();
  const [pin, setPin] = useState("");
  const [again, setAgain] = useState("");
  const [reason, setReason] = useState("");
  const isOwn = sameRecord(client.person?.record, person);
  const saving = useSaving(() => {
    setPin("");
    setAgain("");
    setReason("");
  });
  const set = (to: string, saved: string) => {
    if (to !== again && to !== "") {
      saving.fail(text.differ);
      return;
    }
    saving.run(async () => {
      const bytes = new TextEncoder().encode(to);
      await client.write({ case: "setPin", value: { person, pin: bytes, reason } }, "edit");
      // Whoever changed their own PIN stays signed in with the new one: their session ended with the old.
      if (isOwn && client.person) {
        const session =
          to === ""
            ? new Uint8Array()
            : (await client.ask({ case: "signIn", value: { person, pin: bytes } }, "signIn")).token;
        client.person = { ...client.person, session };
      }
      say({ text: saved });
    });
  };
  const needsReason = has && !isOwn;
  return (
    <section class="pool">
      <h3>{text.title}</h3>
      <p>{has ? text.hasOne : text.hasNone}</p>
      <p>{text.rule}</p>
      <Secret label={text.fresh} value={pin} onValue={setPin} />
      <Secret label={text.again} value={again} onValue={setAgain} />
      {needsReason && <Text label={words.admin.reason} value={reason} onValue={setReason} />}
      {saving.failure}
      <div class="row foot">
        {has && (
          <button
            type="button"
            class="warn"
            disabled={needsReason && reason.trim() === ""}
            onClick={() => set("", text.taken(name))}
          >
            {text.takeAway}
          </button>
        )}
        <button
          type="button"
          disabled={pin === "" || (needsReason && reason.trim() === "")}
          onClick={() => set(pin, text.given(name))}
        >
          {text.give}
        </button>
      </div>
      {saving.really}
    </section>
  );
}
