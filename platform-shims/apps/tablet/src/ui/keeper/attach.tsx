// Photographs and documents for a record. What is chosen is kept on the tablet at once, so that neither a reload nor the lock
// loses it; a record names it when it is saved, and the hub gets it after the records.
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { fromHex } from "../../core/bytes";
import { kind } from "../../core/kinds";
import { failureText, type KeptFile } from "../../core/messages";
import { recordKey } from "../../core/records";
import { AttachmentSchema } from "../../proto/events_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { sizeText } from "../parts/size";
import { Thumbnail } from "../parts/thumbnail";
import { useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";
import { useWhen } from "./when";

const text = words.files;
// The browser offers these to choose from; the core decides by the content of a file whether it takes it.
const typesTaken = "image/jpeg,image/png,image/webp,application/pdf,text/plain";
const nameLengthMax = 60;

interface Chosen extends KeptFile {
  called: string;
}

// Makes the name that a record takes: short, and no path. The end says what program opens it, so it stays.
function plainName(name: string): string {
  const plain = Array.from(name, (c) => (/[\\/\p{Cc}]/u.test(c) ? "_" : c));
  const kept =
    plain.length > nameLengthMax ? [...plain.slice(0, nameLengthMax - 8), ...plain.slice(-8)] : plain;
  const called = kept.join("").trim();
  return called === "" || called === "." || called === ".." ? "file" : called;
}

export function Attach({ to, leave }: { to: About; leave: () => void }) {
  const { client } = useShared();
  const draft = useDraft(`attach.${recordKey(to.record)}`, { files: [] as Chosen[], note: "" });
  const { value, set } = draft;
  const [keeping, setKeeping] = useState(false);
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });

  const leaveOut = (file: Chosen) => {
    set({ files: value.files.filter(({ name }) => name !== file.name) });
    void client.dropFile(file.name);
  };
  const choose = async (input: HTMLInputElement) => {
    const given = [...(input.files ?? [])];
    setKeeping(true);
    let files = value.files;
    try {
      for (const one of given) {
        const kept = await client.keepFile(one);
        if (files.some(({ name }) => name === kept.name)) continue;
        files = [...files, { ...kept, called: plainName(one.name) }];
        set({ files });
      }
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
    input.value = ""; // So that the same file may be chosen again.
    setKeeping(false);
  };
  const save = async () => {
    if (value.files.length === 0) {
      saving.fail(text.nothingChosen);
      return;
    }
    // It may have been left out of another entry meanwhile, or the browser was cleared: no record names what nobody has.
    try {
      const here = await Promise.all(value.files.map(({ name }) => client.readFile(name)));
      const gone = value.files.find((_, index) => !here[index]);
      if (gone) throw new Error(text.gone(gone.called));
    } catch (error) {
      saving.fail(failureText(error, words.failed));
      return;
    }
    const records = value.files.map((file) => {
      const attachment = create(AttachmentSchema, {
        subject: to.record,
        ...when(),
        sha256: fromHex(file.name),
        bytes: BigInt(file.bytes),
        mediaType: file.mediaType,
        name: file.called,
        note: value.note.trim(),
      });
      return { kind: kind.attachment, fields: toBinary(AttachmentSchema, attachment) };
    });
    saving.log({ case: "log", value: { records } }, text.saved(records.length));
  };
  const afresh = () => {
    for (const { name } of value.files) void client.dropFile(name);
    draft.drop();
  };
  return (
    <Form
      title={text.attachTitle(to.name)}
      caution={text.caution}
      saving={saving}
      leave={leave}
      draft={{ ...draft, drop: afresh }}
      actions={
        <button type="button" disabled={keeping} onClick={() => void save()}>
          {words.save}
        </button>
      }
    >
      <div class="row">
        <label class="button grow">
          {text.take}
          <input
            type="file"
            accept="image/*"
            capture="environment"
            onChange={(event) => void choose(event.currentTarget)}
          />
        </label>
        <label class="button quiet grow">
          {text.choose}
          <input
            type="file"
            multiple
            accept={typesTaken}
            onChange={(event) => void choose(event.currentTarget)}
          />
        </label>
      </div>
      <p class="known">{text.kinds}</p>
      {keeping && <p role="status">{text.keeping}</p>}
      <ul class="plain attached">
        {value.files.map((file) => (
          <li key={file.name} class="row">
            <Thumbnail file={file.name} called={file.called} mediaType={file.mediaType} />
            <span class="grow">
              {file.called} <small>{sizeText(file.bytes)}</small>
            </span>
            <button type="button" class="quiet" onClick={() => leaveOut(file)}>
              {text.leaveOut(file.called)}
            </button>
          </li>
        ))}
      </ul>
      <Text long label={text.note} value={value.note} onValue={(note) => set({ note })} />
      {whenField}
    </Form>
  );
}
