// The tablet app in a real browser against a real hub: enrolled, used with no network, killed, opened again, exchanged.
//
//   node tests/tablet/run.mjs BUILD_DIR APP_DIR SCREENSHOT_DIR
//
// Prints `ok NAME` or `not ok NAME: why` for each step; a step that fails ends the run, since the next ones build on it.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import path from "node:path";
import { createHash, X509Certificate } from "node:crypto";

const [build, app, shots] = process.argv.slice(2).map((name) => path.resolve(name));
const root = path.resolve(import.meta.dirname ?? path.dirname(new URL(import.meta.url).pathname), "../..");
const { chromium } = createRequire(path.join(root, "platform-shims/tablet/package.json"))("playwright-core");
const wrack = path.join(build, "platform-shims/cli/wrack");
const server = path.join(build, "sync-server/wrackline-server");
const work = mkdtempSync(path.join(tmpdir(), "wrackline-tablet-"));
const hubDir = path.join(work, "hub");
mkdirSync(shots, { recursive: true });

let hub;
let browser;
let port = 0;
const sleep = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function startHub() {
  const portFile = path.join(work, "port");
  rmSync(portFile, { force: true });
  hub = spawn(server, ["serve", "--dir", hubDir, "--listen", `127.0.0.1:${port}`, "--port-file", portFile, "--app", app], {
    stdio: ["ignore", "ignore", "pipe"],
  });
  let log = "";
  hub.stderr.on("data", (text) => (log += text));
  for (let tried = 0; tried < 100; ++tried) {
    await sleep(100);
    try {
      port = Number(readFileSync(portFile, "utf8").trim());
      if (port > 0) return;
    } catch {
      if (hub.exitCode !== null) throw new Error(`the hub did not start: ${log}`);
    }
  }
  throw new Error("the hub did not say its port");
}
async function stopHub() {
  const gone = new Promise((resolve) => hub.once("exit", resolve));
  hub.kill("SIGTERM");
  await gone;
}
const run = (program, ...args) => execFileSync(program, args, { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
const desk = (...args) => run(wrack, "--dir", path.join(work, "desk"), "--as", "Tove Holm", ...args);
const code = () => run(server, "code", "--dir", hubDir).split("\n")[0];

// The hub's own certificate is trusted by its key, as a facility's authority would be; everything else is checked as always.
function keyHash() {
  const certificate = new X509Certificate(readFileSync(path.join(hubDir, "tls-cert.pem")));
  return createHash("sha256").update(certificate.publicKey.export({ type: "spki", format: "der" })).digest("base64");
}
async function openBrowser() {
  browser = await chromium.launchPersistentContext(path.join(work, "profile"), {
    executablePath: "/usr/bin/chromium",
    args: ["--no-sandbox", `--ignore-certificate-errors-spki-list=${keyHash()}`],
    viewport: { width: 820, height: 1180 },
    locale: "en-GB",
  });
  const page = browser.pages()[0] ?? (await browser.newPage());
  page.on("pageerror", (error) => console.log(`page: ${error}`));
  page.on("console", (message) => {
    if (message.type() === "error") console.log(`console: ${message.text()}`);
  });
  await page.goto(`https://127.0.0.1:${port}/`);
  return page;
}
const shot = (page, name) => page.screenshot({ path: path.join(shots, `${name}.png`), fullPage: true });

let failed = false;
async function step(name, act) {
  if (failed) return;
  try {
    await act();
    console.log(`ok ${name}`);
  } catch (error) {
    failed = true;
    console.log(`not ok ${name}: ${String(error).split("\n").slice(0, 6).join(" ")}`);
  }
}
const expect = (wanted, said) => {
  if (!said.includes(wanted)) throw new Error(`"${wanted}" is not in: ${said.slice(0, 400)}`);
};

let page;
try {
  run(server, "init", "--dir", hubDir, "--name", "Skerry Bay Rescue", "--time-zone", "Europe/Oslo", "--host", "127.0.0.1", "--admin", "Runa Dahl");
  await startHub();
  run(wrack, "--dir", path.join(work, "desk"), "enrol", "--hub", `127.0.0.1:${port}`, "--cert", path.join(hubDir, "tls-cert.pem"), "--code", code(), "--device", "desk");
  const admin = (...args) => run(wrack, "--dir", path.join(work, "desk"), "--as", "runa", ...args);
  admin("add", "person", "name=Tove Holm", "roles=officer,curator");
  admin("add", "person", "name=Ines Vik", "roles=keeper");
  desk("add", "pool", "name=Seal pool 1", "area=yard");
  desk("add", "animal", "name=Sila", "pool=Seal pool 1", "taxon=Halichoerus grypus");
  desk("add", "food", "name=herring");
  desk("add", "diet_plan", "animal=Sila", "first_day=2026-01-01", "approved_by=Tove Holm", "line=food=herring slot=08:30 mass=1.2kg", "line=food=herring slot=16:30 mass=1.2kg");
  desk("exchange");

  await step("the_hub_serves_the_app_and_a_code_lets_the_tablet_in", async () => {
    page = await openBrowser();
    await page.getByLabel("Code, ten letters").fill(code());
    await page.getByLabel("What this tablet is called").fill("pool tablet");
    await shot(page, "enrol");
    await page.getByRole("button", { name: "Enrol" }).click();
    await page.getByText("Who is at this tablet?").waitFor({ timeout: 20_000 });
    await shot(page, "people");
  });

  await step("the_day_shows_what_is_planned_by_pool", async () => {
    await page.getByRole("button", { name: "Ines Vik" }).click();
    await page.getByText("Seal pool 1").waitFor();
    await page.getByText("planned 1.2 kg").first().waitFor();
    await shot(page, "today");
  });

  await step("the_app_is_whole_without_a_network", async () => {
    await page.evaluate(() => navigator.serviceWorker.ready);
    await sleep(1000);
    await stopHub();
    await page.reload();
    await page.getByRole("button", { name: "Ines Vik" }).click();
    await page.getByText("Seal pool 1").waitFor();
  });

  await step("a_meal_is_weighed_and_kept_with_no_network", async () => {
    await page.getByRole("button", { name: /08:30/ }).click();
    await page.getByRole("button", { name: "weigh with the dish" }).click();
    await page.getByLabel("With dish, g").fill("1450");
    await page.getByLabel("Dish, g", { exact: true }).fill("250");
    await page.getByText("in all 1.2 kg").waitFor();
    await shot(page, "meal");
    await page.getByRole("button", { name: "Given" }).click();
    await page.getByText("The meal of Sila is on this tablet.").waitFor();
    await page.getByText("2 entries only here").waitFor();
    await shot(page, "saved");
  });

  await step("what_came_back_is_added_to_it", async () => {
    await page.getByRole("button", { name: /08:30.*done/ }).click();
    await page.getByLabel("Left, g").fill("80,5");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("3 entries only here").waitFor();
  });

  await step("a_killed_browser_loses_nothing_that_was_saved", async () => {
    const child = browser.browser()?.process?.();
    // The whole browser at once, as when a battery is empty.
    execFileSync("pkill", ["-KILL", "-f", path.join(work, "profile")]);
    void child;
    await sleep(500);
    await startHub();
    page = await openBrowser();
    await page.getByRole("button", { name: "Ines Vik" }).click();
    await page.getByText("done").first().waitFor();
  });

  await step("the_hub_gets_it_when_it_is_in_reach", async () => {
    await page.getByRole("button", { name: "Exchange" }).click();
    await page.getByText("the hub holds all that was written here").waitFor({ timeout: 20_000 });
    await shot(page, "exchanged");
    desk("exchange");
    const meals = JSON.parse(desk("list", "meal", "--json"));
    expect('"slot_min":510', JSON.stringify(meals).replaceAll(" ", ""));
    const portions = JSON.stringify(JSON.parse(desk("list", "portion", "--json"))).replaceAll(" ", "");
    expect('"gross_mg":1450000', portions);
    expect('"left_mg":80500', portions);
    expect("pool tablet", desk("trail", JSON.parse(desk("list", "portion", "--json")).records[0].record));
  });

  await step("a_second_tab_works_beside_the_first", async () => {
    const second = await browser.newPage();
    await second.goto(`https://127.0.0.1:${port}/`);
    await second.getByRole("button", { name: "Ines Vik" }).click();
    await second.getByText("Seal pool 1").waitFor();
    await second.close();
  });
} catch (error) {
  failed = true;
  console.log(`not ok the_world_was_made: ${String(error).split("\n").slice(0, 4).join(" ")}`);
} finally {
  await browser?.close().catch(() => undefined);
  if (hub && hub.exitCode === null) await stopHub();
  rmSync(work, { recursive: true, force: true });
}
process.exit(failed ? 1 : 0);
