// One measure of one library, in a process of its own, as JSON: measure.mjs LIBRARY MEASURE FOLDER
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { BATCH, BATCH_RECORDS, Days, FOREIGN, SHARED, SINGLE, bytesOn, idOf, portionRows } from "./workload.mjs";

const [library, measure, folder] = process.argv.slice(2);
const { Peer } = await import(`./${library}.mjs`);
const from = () => performance.now();
const median = (values) => values.sort((a, b) => a - b)[Math.floor(values.length / 2)];
const pairs = (count, seed, first = 0) => [...portionRows(count, seed)].map((row, i) => [idOf(first + i), row]);

const measures = {
  // Each portion on the disk before the next.
  async single() {
    const peer = await Peer.open(folder);
    const times = [];
    for (const pair of pairs(SINGLE, 42)) {
      const begun = from();
      await peer.insert([pair]);
      await peer.commit();
      times.push((from() - begun) * 1000);
    }
    return { single_p50_us: median(times) };
  },
  async batch() {
    const peer = await Peer.open(folder);
    const rows = pairs(BATCH_RECORDS, 42);
    const begun = from();
    for (let i = 0; i < rows.length; i += BATCH) {
      await peer.insert(rows.slice(i, i + BATCH));
      await peer.commit();
    }
    const batch_per_s = rows.length / ((from() - begun) / 1000);
    await peer.close();
    return { batch_per_s, disk_bytes: bytesOn(folder) / rows.length };
  },
  // Opens what `batch` left, in a process that has read nothing else.
  async open() {
    const begun = from();
    const peer = await Peer.open(folder);
    let gross = 0;
    for (let i = 200; i < 220; ++i) gross += (await peer.row(idOf(i))).gross_mg;
    const open_ms = from() - begun;
    const times = [];
    for (let i = 0; i < 5; ++i) {
      const since = from();
      const days = new Days();
      for await (const row of peer.rows()) days.add(row);
      times.push(from() - since);
      if (days.size !== BATCH_RECORDS / 5 / 4) throw new Error(`${days.size} days`);
    }
    if (!(gross > 0)) throw new Error("nothing found");
    return { open_ms, query_ms: median(times) };
  },
  // Two sides that share some portions, have both edited them, and one of which has written many more.
  async prepare() {
    const mine = await Peer.open(join(folder, "mine"));
    const theirs = await Peer.open(join(folder, "theirs"));
    const nothing = await theirs.state();
    await mine.insert(pairs(SHARED, 7));
    await mine.commit();
    await theirs.merge(await mine.since(nothing));
    const shared = await theirs.state();
    const rows = pairs(FOREIGN, 8, SHARED);
    for (let i = 0; i < rows.length; i += BATCH) {
      await theirs.insert(rows.slice(i, i + BATCH));
      await theirs.commit();
    }
    for (let i = 0; i < SHARED; ++i) {
      await mine.edit(idOf(i), 1000 + 1000 * (i % 70));
      await theirs.edit(idOf(i), 2000 + 1000 * (i % 70));
    }
    await mine.commit();
    await theirs.commit();
    const wire = await theirs.since(shared);
    writeFileSync(join(folder, "wire"), wire);
    const zstd = spawnSync("zstd", ["-3", "-c", join(folder, "wire")], { maxBuffer: 1 << 30 });
    await mine.close();
    await theirs.close();
    const changes = FOREIGN + SHARED;
    return { wire_bytes: wire.length / changes, wire_zstd_bytes: zstd.status === 0 ? zstd.stdout.length / changes : null };
  },
  async merge() {
    const peer = await Peer.open(join(folder, "mine"));
    const wire = readFileSync(join(folder, "wire"));
    const begun = from();
    await peer.merge(wire);
    // The bytes that came must be on the disk too.
    if (peer.log) peer.log.append(wire);
    const merge_ms = from() - begun;
    if ((await peer.row(idOf(SHARED + FOREIGN - 1))) === undefined) throw new Error("the last portion is not there");
    return { merge_ms, merge_peak_mib: process.resourceUsage().maxRSS / 1024 };
  },
};
console.log(JSON.stringify(await measures[measure]()));
process.exit(0);
