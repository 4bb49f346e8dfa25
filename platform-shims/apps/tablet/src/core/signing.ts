// The shared memory between the core's worker, which waits, and the signer, which signs.

const headBytes = 8;
const textBytesMax = 64 * 1024;
const waitMs = 10_000;

enum State {
  idle = 0,
  asked = 1,
  signed = 2,
  refused = 3,
}

export class Shared {
  private readonly head: Int32Array;
  private readonly bytes: Uint8Array;

  constructor(readonly memory: SharedArrayBuffer) {
    this.head = new Int32Array(memory, 0, 2);
    this.bytes = new Uint8Array(memory, headBytes);
  }

  static make(): Shared {
    return new Shared(new SharedArrayBuffer(headBytes + textBytesMax));
  }

  // The core's side: 64 bytes, or null when nobody signed.
  sign(text: Uint8Array, port: MessagePort): Uint8Array | null {
    if (text.length > textBytesMax) return null;
    this.bytes.set(text);
    this.head[1] = text.length;
    Atomics.store(this.head, 0, State.asked);
    port.postMessage(null);
    Atomics.wait(this.head, 0, State.asked, waitMs);
    const signed = Atomics.load(this.head, 0) === (State.signed as number);
    Atomics.store(this.head, 0, State.idle);
    return signed ? this.bytes.slice(0, 64) : null;
  }

  // The signer's side. WebCrypto takes no shared memory, so these are copies.
  text(): Uint8Array<ArrayBuffer> {
    const text = new Uint8Array(this.head[1] ?? 0);
    text.set(this.bytes.subarray(0, text.length));
    return text;
  }
  answer(signature: Uint8Array | null): void {
    if (signature) this.bytes.set(signature);
    Atomics.store(this.head, 0, signature ? State.signed : State.refused);
    Atomics.notify(this.head, 0);
  }
}
