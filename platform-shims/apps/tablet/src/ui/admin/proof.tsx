// Proof that nothing was altered: seals checked, what this replica holds in one figure, what follows from the changes, and the
// closes of days.
import { toHex } from "../../core/bytes";
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import type { RebuildReply, DigestReply } from "../../proto/proof_pb";
import { words } from "../../words/words";
import { useShared } from "../state";
import { Closes } from "./closes";
import { Verify } from "./verify";

const text = words.admin.proof;

// Asks when a button is pressed, and says what came of it.
function useAsked<T>(ask: () => Promise<T>) {
  const [answer, setAnswer] = useState<T | null>(null);
  const [failure, setFailure] = useState("");
  const [isAsking, setAsking] = useState(false);
  const run = async () => {
    setAsking(true);
    setFailure("");
    setAnswer(null);
    try {
      setAnswer(await ask());
    } catch (error) {
      setFailure(failureText(error));
    }
    setAsking(false);
  };
  return { answer, failure, isAsking, run };
}

function Digest() {
  const { client } = useShared();
  const digest = useAsked((): Promise<DigestReply> => client.ask({ case: "digest", value: {} }, "digest"));
  const { answer } = digest;
  return (
    <section class="pool">
      <h3>{text.digestTitle}</h3>
      <p>{text.digestHelp}</p>
      <button type="button" disabled={digest.isAsking} onClick={() => void digest.run()}>
        {digest.isAsking ? words.admin.working : text.digestDo}
      </button>
      <div role="status">
        {answer && (
          <>
            <p>{text.digest(String(answer.records), String(answer.changes))}</p>
            <p class="code-line">{toHex(answer.sha256).replaceAll(/(.{8})(?=.)/g, "$1 ")}</p>
          </>
        )}
      </div>
      {digest.failure !== "" && <p class="failure">{digest.failure}</p>}
    </section>
  );
}

function Rebuild() {
  const { client } = useShared();
  const rebuild = useAsked(
    (): Promise<RebuildReply> => client.ask({ case: "rebuild", value: {} }, "rebuild"),
  );
  const { answer } = rebuild;
  return (
    <section class="pool">
      <h3>{text.rebuildTitle}</h3>
      <p>{text.rebuildHelp}</p>
      <button type="button" disabled={rebuild.isAsking} onClick={() => void rebuild.run()}>
        {rebuild.isAsking ? words.admin.working : text.rebuildDo}
      </button>
      <div role="status">
        {answer && (
          <p class={answer.same ? "well" : "failure"}>
            {answer.same
              ? text.rebuiltSame(String(answer.changes))
              : text.rebuiltOther(String(answer.changes))}
          </p>
        )}
      </div>
      {rebuild.failure !== "" && <p class="failure">{rebuild.failure}</p>}
    </section>
  );
}

export function Proof() {
  const { go } = useShared();
  return (
    <main>
      <h2>{text.title}</h2>
      <Verify />
      <section class="pool">
        <h3>{words.admin.evidence.title}</h3>
        <p>{words.admin.evidence.help}</p>
        <button type="button" onClick={() => go({ at: "evidence" })}>
          {words.admin.evidence.begin}
        </button>
      </section>
      <Closes />
      <Digest />
      <Rebuild />
    </main>
  );
}
