// Signs for the core's worker. The core needs its signature at once, WebCrypto gives a promise: so the core's worker writes
// the text into shared memory, asks here, and waits asleep until the signature stands there.
//
// Shared memory (see signing.ts): a state, a length, then the text or the signature.
import { deviceKey } from "./key";
import { Shared } from "./signing";

addEventListener("message", (event: MessageEvent<{ memory: SharedArrayBuffer; port: MessagePort }>) => {
  const shared = new Shared(event.data.memory);
  const key = deviceKey();
  event.data.port.onmessage = () => {
    void (async () => {
      try {
        const { privateKey } = await key;
        shared.answer(
          new Uint8Array(await crypto.subtle.sign({ name: "Ed25519" }, privateKey, shared.text())),
        );
      } catch {
        shared.answer(null);
      }
    })();
  };
  void key.then(
    ({ publicKey }) => postMessage({ publicKey }),
    (error: unknown) => postMessage({ failure: String(error) }),
  );
});
