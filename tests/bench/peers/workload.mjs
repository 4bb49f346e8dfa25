// The work of tests/bench/workload.h, number for number, and what all adapters need: a log file that is flushed.
import { closeSync, fsyncSync, openSync, readFileSync, readdirSync, statSync, writeSync } from "node:fs";
import { join } from "node:path";

export const SINGLE = 1000;
export const BATCH_RECORDS = 100_000;
export const BATCH = 1000;
export const SHARED = 1000; // Portions that both sides hold and both edit, without having seen each other's edit.
export const FOREIGN = 49_000;
export const MEALS_A_DAY = 4;

export function* portionRows(count, seed) {
  let state = BigInt(seed);
  const next = (n) => {
    state = BigInt.asUintN(64, state * 6364136223846793005n + 1442695040888963407n);
    return Number((state >> 33n) % BigInt(n));
  };
  for (let i = 0; i < count; ++i) {
    const tare_mg = 250_000;
    const gross_mg = tare_mg + 1000 * (50 + next(1500));
    const left_mg = next(3) === 0 ? 1000 * next(80) : 0;
    // When, who and on what device: a record core keeps these by itself, others in the record.
    yield { meal: Math.floor(i / 5), food: i % 5, gross_mg, tare_mg, left_mg, at_ms: 1_790_000_000_000 + i * 7000, by: 7, device: 3 };
  }
}

export const idOf = (i) => `p${i}`;
export const eatenOf = (row) => row.gross_mg - row.tare_mg - row.left_mg;
export const dayOf = (row) => Math.floor(row.meal / MEALS_A_DAY);

// This counts what everything adds up to on each day.
export class Days {
  #eaten = new Map();
  add(row) {
    const day = dayOf(row);
    this.#eaten.set(day, (this.#eaten.get(day) ?? 0) + eatenOf(row));
  }
  get size() {
    return this.#eaten.size;
  }
}

// Updates one after the other, each with its length; on the disk when append() returns.
export class FlushedLog {
  constructor(path) {
    this.path = path;
    this.file = openSync(path, "a+");
  }
  append(bytes) {
    const frame = Buffer.alloc(4 + bytes.length);
    frame.writeUInt32LE(bytes.length);
    frame.set(bytes, 4);
    writeSync(this.file, frame);
    fsyncSync(this.file);
  }
  *read() {
    const all = readFileSync(this.path);
    for (let at = 0; at < all.length; ) {
      const length = all.readUInt32LE(at);
      yield all.subarray(at + 4, at + 4 + length);
      at += 4 + length;
    }
  }
  close() {
    closeSync(this.file);
  }
}

export function bytesOn(path) {
  const stat = statSync(path);
  if (!stat.isDirectory()) return stat.size;
  return readdirSync(path).reduce((sum, name) => sum + bytesOn(join(path, name)), 0);
}
