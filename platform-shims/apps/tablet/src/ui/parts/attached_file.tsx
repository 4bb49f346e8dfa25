// One attached file: shown where the browser can show it, fetched from the hub where it is not here, and handed out as a copy.
import { useRef, useState } from "preact/hooks";
import { fileName } from "../../core/file_store";
import { failureText } from "../../core/messages";
import type { Attachment } from "../../proto/events_pb";
import { words } from "../../words/words";
import { saveFile } from "../device/save_file";
import { useAnswer, useShared } from "../state";
import { useObjectUrl } from "./object_url";
import { sizeText } from "./size";
import { Thumbnail } from "./thumbnail";

const text = words.files;

export function AttachedFile({ attachment }: { attachment: Attachment }) {
  const { client } = useShared();
  const file = fileName(attachment.sha256);
  const total = Number(attachment.bytes ?? 0);
  const isPicture = attachment.mediaType.startsWith("image/");
  const [come, setCome] = useState<number | null>(null); // Bytes, while it is being fetched.
  const [failure, setFailure] = useState("");
  const [shows, setShows] = useState(true);
  const wanted = useRef(false);
  const { answer: whole } = useAnswer(() => client.readFile(file), [client, file, come === null]);
  const url = useObjectUrl(isPicture ? whole : null);

  const fetchIt = async () => {
    setFailure("");
    setCome(0);
    wanted.current = true;
    const isWanted = () => wanted.current;
    try {
      for (let whole = false; !whole && isWanted(); ) {
        const held = await client.fetchFilePart(file, total);
        setCome(held.bytes);
        whole = held.whole;
      }
    } catch (error) {
      setFailure(failureText(error));
    }
    setCome(null);
  };
  const save = async () => {
    if (whole) saveFile(attachment.name, attachment.mediaType, await whole.arrayBuffer());
  };
  return (
    <section class="pool attached">
      {url && shows && (
        <img class="whole" src={url} alt={text.picture(attachment.name)} onError={() => setShows(false)} />
      )}
      {!shows && <p>{text.noPicture}</p>}
      {!whole && <Thumbnail file={file} called={attachment.name} mediaType={attachment.mediaType} />}
      <div class="row">
        {whole && (
          <button type="button" class="quiet" onClick={() => void save()}>
            {text.saveCopy}
          </button>
        )}
        {!whole && come === null && (
          <button type="button" onClick={() => void fetchIt()}>
            {text.fetch(sizeText(total))}
          </button>
        )}
        {come !== null && (
          <>
            <p role="status">{text.fetching(sizeText(come), sizeText(total))}</p>
            <button type="button" class="quiet" onClick={() => (wanted.current = false)}>
              {text.stop}
            </button>
          </>
        )}
      </div>
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
    </section>
  );
}
