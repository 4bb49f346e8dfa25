// A small world for runs of the tablet app in a real browser: a hub that serves it, a desk that speaks to the hub from the
// command line, and browsers, each with a profile of its own on the disk.
import { execFileSync, spawn } from "node:child_process";
import { createHash, X509Certificate } from "node:crypto";
import { copyFileSync, mkdtempSync, mkdirSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
export const ofApp = createRequire(path.join(root, "platform-shims/apps/tablet/package.json"));
const { chromium } = ofApp("playwright-core");

// Run in the page, where its own script rules would not let it in as a file.
const axeSource = readFileSync(ofApp.resolve("axe-core/axe.min.js"), "utf8");

export const portrait = { width: 820, height: 1180 };
export const landscape = { width: 1180, height: 820 };
// The day at the facility, so many days from today: "2026-03-09". Near midnight it is another than in UTC.
export function dayFromToday(days) {
  const today = new Date().toLocaleDateString("sv-SE", { timeZone: "Europe/Oslo" });
  return new Date(Date.parse(today) + days * 86_400_000).toISOString().slice(0, 10);
}
export const sleep = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
const run = (program, ...args) =>
  execFileSync(program, args, { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], maxBuffer: 1 << 28 });

export class World {
  // `build` has the hub and the command line, `app` the built app, `shots` takes the pictures.
  constructor({ build, app, shots }) {
    this.wrack = path.join(build, "platform-shims/apps/cli/wrack");
    this.server = path.join(build, "sync-server/wrackline-server");
    this.demoData = path.join(build, "platform-shims/apps/demo-data/wrackline-demo-data");
    this.app = app;
    this.shots = shots;
    this.work = mkdtempSync(path.join(tmpdir(), "wrackline-tablet-"));
    this.hubDir = path.join(this.work, "hub");
    this.hub = null;
    this.port = 0;
    this.browsers = new Map();
    mkdirSync(shots, { recursive: true });
  }

  // A new facility, with Runa Dahl as its admin.
  found(name = "Skerry Bay Rescue", zone = "Europe/Oslo", host = "127.0.0.1") {
    run(this.server, "init", "--dir", this.hubDir, "--name", name, "--time-zone", zone, "--host", host, "--admin", "Runa Dahl", "--no-proofs");
    this.pinApp();
  }
  // The key that signed the app, as the app itself says it: enough here, where both were made by the same hand.
  pinApp() {
    const [, key] = /^key (\w+)$/m.exec(readFileSync(path.join(this.app, "release.txt"), "utf8"));
    run(this.server, "pin-app", "--dir", this.hubDir, key);
  }
  // A centre with records of so many days, up to 2026-10-31, and its hub.
  foundCentre(days) {
    const centre = path.join(this.work, "centre");
    run(this.demoData, centre, "--days", days);
    this.hubDir = path.join(centre, "hub");
    // It comes without a certificate, since a private key must not follow from a seed.
    const other = path.join(this.work, "other");
    run(this.server, "init", "--dir", other, "--name", "Other", "--time-zone", "UTC", "--host", "127.0.0.1", "--admin", "Other");
    for (const file of ["tls-cert.pem", "tls-key.pem"]) copyFileSync(path.join(other, file), path.join(this.hubDir, file));
    this.pinApp();
  }
  serverRun(...args) {
    return run(this.server, ...args);
  }
  async startHub(app = this.app) {
    const portFile = path.join(this.work, "port");
    rmSync(portFile, { force: true });
    const args = ["serve", "--dir", this.hubDir, "--listen", `127.0.0.1:${this.port}`, "--port-file", portFile, "--app", app];
    this.hub = spawn(this.server, args, { stdio: ["ignore", "ignore", "pipe"] });
    let log = "";
    this.hub.stderr.on("data", (text) => (log += text));
    for (let tried = 0; tried < 200; ++tried) {
      await sleep(100);
      try {
        this.port = Number(readFileSync(portFile, "utf8").trim());
        if (this.port > 0) return;
      } catch {
        if (this.hub.exitCode !== null) throw new Error(`the hub did not start: ${log}`);
      }
    }
    throw new Error("the hub did not say its port");
  }
  async stopHub(signal = "SIGTERM") {
    if (!this.hub || this.hub.exitCode !== null) return;
    const gone = new Promise((resolve) => this.hub.once("exit", resolve));
    this.hub.kill(signal);
    await gone;
  }
  get address() {
    return `https://127.0.0.1:${this.port}/`;
  }
  code() {
    return run(this.server, "code", "--dir", this.hubDir).split("\n")[0];
  }

  // A device of the command line: enrolled on its first use.
  device(name) {
    const dir = path.join(this.work, name);
    if (!this.devices) this.devices = new Set();
    if (!this.devices.has(name)) {
      run(this.wrack, "--dir", dir, "enrol", "--hub", `127.0.0.1:${this.port}`, "--cert", path.join(this.hubDir, "tls-cert.pem"), "--code", this.code(), "--device", name);
      this.devices.add(name);
    }
    return (who, ...args) => run(this.wrack, "--dir", dir, "--as", who, ...args);
  }

  // A command of such a device that reads PINs from lines.
  typed(lines, name, who, ...args) {
    const all = ["--dir", path.join(this.work, name), "--as", who, ...args];
    return execFileSync(this.wrack, all, { encoding: "utf8", input: lines });
  }

  // The hub's own certificate is trusted by its key, which costs less than an authority for each browser (trust.mjs does that); all else
  // is checked as always.
  keyHash() {
    const certificate = new X509Certificate(readFileSync(path.join(this.hubDir, "tls-cert.pem")));
    return createHash("sha256").update(certificate.publicKey.export({ type: "spki", format: "der" })).digest("base64");
  }
  // Opens the browser of that name, with the profile it had before. Whatever the page says as an error is printed and kept
  // in `complaints`.
  async open(name, { viewport = portrait, locale = "en-GB", trusted = true, args = [], scheme = "light", goto = true, home = "" } = {}) {
    const browser = await chromium.launchPersistentContext(path.join(this.work, `profile-${name}`), {
      executablePath: "/usr/bin/chromium",
      ...(home ? { env: { ...process.env, HOME: home } } : {}),
      args: ["--no-sandbox", ...(trusted ? [`--ignore-certificate-errors-spki-list=${this.keyHash()}`] : []), ...args],
      viewport,
      locale,
      colorScheme: scheme,
    });
    this.browsers.set(name, browser);
    browser.setDefaultTimeout(15_000);
    const page = browser.pages()[0] ?? (await browser.newPage());
    this.listen(page);
    if (goto) await page.goto(this.address);
    return page;
  }
  complaints = [];
  listen(page) {
    page.on("pageerror", (error) => {
      this.complaints.push(String(error));
      console.log(`  page: ${error}`);
    });
    page.on("console", (message) => {
      if (message.type() === "error" && !/Failed to load resource|net::ERR/.test(message.text())) {
        this.complaints.push(message.text());
        console.log(`  console: ${message.text()}`);
      }
    });
  }
  async close(name) {
    await this.browsers.get(name)?.close();
    this.browsers.delete(name);
  }
  // All processes of that browser at once, as when a battery is empty.
  async kill(name) {
    const profile = path.join(this.work, `profile-${name}`);
    for (const pid of readdirSync("/proc").filter((entry) => /^\d+$/.test(entry))) {
      try {
        if (readFileSync(`/proc/${pid}/cmdline`, "utf8").includes(profile)) process.kill(Number(pid), "SIGKILL");
      } catch {
        // It has gone meanwhile.
      }
    }
    this.browsers.delete(name);
    rmSync(path.join(profile, "SingletonLock"), { force: true });
    await sleep(300);
  }

  async enrol(page, deviceName) {
    await page.getByLabel("Code, ten letters").fill(this.code());
    await page.getByLabel("What this tablet is called").fill(deviceName);
    await page.getByRole("button", { name: "Enrol" }).click();
    await page.getByText("Who is at this tablet?").waitFor({ timeout: 20_000 });
  }
  // Signs in by the name's tile, and by PIN where there is one, and leaves the first walk where it is shown.
  async signIn(page, name, pin = "") {
    await page.getByRole("button", { name }).first().click();
    for (const digit of pin) await page.getByRole("button", { name: digit, exact: true }).click();
    if (pin !== "") await page.getByRole("button", { name: "✓" }).click();
    await page.locator("nav.menu").waitFor();
  }
  shot(page, name) {
    return page.screenshot({ path: path.join(this.shots, `${name}.png`), fullPage: true });
  }

  // How all open pages look when a step has failed.
  async shotsOfFailure(name) {
    let count = 0;
    for (const browser of this.browsers.values()) {
      for (const page of browser.pages()) await this.shot(page, `failed-${name}-${count++}`).catch(() => undefined);
    }
  }

  // A screen as people get it: pictures in both orientations, and what axe-core finds serious in it is a failure.
  async look(page, name) {
    for (const [word, viewport] of [
      ["landscape", landscape],
      ["portrait", portrait],
    ]) {
      await page.setViewportSize(viewport);
      await this.shot(page, `${name}-${word}`);
    }
    if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axeSource);
    const { violations } = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
    const serious = violations.filter(({ impact }) => impact === "serious" || impact === "critical");
    if (serious.length > 0)
      throw new Error(`axe-core on ${name}: ${serious.map(({ id, nodes }) => `${id} (${nodes[0]?.target.join(" ")})`).join("; ")}`);
    // Nothing is cut off at the side, and what is to be hit with a glove is large enough.
    const faults = await page.evaluate(() => {
      const found = [];
      if (document.documentElement.scrollWidth > innerWidth + 1) found.push("the page is wider than the screen");
      for (const button of document.querySelectorAll("button, input:not([type=checkbox]):not([type=radio]), select, summary")) {
        const { width, height } = button.getBoundingClientRect();
        if (width > 0 && height < 47.5) found.push(`${button.textContent || button.id} is ${Math.round(height)} px high`);
      }
      return found;
    });
    if (faults.length > 0) throw new Error(`${name}: ${faults.join("; ")}`);
  }

  async end() {
    for (const browser of this.browsers.values()) await browser.close().catch(() => undefined);
    await this.stopHub();
    rmSync(this.work, { recursive: true, force: true });
  }
}

let played = null;
let failures = 0;
let stopped = false;
// One test. The next step builds on it, so the first that fails ends the run, unless `alone`.
export async function step(name, act, { alone = false } = {}) {
  if (stopped) return;
  try {
    await act();
    console.log(`ok ${name}`);
  } catch (error) {
    failures += 1;
    if (!alone) stopped = true;
    console.log(`not ok ${name}: ${String(error).split("\n").slice(0, 6).join(" ")}`);
    await played?.shotsOfFailure(name);
  }
}
export function expect(wanted, said) {
  if (!said.includes(wanted)) throw new Error(`"${wanted}" is not in: ${said.slice(0, 400)}`);
}
// Makes the world, plays, and cleans up. Ends the process.
export async function play(options, act) {
  const world = new World(options);
  played = world;
  try {
    await act(world);
  } catch (error) {
    failures += 1;
    console.log(`not ok the_world_was_made: ${String(error).split("\n").slice(0, 5).join(" ")}`);
  } finally {
    await world.end();
  }
  process.exit(failures === 0 ? 0 : 1);
}
// BUILD_DIR APP_DIR SHOTS_DIR of the command line.
export function options() {
  const [build, app, shots] = process.argv.slice(2, 5).map((name) => path.resolve(name));
  return { build, app, shots };
}
