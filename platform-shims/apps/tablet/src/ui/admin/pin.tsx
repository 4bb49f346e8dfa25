// A person's PIN: they choose their own; an admin gives anybody else a one-time code to choose one with.
import { useState } from "preact/hooks";
import { failureText, type Invitation } from "../../core/messages";
import { sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { ChoosePin } from "../parts/choose_pin";
import { useShared } from "../state";

const text = words.admin.pin;

export function Pin({ person, name, has }: { person: RecordRef; name: string; has: boolean }) {
  const { client, say, zone } = useShared();
  const [given, setGiven] = useState<Invitation | null>(null);
  const [failure, setFailure] = useState("");
  const isOwn = sameRecord(client.person?.record, person);
  // Whoever changed their own PIN stays signed in with the new one: their session ended with the old.
  const stay = (pin: string) => {
    say({ text: text.given(name) });
    client
      .signIn(person, name, pin, () => undefined)
      .then(
        (now) => (client.person = now),
        (error: unknown) => setFailure(failureText(error)),
      );
  };
  const give = () => {
    setFailure("");
    client
      .givePinCode(person)
      .then(setGiven, (error: unknown) => setFailure(failureText(error, words.failed)));
  };
  return (
    <section class="pool">
      <h3>{text.title}</h3>
      <p>{has ? text.hasOne : text.hasNone}</p>
      {isOwn ? (
        <ChoosePin client={client} person={person} chosen={stay} />
      ) : given ? (
        <>
          <p>{text.codeHelp(name, zone.text(given.expiresMs))}</p>
          <p class="code" aria-label={text.code}>
            {given.code}
          </p>
        </>
      ) : (
        <div class="row foot">
          <button type="button" onClick={give}>
            {text.giveCode}
          </button>
        </div>
      )}
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
    </section>
  );
}
