// Several tablets and what goes wrong with them: two browsers and a command line that logged apart from each other, a wrong
// clock, a full disk, no disk at all, a revoked device, an update with unsent entries, a hub with somebody else's certificate.
//
//   node tests/tablet/tablets.mjs BUILD_DIR APP_DIR SHOTS_DIR NEXT_APP_DIR     (the last: the same app as a later version)
import { readFileSync } from "node:fs";
import path from "node:path";
import { expect, options, play, sleep, step } from "./world.mjs";

const nextApp = path.resolve(process.argv[5]);

// Puts a line in front of the core worker's program, as a device that is not as it should be would.
async function bend(page, app, line) {
  await page.context().route(/core\.worker.*\.js/, (route) =>
    route.fulfill({
      body: line + readFileSync(path.join(app, new URL(route.request().url()).pathname), "utf8"),
      headers: { "Content-Type": "text/javascript", "Cross-Origin-Embedder-Policy": "require-corp" },
    }),
  );
}
const exchange = async (page) => {
  await page.getByRole("button", { name: "Exchange", exact: true }).click();
  await page.locator("footer.tide").getByText("the hub holds all that was written here").waitFor();
};
const giveDose = async (page) => {
  await page.getByRole("button", { name: /Drops/ }).first().click();
  await page.getByRole("button", { name: "Given", exact: true }).click();
  await page.getByRole("button", { name: "Save: given" }).click();
  await page.getByText("The dose is on this tablet.").waitFor();
};

await play(options(), async (world) => {
  world.found();
  await world.startHub();
  const desk = world.device("desk");
  desk("runa", "add", "person", "name=Tove Holm", "roles=officer,curator");
  desk("runa", "add", "person", "name=Mara Lind", "roles=vet");
  desk("runa", "add", "person", "name=Ines Vik", "roles=keeper");
  desk("runa", "add", "person", "name=Odd Berg", "roles=keeper");
  const officer = (...args) => desk("Tove Holm", ...args);
  officer("add", "area", "name=yard");
  officer("add", "pool", "name=Seal pool 1", "area=yard");
  officer("add", "animal", "name=Sila", "pool=Seal pool 1");
  officer("add", "food", "name=herring");
  officer("add", "diet_plan", "animal=Sila", "first_day=2026-01-01", "approved_by=Tove Holm", "line=food=herring slot=08:30 mass=1.2kg");
  officer("add", "animal", "name=Kobb", "pool=Seal pool 1");
  officer("add", "diet_plan", "animal=Kobb", "first_day=2026-01-01", "approved_by=Tove Holm", "line=food=herring slot=10:00 mass=900g");
  desk("Mara Lind", "add", "treatment_order", "animal=Sila", "preparation=Drops, plain", "dose=1mL", "slots=00:05", "first_day=2026-01-01", "daily_max=1", "ordered_by=Mara Lind", "route=eye");
  officer("exchange");

  let one;
  let two;
  await step("two_tablets_give_the_same_dose_out_of_reach_of_each_other", async () => {
    one = await world.open("one");
    await world.enrol(one, "tablet one");
    two = await world.open("two");
    await world.enrol(two, "tablet two");
    for (const page of [one, two]) await page.evaluate(() => navigator.serviceWorker.ready);
    await sleep(1500);
    await one.context().setOffline(true);
    await two.context().setOffline(true);
    await world.signIn(one, "Ines Vik");
    await world.signIn(two, "Odd Berg");
    await giveDose(one);
    await giveDose(two);
  });

  await step("both_and_the_command_line_see_the_double_dose_as_soon_as_they_have_met", async () => {
    await one.context().setOffline(false);
    await exchange(one);
    await two.context().setOffline(false);
    await exchange(two);
    await exchange(one);
    for (const page of [one, two]) await page.getByText("to be looked at by an officer").waitFor();
    officer("exchange");
    const queue = officer("review");
    expect("double", queue.toLowerCase());
    await world.shot(one, "double-dose");
  });

  await step("the_same_queue_stands_on_all_three", async () => {
    const count = JSON.parse(officer("review", "--json")).items.length;
    for (const page of [one, two]) expect(`${count} to be looked at by an officer`, await page.locator("footer.tide").innerText());
  });

  await step("the_guard_tells_the_next_keeper_of_the_dose_of_another_tablet", async () => {
    await two.getByRole("button", { name: /Drops/ }).first().click();
    await two.getByText("An entry for this very dose is here already.").first().waitFor();
    await world.shot(two, "dose-guard");
    await two.getByRole("button", { name: "Back" }).click();
  });

  await step("two_tabs_follow_each_other", async () => {
    const tab = await one.context().newPage();
    await tab.goto(world.address);
    await world.signIn(tab, "Ines Vik");
    await tab.getByRole("button", { name: /08:30/ }).click();
    await tab.getByLabel("Weighed, g").fill("1000");
    await tab.getByRole("button", { name: "Given", exact: true }).click();
    await tab.getByText("The meal of Sila is on this tablet.").waitFor();
    // The other tab shows it without being touched.
    await one.getByRole("button", { name: /08:30.*done/ }).waitFor();
    // The tab that holds the records goes; the other takes over.
    await one.close();
    await exchange(tab);
    one = tab;
  });

  await step("a_tablet_whose_clock_is_wrong_loses_nothing_and_is_told", async () => {
    const page = await world.open("clock", { goto: false });
    const ahead = 3 * 3_600_000;
    await bend(page, world.app, `{ const now = Date.now; Date.now = () => now() + ${ahead}; }\n`);
    await page.addInitScript(`{ const now = Date.now; Date.now = () => now() + ${ahead}; }`);
    await page.goto(world.address);
    await world.enrol(page, "fast tablet");
    await world.signIn(page, "Odd Berg");
    await exchange(page);
    await page.getByText("clock off by").waitFor();
    await page.locator("footer.tide .tide-words").click();
    await page.getByText("ahead of the hub’s").waitFor();
    await world.shot(page, "clock");
    await world.close("clock");
  });

  await step("a_full_disk_is_told_and_what_was_saved_before_is_there", async () => {
    const page = await world.open("full");
    await page.evaluate(() => localStorage.setItem("wrackline-measure", ""));
    await world.enrol(page, "full tablet");
    await page.reload();
    await world.signIn(page, "Ines Vik");
    const origin = world.address.slice(0, -1);
    const session = await page.context().newCDPSession(page);
    await session.send("Storage.overrideQuotaForOrigin", { origin, quotaSize: 1024 });
    // The browser had set some room aside; entries are made until that is used up.
    const { saved, failure } = await page.evaluate(async () => {
      const client = window.wracklineClient;
      const { records } = await client.ask({ case: "list", value: { kind: 5, allSubjects: true } }, "list");
      for (let saved = 0; saved < 20_000; ++saved) {
        try {
          await client.write(window.wracklineObservation(records[0].record, 20_700, `seen ${saved} ${"x".repeat(400)}`), "log");
        } catch (error) {
          return { saved, failure: error.message };
        }
      }
      return { saved: 20_000, failure: "never full" };
    });
    expect("full", failure);
    // A keeper's screen says so too, and what was typed stays.
    await page.getByRole("button", { name: /10:00/ }).first().click();
    await page.getByLabel("Weighed, g").fill("500");
    await page.getByRole("button", { name: "Given", exact: true }).click();
    await page.locator(".failure").getByText("full").waitFor();
    await world.shot(page, "full");
    await session.send("Storage.overrideQuotaForOrigin", { origin });
    await sleep(1000);
    await page.getByRole("button", { name: "Given", exact: true }).click();
    await page.getByText("The meal of Kobb is on this tablet.").waitFor();
    await exchange(page);
    officer("exchange");
    const seen = JSON.parse(officer("list", "observation", "--json")).records.length;
    if (seen !== saved) throw new Error(`${saved} were acknowledged, ${seen} have come to the hub`);
    await world.close("full");
  });

  await step("a_browser_without_storage_says_so_and_takes_nothing", async () => {
    const page = await world.open("bare", { goto: false });
    await bend(page, world.app, `navigator.storage.getDirectory = () => Promise.reject(new DOMException("denied", "SecurityError"));\n`);
    await page.goto(world.address);
    await page.getByText("This browser gives the app no place to keep records").waitFor();
    await world.shot(page, "no-place");
    await world.close("bare");
  });

  await step("a_revoked_tablet_is_told_and_keeps_what_it_has", async () => {
    await two.reload();
    await world.signIn(two, "Odd Berg");
    world.serverRun("revoke", "tablet two", "--dir", world.hubDir, "--by", "Runa Dahl", "--reason", "left on the quay");
    await two.getByRole("button", { name: "Exchange", exact: true }).click();
    await two.getByText("revoked by an admin").waitFor();
    await world.shot(two, "revoked");
    await two.getByRole("button", { name: /Drops/ }).first().waitFor();
    await world.close("two");
  });

  await step("a_new_version_starts_when_somebody_says_so_and_has_the_unsent_entries", async () => {
    await one.context().setOffline(true);
    await one.getByRole("button", { name: /08:30/ }).first().click();
    await one.getByLabel("Left, g").fill("40");
    await one.getByRole("button", { name: "Save" }).click();
    await one.getByText("1 entry only here").waitFor();
    await world.stopHub();
    await world.startHub(nextApp);
    await one.context().setOffline(false);
    await one.reload();
    await one.getByRole("button", { name: "Start it" }).click({ timeout: 30_000 });
    await one.waitForEvent("load");
    await world.signIn(one, "Ines Vik");
    await one.locator("footer.tide .tide-words").click();
    await one.getByText("Version 0.1.0-next").waitFor();
    await exchange(one);
    officer("exchange");
    expect("40", officer("list", "portion"));
  });

  await step("a_hub_with_a_certificate_that_nobody_vouches_for_is_not_opened", async () => {
    const page = await world.open("wary", { trusted: false, goto: false });
    const said = await page.goto(world.address).then(
      () => "opened",
      (error) => String(error),
    );
    expect("ERR_CERT_AUTHORITY_INVALID", said);
    await world.close("wary");
  });
});
