// How fast the tablet app is, with a large centre's records in the browser's own files. Prints figures and asserts nothing about them.
//
//   node tests/tablet/bench.mjs BUILD_DIR APP_DIR SHOTS_DIR [DAYS]       as ./tests/run browser-bench does
//
// Times are wall-clock milliseconds in headless Chromium on this machine, hub and browser side by side on it; a tablet differs.
import { readdirSync, readFileSync, statSync } from "node:fs";
import path from "node:path";
import { brotliCompressSync, constants } from "node:zlib";
import { options, play, sleep } from "./world.mjs";

const days = process.argv[5] ?? "1500";
const line = (what, value, unit, target = "") => console.log(`${what.padEnd(62)}${value.padStart(10)}  ${unit}${target === "" ? "" : `  target ${target}`}`);
const ms = (value) => value.toFixed(1);
const sorted = (values) => [...values].sort((a, b) => a - b);
const median = (values) => sorted(values)[Math.floor(values.length / 2)];
const at95 = (values) => sorted(values)[Math.floor(values.length * 0.95)];

function bytes(app) {
  const brotli = (file) => brotliCompressSync(readFileSync(file), { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } }).length;
  const files = readdirSync(app, { recursive: true }).map((name) => path.join(app, name)).filter((name) => statSync(name).isFile());
  const core = files.filter((name) => name.endsWith(".wasm"));
  const sum = (list) => list.reduce((total, file) => total + brotli(file), 0);
  line("core, brotli", String(sum(core)), "B", "900000");
  line("all that is fetched, brotli", String(sum(files)), "B");
}

await play(options(), async (world) => {
  bytes(world.app);
  world.foundCentre(days);
  await world.startHub();
  const page = await world.open("bench", { goto: false });
  let began = performance.now();
  await page.goto(world.address);
  await page.getByLabel("Code, ten letters").waitFor();
  line("first load, until the first screen", ms(performance.now() - began), "ms");
  await page.evaluate(() => localStorage.setItem("wrackline-measure", ""));
  await page.reload();
  began = performance.now();
  await page.getByLabel("Code, ten letters").fill(world.code());
  await page.getByLabel("What this tablet is called").fill("bench");
  await page.getByRole("button", { name: "Enrol" }).click();
  await page.getByText("Who is at this tablet?").waitFor({ timeout: 600_000 });
  line("enrolment and the first exchange", ms(performance.now() - began), "ms");

  const ask = (call, answered, times) =>
    page.evaluate(
      async ([call, answered, times]) => {
        const taken = [];
        for (let i = 0; i < times; ++i) {
          const from = performance.now();
          await window.wracklineClient.ask(call, answered);
          taken.push(performance.now() - from);
        }
        return taken;
      },
      [call, answered, times],
    );
  const status = await page.evaluate(async () => {
    const { changes } = await window.wracklineClient.ask({ case: "status", value: {} }, "status");
    const { records } = await window.wracklineClient.ask({ case: "digest", value: {} }, "digest");
    return { changes: String(changes), records: String(records) };
  });
  line("records (changes) on this tablet", `${status.records}`, `(${status.changes})`);

  await page.evaluate(() => navigator.serviceWorker.ready);
  await sleep(2000);
  const loads = [];
  for (let i = 0; i < 7; ++i) {
    began = performance.now();
    await page.reload();
    await page.getByRole("button", { name: "Tove Holm" }).waitFor();
    loads.push(performance.now() - began);
  }
  line("repeat load, until people can be tapped, median of 7", ms(median(loads)), "ms", "1500");

  const day = 20757; // 2026-10-31, the last of the records.
  const animal = await page.evaluate(async () => {
    const list = await window.wracklineClient.ask({ case: "list", value: { kind: 5, allSubjects: true } }, "list");
    return list.records.find((view) => !view.struck).record;
  });
  line("open and count: status, median of 20", ms(median(await ask({ case: "status", value: {} }, "status", 20))), "ms", "200");
  line("round of a day, median of 20", ms(median(await ask({ case: "round", value: { day, zone: [{ fromMs: 0n, utcOffsetMin: 60 }] } }, "round", 20))), "ms", "200");
  line("28-day intake of one animal, median of 20", ms(median(await ask({ case: "intake", value: { animal, firstDay: day - 27, lastDay: day } }, "intake", 20))), "ms", "200");
  line("review queue, median of 20", ms(median(await ask({ case: "review", value: {} }, "review", 20))), "ms");

  const taps = await page.evaluate(
    async ([animal, day]) => {
      const client = window.wracklineClient;
      const people = await client.ask({ case: "list", value: { kind: 2 } }, "list");
      client.person = { record: people.records.find((view) => new TextDecoder().decode(view.fields).includes("Ines")).record, name: "", session: new Uint8Array() };
      const taken = [];
      for (let i = 0; i < 200; ++i) {
        const from = performance.now();
        // The entries are of the day after the last, which is closed and would be asked about.
        await client.write(window.wracklineObservation(animal, day + 1, `seen ${i}`), "log");
        taken.push(performance.now() - from);
      }
      return taken;
    },
    [animal, day],
  );
  line("tap to durable: one entry, p50 of 200", ms(median(taps)), "ms", "20");
  line("tap to durable: one entry, p95 of 200", ms(at95(taps)), "ms");
});
