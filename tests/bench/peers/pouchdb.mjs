// PouchDB on its LevelDB adapter: a document a portion. It does not flush when it answers, which the table says.
import PouchDB from "pouchdb";
import { join } from "node:path";

export const isFlushed = false;

export class Peer {
  static async open(folder) {
    const peer = new Peer();
    peer.db = new PouchDB(join(folder, "db"));
    await peer.db.info();
    peer.pending = [];
    return peer;
  }
  async insert(pairs) {
    this.pending.push(...pairs.map(([_id, row]) => ({ _id, ...row })));
  }
  async edit(id, left_mg) {
    this.pending.push({ ...(await this.db.get(id)), left_mg });
  }
  async commit() {
    const answers = await this.db.bulkDocs(this.pending);
    const failed = answers.find((answer) => answer.error);
    if (failed) throw new Error(failed.message);
    this.pending = [];
  }
  async state() {
    return Buffer.from(String((await this.db.info()).update_seq));
  }
  // A replication would carry these: documents with their revisions, as JSON.
  async since(state) {
    const changes = await this.db.changes({ since: Number(Buffer.from(state).toString()) });
    const found = await this.db.bulkGet({ docs: changes.results.map((c) => ({ id: c.id, rev: c.changes[0].rev })), revs: true });
    return Buffer.from(JSON.stringify(found.results.map((result) => result.docs[0].ok)));
  }
  async merge(bytes) {
    await this.db.bulkDocs(JSON.parse(Buffer.from(bytes).toString()), { new_edits: false });
  }
  async row(id) {
    return this.db.get(id).catch(() => undefined);
  }
  async *rows() {
    for (const row of (await this.db.allDocs({ include_docs: true })).rows) yield row.doc;
  }
  async close() {
    await this.db.close();
  }
}
