// One worker among all tabs. The tab that holds the lock has the worker and answers for the others over a channel; when it
// goes, the next one in line opens the records and takes over. To a tab it makes no difference which one it is.
import { words } from "../words/words";
import { type Ask, CallFailed } from "./messages";
import { Shared } from "./signing";

const lockName = "wrackline-records";
const channelName = "wrackline";
// A tab needs less than this to take over from one that has gone.
const answerMs = 30_000;

interface Failure {
  code: number;
  message: string;
}
type Word =
  | { kind: "ask"; id: string; ask: Ask }
  | { kind: "answer"; id: string; answer?: unknown; failure?: Failure }
  | { kind: "changed" }
  | { kind: "owner" };

function mayHaveBeenDone(ask: Ask): boolean {
  return (ask.op === "call" && ask.writes) || ask.op === "enrol" || ask.op === "invite";
}

// The worker of this tab.
class Worked {
  private readonly waiting = new Map<
    number,
    { resolve: (answer: unknown) => void; reject: (error: Error) => void }
  >();
  private next = 0;
  private constructor(
    private readonly worker: Worker,
    onHalted: () => void,
  ) {
    worker.onerror = () => onHalted();
    worker.onmessage = (
      event: MessageEvent<{ halted: true } | { id: number; answer?: unknown; failure?: Failure }>,
    ) => {
      if ("halted" in event.data) {
        onHalted();
        return;
      }
      const { id, answer, failure } = event.data;
      const one = this.waiting.get(id);
      this.waiting.delete(id);
      if (failure) one?.reject(new CallFailed(failure.code, failure.message));
      else one?.resolve(answer);
    };
  }

  static async load(onHalted: () => void): Promise<Worked> {
    const shared = Shared.make();
    const ways = new MessageChannel();
    const signer = new Worker(new URL("./signer.worker.ts", import.meta.url), {
      type: "module",
      name: "signer",
    });
    const publicKey = await new Promise<Uint8Array>((resolve, reject) => {
      signer.onmessage = (event: MessageEvent<{ publicKey?: Uint8Array; failure?: string }>) => {
        if (event.data.publicKey) resolve(event.data.publicKey);
        else reject(new Error(event.data.failure));
      };
      signer.postMessage({ memory: shared.memory, port: ways.port1 }, [ways.port1]);
    });
    const worker = new Worker(new URL("./core.worker.ts", import.meta.url), { type: "module", name: "core" });
    worker.postMessage({ load: { memory: shared.memory, port: ways.port2, publicKey } }, [ways.port2]);
    return new Worked(worker, onHalted);
  }

  ask(ask: Ask): Promise<unknown> {
    const id = this.next++;
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject });
      this.worker.postMessage({ id, ask });
    });
  }
}

export class Owner {
  private readonly channel = new BroadcastChannel(channelName);
  private readonly waiting = new Map<
    string,
    { ask: Ask; resolve: (answer: unknown) => void; reject: (error: Error) => void }
  >();
  private own: Promise<Worked> | null = null;
  // Told when the core has stopped in the middle of something and the app has to start anew.
  onHalted: () => void = () => undefined;
  // Told when another tab, or an exchange, has changed the records.
  onChanged: () => void = () => undefined;

  constructor() {
    this.channel.onmessage = (event: MessageEvent<Word>) => this.hear(event.data);
    void navigator.locks.request(lockName, () => {
      this.own = Worked.load(() => this.onHalted());
      this.channel.postMessage({ kind: "owner" } satisfies Word);
      // These were asked of the tab before, or of nobody yet. A writing call may have been carried out: we never send it
      // twice, and the screen shows the person whether it is there.
      for (const [id, one] of this.waiting) {
        this.waiting.delete(id);
        if (mayHaveBeenDone(one.ask)) one.reject(new CallFailed(0, words.tabClosed));
        else this.own.then((worked) => worked.ask(one.ask)).then(one.resolve, one.reject);
      }
      return new Promise(() => undefined); // Until this tab goes.
    });
  }

  ask(ask: Ask): Promise<unknown> {
    if (this.own) return this.own.then((worked) => worked.ask(ask));
    const id = crypto.randomUUID();
    return new Promise((resolve, reject) => {
      // Only a question that does not wait for the network is quick.
      const isQuick = ask.op === "call" || ask.op === "start";
      const timer = isQuick
        ? setTimeout(() => {
            this.waiting.delete(id);
            reject(new CallFailed(0, words.tabClosed));
          }, answerMs)
        : undefined;
      const settled = (end: (value: never) => void) => (value: unknown) => {
        clearTimeout(timer);
        end(value as never);
      };
      this.waiting.set(id, { ask, resolve: settled(resolve), reject: settled(reject) });
      this.channel.postMessage({ kind: "ask", id, ask } satisfies Word);
    });
  }

  tellChanged(): void {
    this.channel.postMessage({ kind: "changed" } satisfies Word);
    this.onChanged();
  }

  private hear(word: Word): void {
    switch (word.kind) {
      case "changed":
        this.onChanged();
        return;
      case "ask":
        void this.own
          ?.then((worked) => worked.ask(word.ask))
          .then(
            (answer) => this.channel.postMessage({ kind: "answer", id: word.id, answer } satisfies Word),
            (error: unknown) => {
              const { code, message } =
                error instanceof CallFailed ? error : { code: 0, message: String(error) };
              this.channel.postMessage({
                kind: "answer",
                id: word.id,
                failure: { code, message },
              } satisfies Word);
            },
          );
        return;
      case "answer": {
        const one = this.waiting.get(word.id);
        this.waiting.delete(word.id);
        if (word.failure) one?.reject(new CallFailed(word.failure.code, word.failure.message));
        else one?.resolve(word.answer);
        return;
      }
      case "owner":
        // A tab that asked while nobody answered asks the new one. Reading is harmless to repeat; a write is not.
        for (const [id, one] of this.waiting) {
          if (!mayHaveBeenDone(one.ask))
            this.channel.postMessage({ kind: "ask", id, ask: one.ask } satisfies Word);
        }
    }
  }
}
