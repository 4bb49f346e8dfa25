// A bundle: sealed changes carried in a file where there is no network. Twice changes nothing; an altered one is refused whole.
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import type { BundleImportReply } from "../../proto/call_pb";
import { words } from "../../words/words";
import { useShared } from "../state";

interface Looked {
  name: string;
  bytes: Uint8Array;
  reply: BundleImportReply;
  isIn: boolean;
}

export function ImportBundle() {
  const { client, say } = useShared();
  const [looked, setLooked] = useState<Looked | null>(null);
  const [failure, setFailure] = useState("");
  const [isBusy, setBusy] = useState(false);
  const text = words.desk.import;

  const attempt = async (act: () => Promise<void>) => {
    setBusy(true);
    setFailure("");
    try {
      await act();
    } catch (error) {
      setFailure(failureText(error, words.failed));
    } finally {
      setBusy(false);
    }
  };
  const look = (file: File | undefined) => {
    setLooked(null);
    if (!file) return;
    void attempt(async () => {
      const bytes = new Uint8Array(await file.arrayBuffer());
      const reply = await client.ask(
        { case: "bundleImport", value: { bundle: bytes, dryRun: true } },
        "bundleImport",
      );
      setLooked({ name: file.name, bytes, reply, isIn: false });
    });
  };
  const takeIn = () => {
    if (!looked) return;
    void attempt(async () => {
      const reply = await client.write(
        { case: "bundleImport", value: { bundle: looked.bytes, dryRun: false } },
        "bundleImport",
      );
      setLooked({ ...looked, reply, isIn: true });
      say({ text: text.bundleIn(reply.changesNew) });
    });
  };
  return (
    <section class="pool">
      <h3>{text.bundle}</h3>
      <p>{text.bundleHelp}</p>
      <label>
        {text.bundleFile}
        <input type="file" onChange={(event) => look(event.currentTarget.files?.[0])} />
      </label>
      {isBusy && <p role="status">{text.looking}</p>}
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
      {looked && (
        <>
          <p class="total">
            {looked.isIn
              ? text.bundleTaken(looked.reply.changesInFile, looked.reply.changesNew)
              : text.bundleWould(looked.reply.changesInFile, looked.reply.changesNew)}
          </p>
          {looked.reply.refusals.length > 0 && (
            <>
              <p class="asks">{text.refused(looked.reply.refusals.length)}</p>
              <ul>
                {looked.reply.refusals.map((refusal, index) => (
                  <li key={index}>
                    {text.refusal(refusal.log.toString(16).padStart(16, "0").slice(0, 8), refusal.seq)}{" "}
                    {refusal.message}
                  </li>
                ))}
              </ul>
            </>
          )}
          {!looked.isIn && looked.reply.changesNew > 0 && (
            <div class="row foot">
              <button type="button" disabled={isBusy} onClick={takeIn}>
                {text.bundleDo(looked.reply.changesNew)}
              </button>
            </div>
          )}
        </>
      )}
    </section>
  );
}
