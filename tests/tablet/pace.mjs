// Whether proofs slow a keeper down: the taps and the time from the tile with the name to a meal that is kept, without proofs and with
// them, within reach of the hub and out of it. Taps are compared; times are printed.
//
//   node tests/tablet/pace.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { execFileSync } from "node:child_process";
import { options, play, sleep, step } from "./world.mjs";

await play(options(), async (world) => {
  world.found();
  await world.startHub();
  const desk = world.device("desk");
  const admin = (...args) => desk("Runa Dahl", ...args);
  admin("add", "person", "name=Tove Holm", "roles=officer,curator");
  for (const keeper of ["Ines Vik", "Ole Moen"]) admin("add", "person", `name=${keeper}`, "roles=keeper");
  const officer = (...args) => desk("Tove Holm", ...args);
  officer("add", "pool", "name=Seal pool 1");
  officer("add", "animal", "name=Sila", "pool=Seal pool 1");
  officer("add", "food", "name=herring");
  const hours = ["07:00", "08:00", "09:00", "10:00", "11:00"];
  officer("add", "diet_plan", "animal=Sila", "first_day=2026-01-01", "approved_by=Tove Holm", ...hours.map((slot) => `line=food=herring slot=${slot} mass=1.2kg`));
  officer("exchange");
  const setPin = (name, pin) =>
    execFileSync(world.server, ["set-pin", "--dir", world.hubDir, name, "--reason", "for a test"], { input: `${pin}\n`, stdio: ["pipe", "ignore", "pipe"] });
  setPin("Runa Dahl", "471142");
  setPin("Ines Vik", "2580");
  setPin("Ole Moen", "7319");

  const page = await world.open("pool");
  await world.enrol(page, "pool tablet");
  const lock = () => page.getByRole("button", { name: /Lock$/ }).click();

  // From the tile to a meal that is kept: what a keeper taps, and how long it takes. A number that is typed is one tap for each digit.
  const shift = async (name, pin, slot, isKnown = true) => {
    let taps = 0;
    const tap = async (target) => {
      await target.click();
      taps += 1;
    };
    const began = performance.now();
    await tap(page.getByRole("button", { name }).first());
    for (const digit of `${pin}✓`) await tap(page.getByRole("button", { name: digit, exact: true }));
    if (!isKnown) await tap(page.getByRole("button", { name: "Go on without the PIN, for care" }));
    await tap(page.getByRole("button", { name: new RegExp(slot) }));
    await tap(page.getByLabel("Weighed, g"));
    await page.keyboard.type("1200");
    taps += 4;
    await tap(page.getByRole("button", { name: "Given" }));
    await page.getByText("The meal of Sila is on this tablet.").waitFor();
    const ms = Math.round(performance.now() - began);
    await lock();
    await page.getByRole("button", { name }).first().waitFor();
    return { taps, ms };
  };
  const found = {};
  const paced = async (what, ...how) => {
    found[what] = await shift(...how);
    console.log(`pace: ${what}: ${found[what].taps} taps, ${found[what].ms} ms`);
  };

  await step("a_keeper_gives_a_meal_where_no_proofs_are_asked_for", async () => {
    await world.signIn(page, "Ines Vik", "2580"); // The tablet learns the PIN, and shows the day's first page.
    await lock();
    await paced("no proofs asked for", "Ines Vik", "2580", hours[0]);
  });

  await step("the_admin_asks_for_proofs", async () => {
    await world.signIn(page, "Runa Dahl", "471142");
    for (const name of ["Admin", "People"])
      await page.locator("nav.menu").getByRole("button", { name, exact: true }).first().click();
    await page.getByLabel(/^Plans, orders, approvals/).check();
    await page.getByLabel("Why (stands in the record)").fill("orders are to be proven");
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("The rules are changed").waitFor();
    await lock();
  });

  await step("with_proofs_it_takes_the_same_taps_within_reach_of_the_hub_and_out_of_it", async () => {
    await paced("proofs asked for, hub in reach", "Ines Vik", "2580", hours[1]);
    await page.evaluate(() => navigator.serviceWorker.ready);
    await sleep(1000);
    await world.stopHub();
    await paced("proofs asked for, no hub, known here", "Ines Vik", "2580", hours[2]);
    const before = found["no proofs asked for"].taps;
    for (const [what, { taps }] of Object.entries(found)) {
      if (taps !== before) throw new Error(`${what}: ${taps} taps, and ${before} before`);
    }
  });

  await step("somebody_new_without_a_hub_logs_care_at_once_with_one_tap_more", async () => {
    await paced("proofs asked for, no hub, new here", "Ole Moen", "7319", hours[3], false);
    const more = found["proofs asked for, no hub, new here"].taps - found["no proofs asked for"].taps;
    if (more !== 1) throw new Error(`${more} taps more`);
  });

  await step("all_of_it_reaches_the_hub_and_counts", async () => {
    await world.startHub();
    await world.signIn(page, "Ines Vik", "2580");
    await page.getByRole("button", { name: "Exchange", exact: true }).click();
    await page.locator("footer.tide").getByText("the hub holds all that was written here").waitFor();
    officer("exchange");
    const meals = JSON.parse(officer("list", "meal", "--json")).records.length;
    if (meals !== 4) throw new Error(`${meals} meals count instead of 4`);
  });

  await step("no_page_complained", () => {
    if (world.complaints.length > 0) throw new Error(world.complaints.join("; "));
    return Promise.resolve();
  });
});
