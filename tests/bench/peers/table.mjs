// The table and the chart of run.sh: table.mjs SCRATCH BUILD_DIR
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const [scratch, build] = process.argv.slice(2);
const sides = JSON.parse(readFileSync(join(scratch, "wrackline.json"), "utf8"));
for (const name of readdirSync(scratch).filter((name) => name.endsWith(".jsonl"))) {
  const lines = readFileSync(join(scratch, name), "utf8").trim().split("\n");
  sides[name.slice(0, -6)] = Object.assign({}, ...lines.map((line) => JSON.parse(line)));
}
const limits = JSON.parse(readFileSync(join(scratch, "limits.json"), "utf8"));

const columns = [
  ["wrackline", "Wrackline"],
  ["sqlite", "plain SQLite"],
  ["yjs", "Yjs"],
  ["loro", "Loro"],
  ["automerge", "Automerge"],
  ["pouchdb", "PouchDB ¹"],
].filter(([key]) => sides[key]);
const measures = [
  ["single_p50_us", "one record, durable: p50, µs", 0, "less"],
  ["batch_per_s", "batches of 1000: records/s", 0, "more"],
  ["merge_ms", "merge of 50,000 foreign changes, 2 % of them concurrent: ms", 0, "less"],
  ["merge_peak_mib", "peak memory of that merge, MiB", 0, "less"],
  ["wire_bytes", "on the wire, bytes a record", 1, "less"],
  ["wire_zstd_bytes", "the same through zstd -3", 1, "less"],
  ["disk_bytes", "on the disk, bytes a record", 0, "less"],
  ["open_ms", "cold open to the first answer, ms", 1, "less"],
  ["query_ms", "what each of 10 animals ate each day, of all: ms", 1, "less"],
];

const shown = (value, digits) =>
  value === undefined || value === null ? "–" : value.toLocaleString("en", { minimumFractionDigits: digits, maximumFractionDigits: digits });
const rows = measures.map(([key, words, digits]) => [words, ...columns.map(([side]) => shown(sides[side][key], digits))]);
const header = ["", ...columns.map(([, name]) => name)];
const widths = header.map((_, i) => Math.max(...[header, ...rows].map((row) => row[i].length)));
const lineOf = (row) => `| ${row.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]) : cell.padStart(widths[i]))).join(" | ")} |`;
const rule = `|${widths.map((w, i) => (i === 0 ? "-".repeat(w + 2) : `${"-".repeat(w + 1)}:`)).join("|")}|`;
const limitsText = Object.entries(limits)
  .map(([name, value]) => `${name} ${shown(value, value < 100 ? 1 : 0)}`)
  .join(", ");
const table = `${[lineOf(header), rule, ...rows.map(lineOf)].join("\n")}

¹ Its LevelDB adapter answers before the disk has it.
Wrackline's figures are with signatures, hash chains, the trail and what its questions need; those of the others have none of these.
Limits of this machine: ${limitsText}.
`;
console.log(table);
writeFileSync(join(build, "peers.md"), table);

// One row of bars a measure, on a scale of powers of ten: the figures are orders of magnitude apart.
const names = { bar: 15, row: 15 * columns.length + 34, left: 108, width: 560 };
const colours = ["#12506b", "#8a9aa3", "#b06a1c", "#5f7f36", "#8b4a7a", "#a3862a"];
const parts = [];
let y = 46;
for (const [key, words, digits, better] of measures) {
  const values = columns.map(([side]) => sides[side][key]).filter((v) => v !== undefined && v !== null);
  const low = Math.floor(Math.log10(Math.min(...values)) - 0.01);
  const high = Math.log10(Math.max(...values));
  parts.push(`<text x="8" y="${y}" class="what">${words} (${better} is better)</text>`);
  y += 8;
  columns.forEach(([side, name], i) => {
    const value = sides[side][key];
    if (value === undefined || value === null) return;
    const width = Math.max(2, ((Math.log10(value) - low) / (high - low || 1)) * names.width);
    parts.push(`<text x="${names.left - 6}" y="${y + 11}" class="name">${name}</text>`);
    parts.push(`<rect x="${names.left}" y="${y}" width="${width.toFixed(1)}" height="12" fill="${colours[i]}"/>`);
    parts.push(`<text x="${(names.left + width + 5).toFixed(1)}" y="${y + 11}">${shown(value, digits)}</text>`);
    y += names.bar;
  });
  y += 24;
}
const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 760 ${y + 16}" role="img" aria-label="Wrackline beside plain SQLite and sync libraries">
<style>text{font:11px sans-serif;fill:#22303a}.name{text-anchor:end}.what,.title{font-weight:bold}.title{font-size:14px}</style>
<rect width="760" height="${y + 16}" fill="#fff"/>
<text x="8" y="22" class="title">The same work on one machine; bars on a scale of powers of ten</text>
${parts.join("\n")}
<text x="8" y="${y}">¹ Its LevelDB adapter answers before the disk has it.</text>
</svg>
`;
writeFileSync(join(build, "peers.svg"), svg);
