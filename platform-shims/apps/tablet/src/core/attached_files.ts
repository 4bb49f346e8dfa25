// Attached files on this tablet: kept before a record names them, brought from the hub when somebody wants one, sent there after
// the records. Everything over the network goes a part at a time, and each part is asked for by whoever looks on: to stop
// is to ask no further, and the next time goes on from there.
//
// Threads: the core's worker.
import { create, fromBinary, toBinary } from "@bufbuild/protobuf";
import { CallSchema, ReplySchema } from "../proto/call_pb";
import { type Attachment, AttachmentSchema } from "../proto/events_pb";
import type { RecordRef } from "../proto/change_pb";
import { bytesOf } from "./bytes";
import { fileName, filePartBytes, FileStore, type HeldFile, sha256 } from "./file_store";
import type { Hub } from "./hub";
import { kind } from "./kinds";
import { CallFailed, errorCode, type FilesHere, type FilesSent, type KeptFile } from "./messages";
import type { Core } from "./module";

const fileBytesMax = 64 << 20; // The same limit stands in core/model/attachment.h.
// The beginning of a picture or a PDF shows its type; a text has to be read whole.
const headBytes = 4096;
const textType = "text/plain";

// One file's failure leaves the others; the network's, or a hub that has no room, leaves all.
const ofThisFile: number[] = [errorCode.malformed, errorCode.tooLarge, errorCode.notFound, errorCode.invalid];

interface Unsent {
  name: string;
  there: HeldFile;
}

export class AttachedFiles {
  private readonly store = new FileStore();
  // The files that the hub lacked when it was asked; null: it has to be asked.
  private unsent: Unsent[] | null = null;
  private refused: CallFailed[] = [];
  private sending: Promise<FilesSent> | null = null;
  private readonly fetching = new Map<string, Promise<HeldFile>>();

  constructor(
    private readonly core: Core,
    private readonly hub: Hub,
  ) {}

  // Throws CallFailed without words for what is not taken: empty or of no type that is taken (invalid), too large.
  async keep(content: Blob): Promise<KeptFile> {
    if (content.size > fileBytesMax) throw new CallFailed(errorCode.tooLarge, "");
    let mediaType = this.core.mediaType(await bytesOf(content.slice(0, headBytes)));
    if ((mediaType === "" || mediaType === textType) && content.size > headBytes)
      mediaType = this.core.mediaType(await bytesOf(content));
    if (mediaType === "") throw new CallFailed(errorCode.invalid, "");
    const hash = await sha256(content);
    const name = fileName(hash);
    const before = await this.store.held(name);
    for (let { bytes, whole } = before; !whole; ) {
      const part = content.slice(bytes, bytes + filePartBytes);
      ({ bytes, whole } = await withRoom(() => this.store.put(name, bytes, content.size, part)));
    }
    return { name, bytes: content.size, mediaType };
  }

  // A file that was kept and is not wanted after all; one that a record names stays.
  async drop(name: string): Promise<void> {
    if (this.records().some((record) => fileName(record.sha256) === name)) return;
    await this.store.remove(name);
    await this.store.removeThumbnail(name);
  }

  file(name: string): Promise<File | null> {
    return this.store.file(name);
  }
  thumbnail(name: string): Promise<Blob | null> {
    return this.store.thumbnail(name);
  }

  // One part more from the hub. CallFailed: not found when the hub does not have all of it; malformed when it was another
  // file, of which nothing is kept then.
  fetchPart(name: string, total: number): Promise<HeldFile> {
    let running = this.fetching.get(name);
    if (!running) {
      running = this.partFromHub(name, total).finally(() => this.fetching.delete(name));
      this.fetching.set(name, running);
    }
    return running;
  }

  // One part of what the hub lacks and this tablet has whole. `more`: ask again.
  sendPart(): Promise<FilesSent> {
    this.sending ??= this.partToHub().finally(() => (this.sending = null));
    return this.sending;
  }

  async here(): Promise<FilesHere> {
    let files = 0;
    let bytes = 0;
    for (const name of await this.store.names()) {
      const file = await this.store.file(name);
      files += file ? 1 : 0;
      bytes += file?.size ?? 0;
    }
    return { files, bytes };
  }

  // Removes what the hub says it has whole; thumbnails stay, and each file can be fetched again.
  async makeRoom(): Promise<FilesHere> {
    const names = await this.store.names();
    const there = await this.hub.heldFiles(names);
    let bytes = 0;
    let files = 0;
    for (const [index, name] of names.entries()) {
      if (!there[index]?.whole) continue;
      const file = await this.store.file(name);
      await this.store.thumbnail(name); // It cannot be made any more afterwards.
      await this.store.remove(name);
      files += 1;
      bytes += file?.size ?? 0;
    }
    return { files, bytes };
  }

  private async partFromHub(name: string, total: number): Promise<HeldFile> {
    const here = await this.store.held(name);
    if (here.whole) return here;
    // All of it may be here without its name: a byte that comes again finishes it.
    const offset = Math.min(here.bytes, total - 1);
    const part = await this.hub.readFile(name, offset, Math.min(filePartBytes, total - offset));
    if (part.size === 0) throw new CallFailed(errorCode.transport, "");
    return withRoom(() => this.store.put(name, offset, total, part));
  }

  private async partToHub(): Promise<FilesSent> {
    try {
      this.unsent ??= await this.lacking();
      const next = this.unsent[0];
      if (!next) return this.sent();
      const file = await this.store.file(next.name);
      if (!file) throw new CallFailed(errorCode.notFound, "");
      const offset = Math.min(next.there.bytes, file.size - 1);
      const part = file.slice(offset, offset + filePartBytes);
      const there = await this.hub.writeFile(next.name, offset, file.size, part);
      // Or it would be sent for ever.
      if (!there.whole && there.bytes <= next.there.bytes) throw new CallFailed(errorCode.transport, "");
      next.there = there;
      if (there.whole) this.unsent.shift();
    } catch (error) {
      if (this.unsent && error instanceof CallFailed && ofThisFile.includes(error.code)) {
        this.unsent.shift();
        this.refused.push(error);
      } else {
        this.unsent = null;
        this.refused = [];
        throw error;
      }
    }
    if (this.unsent.length === 0) return this.sent();
    return { more: true, left: this.unsent.length + this.refused.length, why: "" };
  }

  // The end of a round.
  private sent(): FilesSent {
    const sent = { more: false, left: this.refused.length, why: this.refused[0]?.message ?? "" };
    this.unsent = null;
    this.refused = [];
    return sent;
  }

  private async lacking(): Promise<Unsent[]> {
    const here = new Set<string>();
    for (const record of this.records()) {
      const name = fileName(record.sha256);
      const bytes = Number(record.bytes ?? 0);
      let held = await this.store.held(name);
      // The browser ended between its last part and its name.
      if (!held.whole && held.bytes > 0 && held.bytes === bytes)
        held = await this.store.put(name, bytes, bytes, new Blob());
      if (held.whole) here.add(name);
    }
    const names = [...here];
    const there = await this.hub.heldFiles(names);
    return names.flatMap((name, index) => {
      const held = there[index];
      return held && !held.whole ? [{ name, there: held }] : [];
    });
  }

  // Struck ones too: they may come back.
  private records(): Attachment[] {
    const found: Attachment[] = [];
    let after: RecordRef | undefined;
    for (;;) {
      const value = {
        kind: kind.attachment,
        allSubjects: true,
        withStruck: true,
        ...(after ? { after } : {}),
      };
      const call = toBinary(CallSchema, create(CallSchema, { what: { case: "list", value } }));
      const reply = fromBinary(ReplySchema, this.core.call(call));
      if (reply.what.case !== "list")
        throw new CallFailed(reply.failure?.code ?? 0, reply.failure?.message ?? "");
      for (const view of reply.what.value.records) {
        after = view.record;
        const record = fromBinary(AttachmentSchema, view.fields);
        if (record.sha256.length === 32) found.push(record);
      }
      if (!reply.what.value.more) return found;
    }
  }
}

async function withRoom(put: () => Promise<HeldFile>): Promise<HeldFile> {
  try {
    return await put();
  } catch (error) {
    if (error instanceof DOMException) throw new CallFailed(errorCode.diskFull, "");
    throw error;
  }
}
