// The attached files on this tablet, and how to make room: only what the hub has whole is removed.
import { useState } from "preact/hooks";
import { failureText } from "../../core/messages";
import { words } from "../../words/words";
import { sizeText } from "../parts/size";
import { useAnswer, useShared } from "../state";

const text = words.files;

export function FilesHere() {
  const { client, say } = useShared();
  const [removed, setRemoved] = useState(0); // Times that room was made.
  const [running, setRunning] = useState(false);
  const [failure, setFailure] = useState("");
  const { answer: here } = useAnswer(() => client.filesHere(), [client, removed]);

  const makeRoom = async () => {
    setFailure("");
    setRunning(true);
    try {
      const { files, bytes } = await client.makeRoom();
      say({ text: files === 0 ? text.nothingRemoved : text.removed(files, sizeText(bytes)) });
    } catch (error) {
      setFailure(failureText(error));
    }
    setRunning(false);
    setRemoved(removed + 1);
  };
  return (
    <section class="pool">
      <h3>{text.title}</h3>
      {here && <p>{here.files === 0 ? text.noneHere : text.here(here.files, sizeText(here.bytes))}</p>}
      {here && here.files > 0 && (
        <>
          <p>{text.makeRoomHelp}</p>
          <button type="button" class="quiet" disabled={running} onClick={() => void makeRoom()}>
            {text.makeRoom}
          </button>
        </>
      )}
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
    </section>
  );
}
