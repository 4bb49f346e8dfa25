// Automerge: an object of objects; its incremental saves in a flushed log file.
import * as A from "@automerge/automerge";
import { join } from "node:path";
import { FlushedLog } from "./workload.mjs";

export class Peer {
  static async open(folder) {
    const peer = new Peer();
    peer.log = new FlushedLog(join(folder, "updates"));
    const updates = [...peer.log.read()];
    // The same first change for all, so that they share one object of portions.
    const first = A.change(A.init({ actor: "00" }), { time: 0 }, (doc) => void (doc.portions = {}));
    peer.doc = updates.length > 0 ? A.load(Buffer.concat(updates)) : A.load(A.save(first));
    if (updates.length === 0) peer.log.append(A.save(peer.doc));
    peer.written = A.getHeads(peer.doc);
    return peer;
  }
  insert(pairs) {
    this.doc = A.change(this.doc, (doc) => {
      for (const [id, row] of pairs) doc.portions[id] = row;
    });
  }
  edit(id, left_mg) {
    this.doc = A.change(this.doc, (doc) => void (doc.portions[id].left_mg = left_mg));
  }
  commit() {
    this.log.append(A.saveSince(this.doc, this.written));
    this.written = A.getHeads(this.doc);
  }
  state() {
    return Buffer.from(JSON.stringify(A.getHeads(this.doc)));
  }
  since(state) {
    return A.saveSince(this.doc, JSON.parse(Buffer.from(state).toString()));
  }
  merge(bytes) {
    this.doc = A.loadIncremental(this.doc, bytes);
  }
  row(id) {
    return this.doc.portions[id];
  }
  *rows() {
    yield* Object.values(this.doc.portions);
  }
  close() {
    this.log.close();
  }
}
