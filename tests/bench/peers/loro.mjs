// Loro: a map of maps; its updates in a flushed log file.
import { LoroDoc, LoroMap, VersionVector } from "loro-crdt";
import { join } from "node:path";
import { FlushedLog } from "./workload.mjs";

export class Peer {
  static async open(folder) {
    const peer = new Peer();
    peer.log = new FlushedLog(join(folder, "updates"));
    peer.doc = new LoroDoc();
    const updates = [...peer.log.read()];
    if (updates.length > 0) peer.doc.importBatch(updates);
    peer.portions = peer.doc.getMap("portions");
    peer.written = peer.doc.version();
    return peer;
  }
  insert(pairs) {
    for (const [id, row] of pairs) {
      const map = this.portions.setContainer(id, new LoroMap());
      for (const [name, value] of Object.entries(row)) map.set(name, value);
    }
  }
  edit(id, left_mg) {
    this.portions.get(id).set("left_mg", left_mg);
  }
  commit() {
    this.doc.commit();
    this.log.append(this.doc.export({ mode: "update", from: this.written }));
    this.written = this.doc.version();
  }
  state() {
    return this.doc.version().encode();
  }
  since(state) {
    return this.doc.export({ mode: "update", from: VersionVector.decode(state) });
  }
  merge(bytes) {
    this.doc.import(bytes);
  }
  row(id) {
    return this.portions.get(id)?.toJSON();
  }
  *rows() {
    yield* Object.values(this.portions.toJSON());
  }
  close() {
    this.log.close();
  }
}
