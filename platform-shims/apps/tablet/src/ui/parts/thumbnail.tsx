// A file as a small picture; where there is none, its type in words.
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { useObjectUrl } from "./object_url";

const typeWords: Partial<Record<string, string>> = { "application/pdf": "PDF", "text/plain": "TXT" };

export function Thumbnail(props: { file: string; called: string; mediaType: string }) {
  const { client } = useShared();
  const isPicture = props.mediaType.startsWith("image/");
  const { answer } = useAnswer(
    async () => (isPicture ? client.thumbnail(props.file) : null),
    [client, props.file, isPicture],
  );
  const url = useObjectUrl(answer);
  if (url) return <img class="thumbnail" src={url} alt={words.files.picture(props.called)} />;
  return <span class="thumbnail">{typeWords[props.mediaType] ?? "…"}</span>;
}
