// These tests show whom a tablet trusts, and whose app it gets: a browser that has taken in the hub's authority and was told
// nothing else; keys and the manifest to compare; what the authority may not vouch for; an app that somebody altered.
//
//   node tests/tablet/trust.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { execFileSync } from "node:child_process";
import { appendFileSync, cpSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, options, play, step } from "./world.mjs";

const host = "hub.test";
const run = (program, ...args) => execFileSync(program, args, { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });

await play(options(), async (world) => {
  world.found("Skerry Bay Rescue", "Europe/Oslo", host);
  await world.startHub();
  const address = () => `https://${host}:${world.port}/`;
  const file = (name) => path.join(world.hubDir, name);

  // A home whose browser trusts what a person has taken in there, as on a tablet: an authority, by the way meant for authorities.
  const home = path.join(world.work, "home");
  const store = `sql:${path.join(home, ".pki/nssdb")}`;
  mkdirSync(path.join(home, ".pki/nssdb"), { recursive: true });
  run("certutil", "-N", "-d", store, "--empty-password");
  const takeIn = (name, certificate) => run("certutil", "-A", "-d", store, "-n", name, "-t", "C,,", "-i", certificate);
  // No switch of it says anything about certificates; the name leads to this machine.
  const open = (name, more = {}) =>
    world.open(name, { trusted: false, goto: false, home, args: [`--host-resolver-rules=MAP *.test 127.0.0.1`], ...more });
  const said = (page, url) =>
    page.goto(url).then(
      (answer) => `opened with ${answer?.status()}`,
      (error) => String(error),
    );
  // Gives the line of a hub's command that begins so.
  const shown = (begin) => {
    const lines = world.serverRun("show-app", "--dir", world.hubDir, "--app", world.app).split("\n");
    return lines.find((line) => line.startsWith(begin)).slice(begin.length).trim();
  };

  await step("without_the_hubs_authority_the_browser_opens_nothing", async () => {
    const page = await open("stranger");
    expect("ERR_CERT_AUTHORITY_INVALID", await said(page, address()));
    await world.close("stranger");
  });

  let page;
  await step("with_it_the_app_opens_as_any_page_that_is_trusted", async () => {
    takeIn("hub", file("tls-authority.pem"));
    page = await open("tablet");
    expect("opened with 200", await said(page, address()));
    if (!(await page.evaluate(() => isSecureContext && crossOriginIsolated))) throw new Error("the page is not isolated");
  });

  await step("before_it_is_let_in_it_shows_the_hubs_key_as_the_hub_says_it", async () => {
    await page.getByText(shown("The hub's key:")).waitFor();
    await world.look(page, "enrol-key");
  });

  await step("it_goes_into_no_hub_that_has_another_key_than_it_has_shown", async () => {
    const other = shown("The hub's key:").replace(/^./, (digit) => (digit === "0" ? "1" : "0"));
    await page.route("**/hub-key.txt", (route) => route.fulfill({ body: other }));
    await page.reload();
    await page.getByText(other).waitFor();
    await page.getByLabel("Code, ten letters").fill(world.code());
    await page.getByLabel("What this tablet is called").fill("fooled");
    await page.getByRole("button", { name: "Enrol" }).click();
    await page.getByText("another key than was shown").waitFor();
    await page.unroute("**/hub-key.txt");
    await page.reload();
    await page.getByText(shown("The hub's key:")).waitFor();
  });

  await step("let_in_it_shows_key_version_and_manifest_as_the_hub_says_them", async () => {
    await world.enrol(page, "tablet");
    await page.evaluate(() => navigator.serviceWorker.ready);
    await world.signIn(page, "Runa Dahl");
    await page.locator("footer.tide .tide-words").click();
    await page.getByText(shown("The hub's key:")).waitFor();
    await page.getByText(shown("Its manifest:")).waitFor();
    await page.getByText(`Version ${shown("This app:").split(" ")[0]}`, { exact: true }).waitFor();
    await world.look(page, "whose-app");
  });

  await step("what_it_shows_is_its_own_and_is_there_without_the_hub", async () => {
    await page.context().setOffline(true);
    await page.reload();
    await world.signIn(page, "Runa Dahl");
    await page.locator("footer.tide .tide-words").click();
    await page.getByText(shown("The hub's key:")).waitFor();
    await page.getByText(shown("Its manifest:")).waitFor();
    await page.context().setOffline(false);
  });

  await step("once_there_the_browser_asks_that_name_over_tls_alone", async () => {
    const other = await page.context().newPage();
    await other.goto(`http://${host}:${world.port}/`);
    expect(address(), other.url());
    // A name below it is another's.
    expect("ERR_", await said(other, `http://below.${host}:${world.port}/`));
    await other.close();
    await world.close("tablet");
  });

  await step("the_hubs_next_certificate_needs_no_walk_to_the_tablet", async () => {
    world.serverRun("new-certificate", "--dir", world.hubDir);
    await world.stopHub();
    await world.startHub();
    page = await open("tablet");
    expect("opened with 200", await said(page, address()));
    await page.getByText("Who is at this tablet?").waitFor();
  });

  await step("what_the_authority_signs_for_another_name_is_refused", async () => {
    const at = (name) => path.join(world.work, name);
    run("openssl", "req", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-keyout", at("liar.key"), "-subj", "/CN=bank.test", "-out", at("liar.csr"));
    writeFileSync(at("names"), "subjectAltName=DNS:bank.test\nextendedKeyUsage=serverAuth\n");
    run("openssl", "x509", "-req", "-in", at("liar.csr"), "-CA", file("tls-authority.pem"), "-CAkey", file("tls-authority-key.pem"), "-CAcreateserial", "-days", "2", "-extfile", at("names"), "-out", at("liar.pem"));
    const before = world.hubDir;
    world.hubDir = at("liar");
    run(world.server, "init", "--dir", world.hubDir, "--name", "Liar", "--time-zone", "UTC", "--host", "bank.test", "--admin", "Liar", "--cert", at("liar.pem"), "--key", at("liar.key"));
    world.pinApp();
    await world.stopHub();
    await world.startHub();
    const other = await page.context().newPage();
    expect("ERR_CERT", await said(other, `https://bank.test:${world.port}/`));
    await other.close();
    await world.stopHub();
    world.hubDir = before;
    await world.startHub();
  });

  await step("an_altered_app_reaches_no_tablet_and_keeps_nobody_from_exchanging", async () => {
    const altered = path.join(world.work, "altered");
    cpSync(world.app, altered, { recursive: true });
    appendFileSync(path.join(altered, "sw.js"), "\n// Somebody was here.\n");
    for (const lie of ["altered", "signed by another key"]) {
      if (lie !== "altered") {
        const key = path.join(world.work, "other.key");
        world.serverRun("app-key", "--to", key);
        world.serverRun("sign-app", "--app", altered, "--key", key);
      }
      await world.stopHub();
      await world.startHub(altered);
      const fresh = await open("fresh");
      await fresh.goto(address());
      await fresh.getByText("This hub serves no app now").waitFor();
      if ((await fresh.locator("script").count()) > 0) throw new Error("there is a program in the page");
      await world.close("fresh");
      await page.reload();
      await world.signIn(page, "Runa Dahl");
      await page.getByRole("button", { name: "Exchange", exact: true }).click();
      await page.locator("footer.tide").getByText("the hub holds all that was written here").waitFor();
      rmSync(path.join(world.work, "profile-fresh"), { recursive: true });
    }
  });
});
