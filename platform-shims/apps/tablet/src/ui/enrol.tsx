// The first screen of a tablet that is in no facility yet.
import { useEffect, useState } from "preact/hooks";
import { inGroups, toHex } from "../core/bytes";
import type { Client } from "../core/client";
import { CallFailed, errorCode, failureText } from "../core/messages";
import { servedHubKey } from "../core/release";
import { words } from "../words/words";

const askAgainMs = 3_000;

// The link of an invitation brings the code behind its "#", which no server gets to see.
function codeOfLink(): string {
  return new URLSearchParams(location.hash.slice(1)).get("code") ?? "";
}

export function Enrol({ client, entered }: { client: Client; entered: () => void }) {
  const [code, setCode] = useState(codeOfLink);
  const [name, setName] = useState("");
  const [failure, setFailure] = useState("");
  const [hubKey, setHubKey] = useState<Uint8Array | null>(null);
  useEffect(() => {
    if (hubKey) return;
    let left = false;
    const ask = () =>
      void servedHubKey().then(
        (key) => {
          if (!left) setHubKey(key);
        },
        () => undefined, // The hub is out of reach; it is asked again.
      );
    ask();
    const asking = setInterval(ask, askAgainMs);
    return () => {
      left = true;
      clearInterval(asking);
    };
  }, [hubKey]);
  const enrol = async () => {
    if (!hubKey) return;
    try {
      await client.enrol(code, name, hubKey);
      history.replaceState(null, "", location.pathname);
      // It is let in now; the first exchange can be made up for at any time.
      await client.exchange().catch(() => undefined);
      entered();
    } catch (error) {
      const isUnreached = error instanceof CallFailed && error.code === errorCode.transport;
      setFailure(isUnreached ? words.enrolNoHub : failureText(error));
    }
  };
  return (
    <main class="narrow">
      <h2>{words.enrolTitle}</h2>
      <p>{words.enrolHelp}</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void enrol();
        }}
      >
        <label>
          {words.enrolCode}
          <input
            value={code}
            autoCapitalize="characters"
            autoComplete="off"
            onInput={(event) => setCode(event.currentTarget.value)}
          />
        </label>
        <label>
          {words.enrolName}
          <input value={name} onInput={(event) => setName(event.currentTarget.value)} />
        </label>
        <p>
          {words.enrolHubKey}{" "}
          <code class="digits">{hubKey ? inGroups(toHex(hubKey)) : words.enrolHubKeyAwaited}</code>
        </p>
        {failure !== "" && (
          <p class="failure" role="alert">
            {failure}
          </p>
        )}
        <button type="submit" disabled={code === "" || name === "" || !hubKey}>
          {words.enrolDo}
        </button>
      </form>
    </main>
  );
}
