// The core's module as a browser's worker has it, in node: files, key and clock are of this program, calls and answers as in
// consumer_c/main.c.
//
//   node main.mjs MODULE.mjs DATABASE KEY CALLS > ANSWERS
import { createPrivateKey, createPublicKey, sign, webcrypto } from "node:crypto";
import { closeSync, fstatSync, fsyncSync, ftruncateSync, openSync, readFileSync, readSync, writeFileSync, writeSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modulePath, database, keyPath, callsPath] = process.argv.slice(2);
const moduleUrl = pathToFileURL(resolve(modulePath));

// A worker has these, and node may not.
globalThis.self = { location: { href: moduleUrl.href } };
globalThis.crypto ??= webcrypto;
// The module asks the browser's clock; the same on every run, so that answers can be compared.
let nowMs = 1_790_000_000_000;
Date.now = () => (nowMs += 1000);

// A synchronous access handle, over a file of the disk.
function handleOf(path) {
  closeSync(openSync(path, "a")); // Made where it is not there yet.
  const descriptor = openSync(path, "r+");
  return {
    read: (into, { at }) => readSync(descriptor, into, 0, into.length, at),
    write: (from, { at }) => writeSync(descriptor, from, 0, from.length, at),
    truncate: (size) => ftruncateSync(descriptor, size),
    flush: () => fsyncSync(descriptor),
    getSize: () => fstatSync(descriptor).size,
  };
}
const files = ["", "-wal", "-journal"].map((end) => ({ name: `/records.db${end}`, handle: handleOf(database + end) }));

const pkcs8OfEd25519 = Buffer.from("302e020100300506032b657004220420", "hex"); // RFC 8410; the key's 32 bytes come behind it.
const key = createPrivateKey({ key: Buffer.concat([pkcs8OfEd25519, readFileSync(keyPath)]), format: "der", type: "pkcs8" });
const publicKey = createPublicKey(key).export({ format: "der", type: "spki" }).subarray(-32);

const { default: createModule } = await import(moduleUrl.href);
const core = await createModule({
  files,
  publicKey,
  sign: (text) => sign(null, text, key),
  wasmBinary: readFileSync(new URL("wrackline-core.wasm", moduleUrl)),
});

function replyAt(place) {
  return core.HEAPU8.slice(place, place + core._wrackline_reply_size());
}
function call(bytes) {
  const place = core._malloc(Math.max(1, bytes.length));
  core.HEAPU8.set(bytes, place);
  const reply = replyAt(core._wrackline_call(place, bytes.length));
  core._free(place);
  return reply;
}

const opened = replyAt(core._wrackline_open());
if (opened.length > 0) {
  console.error(`consumer_wasm: the database was not opened: ${Buffer.from(opened)}`);
  process.exit(1);
}
const calls = readFileSync(callsPath);
const answers = [];
for (let at = 0; at < calls.length; ) {
  const size = calls.readUInt32LE(at);
  const reply = call(calls.subarray(at + 4, at + 4 + size));
  const replySize = Buffer.alloc(4);
  replySize.writeUInt32LE(reply.length);
  answers.push(replySize, reply);
  at += 4 + size;
}
core._wrackline_close();
writeFileSync(1, Buffer.concat(answers));
