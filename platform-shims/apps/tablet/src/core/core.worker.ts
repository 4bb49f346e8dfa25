// The core's worker: holds the records' files, calls the core, exchanges with the hub. There is one among all tabs
// (owner.ts). Everything it is asked is answered in the order in which it was asked, but an exchange lets others in between
// its pages, and a file between its parts, so that a keeper never waits for the network.
import { create, fromBinary, toBinary } from "@bufbuild/protobuf";
import { CallSchema, ReplySchema } from "../proto/call_pb";
import { EnrolReplySchema } from "../proto/exchange_pb";
import { AttachedFiles } from "./attached_files";
import { toHex } from "./bytes";
import { Hub } from "./hub";
import { type Ask, CallFailed, errorCode, type Exchanged, type Started } from "./messages";
import { Core, type Files } from "./module";
import { Shared } from "./signing";

const directoryName = "wrackline";
const fileNames = ["/records.db", "/records.db-wal", "/records.db-journal"];
// A tab that is closing gives its handles back a moment later.
const handleTries = 100;
const handleWaitMs = 50;

async function openFiles(): Promise<Files[]> {
  const root = await navigator.storage.getDirectory();
  const directory = await root.getDirectoryHandle(directoryName, { create: true });
  const files: Files[] = [];
  for (const name of fileNames) {
    const file = await directory.getFileHandle(name.slice(1), { create: true });
    for (let tried = 0; ; ++tried) {
      try {
        files.push({ name, handle: await file.createSyncAccessHandle() });
        break;
      } catch (error) {
        if (tried >= handleTries) throw error;
        await new Promise((resolve) => setTimeout(resolve, handleWaitMs));
      }
    }
  }
  return files;
}

class Keeper {
  private constructor(
    private readonly core: Core,
    private readonly hub: Hub,
    private readonly files: AttachedFiles,
  ) {}
  private isOpen = false;
  private exchanging: Promise<Exchanged> | null = null;

  static async load(given: {
    memory: SharedArrayBuffer;
    port: MessagePort;
    publicKey: Uint8Array;
  }): Promise<Keeper> {
    const shared = new Shared(given.memory);
    const core = await Core.load(await openFiles(), given.publicKey, (text) => shared.sign(text, given.port));
    const hub = new Hub(core);
    const keeper = new Keeper(core, hub, new AttachedFiles(core, hub));
    // A tab that takes over from another one has asked "start" long ago.
    keeper.start();
    return keeper;
  }

  async answer(ask: Ask): Promise<unknown> {
    switch (ask.op) {
      case "start":
        return this.start();
      case "call":
        return this.core.call(ask.call);
      case "enrol":
        return this.enrol(ask.code, ask.deviceName, ask.hubKey);
      case "invite":
        return this.hub.invite(ask.admin, ask.pin);
      case "post":
        return this.hub.post(ask.path, ask.request as Uint8Array<ArrayBuffer>);
      case "exchange":
        // One at a time; who asks meanwhile gets the running one's result.
        this.exchanging ??= this.exchange().finally(() => (this.exchanging = null));
        return this.exchanging;
      case "news":
        return this.news();
      case "file-keep":
        return this.files.keep(ask.content);
      case "file-drop":
        return this.files.drop(ask.name);
      case "file-read":
        return this.files.file(ask.name);
      case "file-thumbnail":
        return this.files.thumbnail(ask.name);
      case "file-fetch":
        return this.files.fetchPart(ask.name, ask.bytes);
      case "files-send":
        return this.files.sendPart();
      case "files-here":
        return this.files.here();
      case "files-make-room":
        return this.files.makeRoom();
    }
  }

  private async news(): Promise<boolean> {
    const call = create(CallSchema, { what: { case: "news", value: {} } });
    const answer = fromBinary(ReplySchema, this.core.call(toBinary(CallSchema, call)));
    if (answer.what.case !== "news")
      throw new CallFailed(answer.failure?.code ?? 0, answer.failure?.message ?? "");
    return this.hub.news(answer.what.value.request as Uint8Array<ArrayBuffer>);
  }

  private start(): Started {
    if (this.isOpen) return { state: "open" };
    const { failure } = fromBinary(ReplySchema, this.core.open());
    this.isOpen = !failure;
    if (!failure) return { state: "open" };
    if (failure.code === errorCode.notFound) return { state: "not-enrolled" };
    return { state: "failed", message: failure.message, noPlace: false };
  }

  private async enrol(code: string, deviceName: string, shownHubKey: Uint8Array): Promise<null> {
    const enrolled = await this.hub.enrol(code, deviceName);
    const { hubKey } = fromBinary(EnrolReplySchema, enrolled);
    if (toHex(hubKey) !== toHex(shownHubKey)) throw new CallFailed(errorCode.otherHub, "");
    const { failure } = fromBinary(ReplySchema, this.core.create(enrolled, deviceName));
    if (failure) throw new CallFailed(failure.code, failure.message);
    this.isOpen = true;
    return null;
  }

  private async exchange(): Promise<Exchanged> {
    let reply = new Uint8Array();
    for (;;) {
      const call = create(CallSchema, { what: { case: "exchange", value: { reply } } });
      const answer = fromBinary(ReplySchema, this.core.call(toBinary(CallSchema, call)));
      if (answer.failure) throw new CallFailed(answer.failure.code, answer.failure.message);
      if (answer.what.case !== "exchange") throw new CallFailed(0, "");
      const step = answer.what.value;
      if (step.done)
        return {
          sent: step.sent,
          received: step.received,
          refusals: step.refusals.map(({ message }) => message),
        };
      reply = await this.hub.exchange(step.request as Uint8Array<ArrayBuffer>);
    }
  }
}

let keeper: Promise<Keeper> | null = null;

async function answer(ask: Ask): Promise<unknown> {
  try {
    return await (await keeper)?.answer(ask);
  } catch (error) {
    // The browser gives no place for files, or no more of it.
    if (ask.op === "start" && error instanceof DOMException)
      return { state: "failed", message: error.message, noPlace: true } satisfies Started;
    // The core has stopped in the middle of something: what was committed is on the disk, the rest is not. Nobody may
    // go on with its memory.
    if (error instanceof WebAssembly.RuntimeError) {
      keeper = Promise.reject(new CallFailed(errorCode.halted, ""));
      postMessage({ halted: true });
    }
    throw error;
  }
}

addEventListener(
  "message",
  (
    event: MessageEvent<
      | { load: { memory: SharedArrayBuffer; port: MessagePort; publicKey: Uint8Array } }
      | { id: number; ask: Ask }
    >,
  ) => {
    const given = event.data;
    if ("load" in given) {
      keeper = Keeper.load(given.load);
      return;
    }
    void (async () => {
      try {
        postMessage({ id: given.id, answer: await answer(given.ask) });
      } catch (error) {
        const failed = error instanceof CallFailed ? error : new CallFailed(0, String(error));
        postMessage({ id: given.id, failure: { code: failed.code, message: failed.message } });
      }
    })();
  },
);
