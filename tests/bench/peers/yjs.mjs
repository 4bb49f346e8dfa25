// Yjs: a map of maps; its updates in a flushed log file.
import { join } from "node:path";
import * as Y from "yjs";
import { FlushedLog } from "./workload.mjs";

export class Peer {
  static async open(folder) {
    const peer = new Peer();
    peer.log = new FlushedLog(join(folder, "updates"));
    peer.doc = new Y.Doc();
    for (const update of peer.log.read()) Y.applyUpdate(peer.doc, update);
    peer.portions = peer.doc.getMap("portions");
    peer.pending = [];
    peer.doc.on("update", (update) => peer.pending.push(update));
    return peer;
  }
  insert(pairs) {
    this.doc.transact(() => {
      for (const [id, row] of pairs) this.portions.set(id, new Y.Map(Object.entries(row)));
    });
  }
  edit(id, left_mg) {
    this.portions.get(id).set("left_mg", left_mg);
  }
  commit() {
    if (this.pending.length > 0) this.log.append(this.pending.length === 1 ? this.pending[0] : Y.mergeUpdates(this.pending));
    this.pending = [];
  }
  state() {
    return Y.encodeStateVector(this.doc);
  }
  since(state) {
    return Y.encodeStateAsUpdate(this.doc, state);
  }
  merge(bytes) {
    Y.applyUpdate(this.doc, bytes);
  }
  row(id) {
    return this.portions.get(id)?.toJSON();
  }
  *rows() {
    for (const row of this.portions.values())
      yield { meal: row.get("meal"), gross_mg: row.get("gross_mg"), tare_mg: row.get("tare_mg"), left_mg: row.get("left_mg") };
  }
  close() {
    this.log.close();
  }
}
