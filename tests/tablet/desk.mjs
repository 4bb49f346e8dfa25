// The desk of the tablet app in a real browser: roster and plans, review, day close, stores, bringing records in, reports.
//
//   node tests/tablet/desk.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { dayFromToday, expect, landscape, options, play, sleep, step } from "./world.mjs";

await play(options(), async (world) => {
  world.found();
  await world.startHub();
  const desk = world.device("desk");
  const north = world.device("north tablet");
  const admin = (...args) => desk("runa", ...args);
  admin("add", "person", "name=Tove Holm", "roles=officer,curator");
  admin("add", "person", "name=Signe Lund", "roles=vet");
  admin("add", "person", "name=Ines Vik", "roles=keeper");
  const officer = (...args) => desk("Tove Holm", ...args);
  officer("add", "area", "name=yard");
  officer("add", "area", "name=hospital");
  officer("add", "pool", "name=Seal pool 1", "area=yard", "volume=120m3");
  officer("add", "pool", "name=Ward 2", "area=hospital");
  officer("add", "animal", "name=Sila", "pool=Seal pool 1", "taxon=Halichoerus grypus", "marks=notch in the left flipper");
  officer("add", "animal", "name=Kobb", "pool=Ward 2", "taxon=Phoca vitulina");
  officer("add", "food", "name=herring", "energy=158kcal/100g", "water=72.05%", "source=composition table, release 4");
  officer("add", "food", "name=squid");
  officer("add", "code", "topic=appetite", "code=eager", "meaning=takes the first fish within ten seconds");
  officer("add", "diet_plan", "animal=Sila", "first_day=2026-01-01", "approved_by=Tove Holm", "line=food=herring slot=08:30 mass=1.2kg tolerance=50g", "line=food=squid slot=16:30 mass=800g");
  officer("add", "diet_plan", "animal=Kobb", "first_day=2026-01-01", "line=food=herring slot=09:00 mass=400g");
  desk("Signe Lund", "add", "treatment_order", "animal=Kobb", "preparation=Tablet 250 mg", "dose=250mg", "route=in the first fish", "slots=08:30,20:30", "first_day=2026-01-01", "ordered_by=Signe Lund");
  officer("receive", "herring", "40kg", "--lot", "H-2611", "--use-by", "2027-03-01", "--store", "freezer 1");
  officer("receive", "squid", "5kg", "--lot", "S-2609", "--store", "freezer 2");
  officer("measure", "Kobb", "mass=31.4kg", "--at", "yesterday 07:30");
  officer("exchange");
  north("Ines Vik", "exchange");

  // Two who do not know of each other: one dose twice, one meal twice, one weighing corrected twice.
  const mass = JSON.parse(officer("list", "measure", "--json")).records[0].record;
  north("Ines Vik", "dose", "Kobb", "--slot", "08:30", "--outcome", "given", "--at", "yesterday 08:36");
  north("Ines Vik", "meal", "Sila", "--slot", "08:30", "--food", "herring=1.2kg,left:150g", "--at", "yesterday 08:40");
  north("Ines Vik", "correct", mass, "value=31.6kg", "--reason", "read again from the scale");
  north("Ines Vik", "observe", "Sila", "--code", "eager", "--at", "yesterday 08:42", "took all from the hand");
  north("Ines Vik", "exchange");
  officer("dose", "Kobb", "--slot", "08:30", "--outcome", "given", "--at", "yesterday 08:52", "--note", "swallowed at once");
  officer("meal", "Sila", "--slot", "08:30", "--food", "herring=1.25kg", "--at", "yesterday 08:45");
  officer("correct", mass, "value=34.1kg", "--reason", "digits swapped");
  officer("exchange");

  const sync = async (page) => {
    await page.getByRole("button", { name: "Exchange", exact: true }).click();
    await page.getByText("the hub holds all that was written here").waitFor({ timeout: 20_000 });
  };
  const goTo = (page, name) => page.locator("nav.menu").getByRole("button", { name, exact: true }).click();
  const records = (kind) => JSON.parse(officer("list", kind, "--json")).records;
  const yesterday = dayFromToday(-1);
  const files = path.join(world.work, "files");
  mkdirSync(files, { recursive: true });
  let page;

  await step("the_desk_says_first_that_a_dose_was_possibly_given_twice", async () => {
    page = await world.open("office", { viewport: landscape });
    await world.enrol(page, "office tablet");
    await world.signIn(page, "Tove Holm");
    await goTo(page, "Desk");
    await page.getByRole("button", { name: /1 urgent: possibly a dose given twice/ }).waitFor();
    await page.getByText("Needs attention today").waitFor();
    await world.look(page, "desk-home");
  });

  await step("the_review_shows_both_doses_side_by_side_and_folds_one_into_the_other", async () => {
    await goTo(page, "Review");
    await page.getByRole("heading", { name: /Urgent/ }).waitFor();
    await world.look(page, "desk-review");
    await page.locator("section.loud").getByRole("button").first().click();
    await page.getByText("Possibly given twice. Tell the vet").waitFor();
    await page.getByText("swallowed at once").first().waitFor();
    await page.getByText("north tablet").first().waitFor();
    await world.look(page, "desk-review-dose");
    await page.getByRole("button", { name: "One event: entry 1 counts" }).click();
    await page.getByText("it needs a reason").waitFor();
    await page.getByLabel("Why (stands in the trail)").fill("Ines gave it, Tove wrote it down after her");
    await page.getByRole("button", { name: "One event: entry 1 counts" }).click();
    await page.getByText("Decided; it stands in the trail.").first().waitFor();
  });

  await step("a_disagreement_is_settled_by_choosing_a_value", async () => {
    await goTo(page, "Desk");
    await goTo(page, "Review");
    await page.getByRole("button", { name: /disagreement: Value/ }).click();
    await page.getByRole("heading", { name: "31.6 kg" }).waitFor();
    await page.getByRole("heading", { name: "34.1 kg" }).waitFor();
    await page.getByText("digits swapped").waitFor();
    await world.look(page, "desk-review-disagreement");
    await page.getByLabel("Why (stands in the trail)").fill("the photo of the scale says so");
    await page.locator("section.pool", { hasText: "31.6 kg" }).getByRole("button", { name: "This one holds" }).click();
    await page.getByText("Decided; it stands in the trail.").first().waitFor();
  });

  await step("two_meals_that_both_happened_are_accepted", async () => {
    await goTo(page, "Desk");
    await goTo(page, "Review");
    await page.getByRole("button", { name: /double entry/ }).first().click();
    await page.getByLabel("Why (stands in the trail)").fill("a second helping");
    await world.look(page, "desk-review-meal");
    await page.getByRole("button", { name: "Both really happened" }).click();
    await page.getByText("Decided; it stands in the trail.").first().waitFor();
    await page.getByText("Nothing waits.").waitFor();
    await sync(page);
    officer("exchange");
    expect("nothing to review", officer("review"));
    expect("31.6 kg", officer("show", mass));
  });

  await step("the_roster_is_found_by_typing_and_a_new_animal_is_made", async () => {
    await goTo(page, "Roster");
    await page.getByRole("button", { name: /Sila/ }).waitFor();
    await page.getByLabel("Find").fill("vitul");
    await page.getByRole("button", { name: /Kobb/ }).waitFor();
    if (await page.getByRole("button", { name: /Sila/ }).isVisible()) throw new Error("the list was not narrowed");
    await page.getByLabel("Find").fill("");
    await world.look(page, "desk-roster");
    await page.getByRole("button", { name: "New: Animal" }).click();
    await page.getByLabel("Name").fill("Pip");
    await page.getByLabel("Species").fill("Phoca vitulina");
    await page.getByLabel("Pool").selectOption({ label: "Ward 2" });
    await world.look(page, "desk-new-animal");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("Animal: it is on this tablet.").waitFor();
    await page.getByRole("button", { name: /Pip/ }).waitFor();
  });

  await step("a_change_says_only_what_was_changed_and_why", async () => {
    await page.getByRole("button", { name: /Pip/ }).click();
    await page.getByRole("button", { name: "Change", exact: true }).click();
    await page.getByLabel("Marks").fill("white patch on the chest");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByRole("heading", { name: "Pip" }).waitFor();
    await page.getByText("white patch on the chest").waitFor();
    await page.getByRole("button", { name: "Change", exact: true }).click();
    await page.getByLabel("Marks").fill("white patch on the throat");
    await page.getByLabel("Why (stands in the trail)").fill("seen in better light");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("white patch on the throat").waitFor();
    await world.look(page, "desk-record");
    await sync(page);
    officer("exchange");
    const pip = records("animal").find((one) => one.fields.name === "Pip");
    const trail = officer("trail", pip.record);
    expect("seen in better light", trail);
    if ((trail.match(/phoca vitulina/gi) ?? []).length !== 1) throw new Error("a field that was not changed was written again");
  });

  await step("an_area_is_made_a_pool_lies_in_it_and_a_new_name_moves_nothing", async () => {
    await goTo(page, "Roster");
    await page.getByRole("button", { name: "Areas", exact: true }).click();
    await page.getByRole("button", { name: "New: Area" }).click();
    await page.getByLabel("Name").fill("Quay");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("Area: it is on this tablet.").waitFor();
    await page.getByRole("button", { name: "Pools", exact: true }).click();
    await page.getByRole("button", { name: "New: Pool" }).click();
    await page.getByLabel("Name").fill("Basin 3");
    await page.getByLabel("Area").selectOption({ label: "Quay" });
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByRole("button", { name: /Basin 3.*Area: Quay/ }).waitFor();
    await page.getByRole("button", { name: "Areas", exact: true }).click();
    await page.getByRole("button", { name: /Quay/ }).click();
    await page.getByRole("button", { name: "Change", exact: true }).click();
    await page.getByLabel("Name").fill("Harbour");
    await page.getByLabel("Why (stands in the trail)").fill("called so since the rebuilding");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByRole("heading", { name: "Harbour" }).waitFor();
    await goTo(page, "Roster");
    await page.getByRole("button", { name: "Pools", exact: true }).click();
    await page.getByRole("button", { name: /Basin 3.*Area: Harbour/ }).waitFor();
    await sync(page);
    officer("exchange");
    if (!/Basin 3 +Harbour/.test(officer("list", "pool"))) throw new Error("the pool is not in the area under its new name");
  });

  await step("a_plan_is_made_line_by_line_and_approved_by_who_is_signed_in", async () => {
    await goTo(page, "Plans");
    await page.getByText("not approved").first().waitFor();
    await world.look(page, "desk-plans");
    await page.getByRole("button", { name: "New: Diet plan" }).click();
    await page.getByLabel("Animal or group").selectOption({ label: "Pip" });
    await page.getByLabel("First day").fill(yesterday);
    await page.getByRole("button", { name: "Add: Lines" }).click();
    const line = page.locator(".a-row").first();
    await line.getByLabel("Food").selectOption({ label: "herring" });
    await line.getByLabel("Time of the day").fill("10:00");
    await line.getByLabel("Mass").first().fill("0,35");
    await line.getByLabel("Unit: Mass").selectOption("kg");
    await line.getByRole("button", { name: "Mon" }).click();
    await line.getByRole("button", { name: "Thu" }).click();
    await world.look(page, "desk-new-plan");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("Diet plan: it is on this tablet.").waitFor();
    await page.getByRole("button", { name: /Pip/ }).click();
    await page.getByRole("button", { name: "Approve", exact: true }).click();
    await page.getByRole("button", { name: "I approve it" }).click();
    await page.getByText("The plan is approved.").waitFor();
    await page.getByText("Tove Holm").nth(1).waitFor();
    await world.look(page, "desk-plan");
    await sync(page);
    officer("exchange");
    const plan = records("diet_plan").find((one) => one.fields.lines[0].slot_min === 600);
    expect('"mass_mg":350000', JSON.stringify(plan.fields));
    expect('"weekdays":9', JSON.stringify(plan.fields));
    expect('"approved_by"', JSON.stringify(plan.fields));
  });

  await step("an_order_is_a_vets_and_nobody_elses", async () => {
    await page.getByRole("button", { name: "Treatment orders" }).click().catch(() => undefined);
    await goTo(page, "Plans");
    await page.getByRole("button", { name: "Treatment orders" }).click();
    await page.getByRole("button", { name: /Tablet 250 mg/ }).click();
    await page.getByText("An order is the vet’s.").waitFor();
    await page.getByRole("button", { name: "End the order" }).click();
    await page.getByLabel("Why (stands in the trail)").fill("the course is over");
    await page.getByRole("button", { name: "End it with that day" }).click();
    await page.getByText(/vet/).last().waitFor();
    await page.locator("p.failure").waitFor();
    await world.look(page, "desk-order");
    await page.getByRole("button", { name: "Not now" }).click();
  });

  await step("a_dose_needs_its_unit", async () => {
    await page.getByRole("button", { name: /Tove Holm/ }).first().click();
    await world.signIn(page, "Signe Lund");
    await goTo(page, "Desk");
    await goTo(page, "Plans");
    await page.getByRole("button", { name: "Treatment orders" }).click();
    await page.getByRole("button", { name: "New: Treatment order" }).click();
    await page.getByLabel("Animal or group").selectOption({ label: "Sila" });
    await page.getByLabel("Preparation, with its strength").fill("Drops 5 mg/mL");
    await page.getByLabel("Dose, as mass").first().fill("2.5");
    await page.getByRole("button", { name: "Add: Times of the day" }).click();
    await page.getByLabel("Times of the day 1", { exact: true }).fill("07:00");
    await page.getByLabel("First day").fill(yesterday);
    await page.getByLabel("Ordered by (the vet)").selectOption({ label: "Signe Lund" });
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText(/has no unit that fits here/).waitFor();
    await world.look(page, "desk-new-order");
    await page.getByLabel("Unit: Dose, as mass").selectOption("mg");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("Treatment order: it is on this tablet.").waitFor();
    await page.getByRole("button", { name: /Drops 5 mg/ }).click();
    await page.getByText("2.5 mg", { exact: true }).waitFor();
  });

  await step("a_vet_ends_an_order_with_its_last_day", async () => {
    await page.getByRole("button", { name: "End the order" }).click();
    await page.getByLabel("Why (stands in the trail)").fill("no longer needed");
    await page.getByRole("button", { name: "End it with that day" }).click();
    await page.getByText("The order has its last day.").waitFor();
    await page.getByText("Last day", { exact: true }).waitFor();
    await page.getByRole("button", { name: /Signe Lund/ }).first().click();
    await world.signIn(page, "Tove Holm");
    await goTo(page, "Desk");
  });

  await step("a_broken_rule_stands_beside_its_field", async () => {
    await goTo(page, "Entries");
    await page.getByRole("button", { name: "Measurements" }).click();
    await page.getByRole("button", { name: "New: Measurement" }).click();
    await page.getByLabel("What is measured").selectOption({ label: "body mass" });
    await page.getByLabel("Value").first().fill("0");
    await page.getByLabel("Unit: Value").selectOption("kg");
    await page.getByRole("button", { name: "Save" }).click();
    const field = (label) => page.locator(".field").filter({ has: page.getByLabel(label) });
    await field("Animal or group").getByText("The measurement names no animal: say who was measured.").waitFor();
    await field("Value").getByText(/^The value is missing or 0:/).waitFor();
    await page.getByRole("alert").getByText("Look at what stands in red. Nothing was saved.").waitFor();
    await world.look(page, "desk-broken-rules");
    await goTo(page, "Desk");
  });

  await step("an_entry_is_struck_with_a_reason_and_can_come_back", async () => {
    await goTo(page, "Entries");
    await page.getByRole("button", { name: "Observations" }).click();
    await page.getByRole("button", { name: /took all from the hand/ }).click();
    await page.getByRole("button", { name: "Strike", exact: true }).click();
    await page.getByLabel("Why (stands in the trail)").fill("written for the wrong animal");
    await world.look(page, "desk-strike");
    await page.getByRole("button", { name: "Strike it" }).click();
    await page.getByRole("button", { name: "Lift the strike" }).click();
    await page.getByLabel("Why (stands in the trail)").fill("it was the right one");
    await page.getByRole("button", { name: "Lift it" }).click();
    await page.getByRole("button", { name: "Strike", exact: true }).waitFor();
  });

  await step("the_stores_take_a_delivery_a_count_and_what_is_thrown_away", async () => {
    await goTo(page, "Stores");
    await page.getByText("40 kg").first().waitFor();
    await world.look(page, "desk-stock");
    await page.getByRole("button", { name: "Receive a delivery" }).click();
    await page.getByLabel("Food").selectOption({ label: "herring" });
    await page.getByLabel("Mass").first().fill("12,5");
    await page.getByLabel("Code on the box").fill("H-2699");
    await page.getByLabel("Use by").fill("2027-01-15");
    await page.getByLabel("Freezer or shelf").fill("freezer 3");
    await world.look(page, "desk-receive");
    await page.getByRole("button", { name: "Book it in" }).click();
    await page.getByText("Lot H-2699 is booked in.").waitFor();
    await page.getByRole("button", { name: "Count: H-2611" }).click();
    await page.getByText("By the book 40 kg").waitFor();
    await page.getByLabel("Counted").first().fill("39.2");
    await world.look(page, "desk-count");
    await page.getByRole("button", { name: "Book the count" }).click();
    await page.getByText("39.2 kg").first().waitFor();
    await page.getByRole("button", { name: "Discard: H-2699" }).click();
    await page.getByLabel("Thrown away").first().fill("2.5");
    await page.getByLabel("Why", { exact: true }).fill("thawed on arrival");
    await page.getByRole("button", { name: "Book it out" }).click();
    await page.getByText("10 kg").first().waitFor();
    await sync(page);
    officer("exchange");
    const stock = officer("stock");
    expect("39.2 kg", stock);
    expect("H-2699", stock);
  });

  await step("a_table_is_looked_at_row_by_row_and_nothing_is_written_until_all_is_well", async () => {
    const put = (name, text) => {
      writeFileSync(path.join(files, name), text);
      return page.getByLabel("CSV file").setInputFiles(path.join(files, name));
    };
    const bad = "animal_name,happened_ms,quantity,value\nSila,2026-11-20 09:00,mass,94.5 kg\nSilla,2026-11-21 09:00,mass,95 kg\nKobb,2026-11-21 09:00,mass,31\nKobb,2026-11-22 09:00,mass,0 kg\n";
    await goTo(page, "Bring in");
    await page.getByRole("button", { name: "A table" }).click();
    await page.getByLabel("Kind of record").selectOption({ label: "Measurements" });
    await put("weighings1.csv", bad);
    await page.getByText("2 of 4 rows are not well.").waitFor();
    await page.getByText(/Nothing here of the kind Animal is called “Silla”/).waitFor();
    await page.getByText(/“31” has no unit/).waitFor();
    await world.look(page, "desk-import-bad");
    if (await page.getByRole("button", { name: "Write 4 records" }).isEnabled()) throw new Error("a table with bad rows can be written");
    await put("weighings2.csv", "animal_name,happened_ms,quantity,value\nSila,2026-11-20 09:00,mass,94.5 kg\nKobb,2026-11-22 09:00,mass,0 kg\n");
    await page.getByText("1 of 2 rows are not well.").waitFor();
    await page.getByText(/value: The value is missing or 0/).waitFor();
    await put("weighings.csv", "animal_name,happened_ms,quantity,value\nSila,2026-11-20 09:00,mass,94.5 kg\nSila,2026-11-21 09:00,mass,\"95,1 kg\"\n");
    await page.getByText("2 rows are well. Nothing is written yet.").waitFor();
    await world.look(page, "desk-import-good");
    await page.getByRole("button", { name: "Write 2 records" }).click();
    await page.getByText("2 records are on this tablet.").waitFor();
    await sync(page);
    officer("exchange");
    const values = records("measure").map((one) => one.fields.value);
    if (!values.includes(94500000) || !values.includes(95100000)) throw new Error(`the rows are not there: ${values}`);
  });

  await step("a_table_brought_in_twice_is_told_apart", async () => {
    writeFileSync(path.join(files, "again.csv"), readFileSync(path.join(files, "weighings.csv")));
    await page.getByLabel("CSV file").setInputFiles(path.join(files, "again.csv"));
    await page.getByText("2 of 2 rows are not well.").waitFor();
    await page.getByText("The same is recorded already.").first().waitFor();
  });

  await step("what_the_command_line_exports_is_read_here", async () => {
    const plans = path.join(files, "plans.csv");
    officer("export", "diet_plan", "--csv", plans);
    await page.getByLabel("Kind of record").selectOption({ label: "Diet plans" });
    await page.getByLabel("CSV file").setInputFiles(plans);
    await page.getByText("3 of 3 rows are not well.").waitFor();
    await page.getByText(/is here already: change it there/).first().waitFor();
  });

  await step("a_bundle_is_looked_at_before_it_is_taken_in", async () => {
    north("Ines Vik", "observe", "Sila", "--code", "eager", "carried in a file");
    const bundle = path.join(files, "north.bundle");
    north("Ines Vik", "bundle", "export", bundle);
    await page.getByRole("button", { name: "A bundle" }).click();
    await page.getByLabel("Bundle file").setInputFiles(bundle);
    await page.getByText(/1 would be new here/).waitFor();
    await world.look(page, "desk-import-bundle");
    await page.getByRole("button", { name: "Take in 1 change" }).click();
    await page.getByText(/1 were new and are here now/).waitFor();
    await goTo(page, "Entries");
    await page.getByRole("button", { name: "Observations" }).click();
    await page.getByRole("button", { name: /carried in a file/ }).waitFor();
  });

  await step("a_day_is_closed_with_what_is_open_said_aloud", async () => {
    await goTo(page, "Day close");
    await page.getByLabel("Area").selectOption("yard");
    await page.getByLabel("Husbandry day").fill(yesterday);
    await page.getByText(/records in \d+ changes would be closed/).waitFor();
    await page.getByText("a leftover that nobody weighed").first().waitFor();
    await world.look(page, "desk-close");
    await page.getByLabel("I have seen what is open; the close says so").check();
    await page.getByLabel("Why (stands in the record)").fill("the second helping was not weighed back");
    await page.getByLabel("Note").fill("quiet day");
    await page.getByRole("button", { name: "Close and sign the day" }).click();
    await page.getByText(`${yesterday} of yard is closed and signed.`).waitFor();
    await page.getByText("What was closed is here as it was closed").waitFor();
    await page.getByText(/Open when it was closed: \d+ × a leftover/).waitFor();
    await world.look(page, "desk-closed");
    await sync(page);
    officer("exchange");
    expect("quiet day", officer("closes"));
  });

  await step("an_amendment_after_the_close_is_asked_about_and_shown", async () => {
    await goTo(page, "Entries");
    await page.getByRole("button", { name: "Observations" }).click();
    await page.getByRole("button", { name: /took all from the hand/ }).click();
    await page.getByRole("button", { name: "Change", exact: true }).click();
    await page.getByLabel("What was seen").fill("took all but one from the hand");
    await page.getByLabel("Why (stands in the trail)").fill("Ines remembered");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("The day of this area is closed").waitFor();
    await page.getByRole("button", { name: "It is as I say: save it" }).click();
    await page.getByText("took all but one from the hand").waitFor();
    await goTo(page, "Day close");
    await page.getByLabel("Area").selectOption("yard");
    await page.getByText("1 amendment since").click();
    await page.getByText("Ines remembered").first().waitFor();
  });

  await step("the_reports_say_who_made_them_and_as_of_when", async () => {
    await goTo(page, "Reports");
    await page.getByLabel("Husbandry day").fill(yesterday);
    await page.getByText(/Made by Tove Holm on office tablet/).waitFor();
    await page.getByText(/What others wrote is known as of/).waitFor();
    await page.getByRole("cell", { name: "not recorded" }).first().waitFor();
    await page.getByLabel("What was seen").getByRole("cell", { name: /took all but one from the hand/ }).waitFor();
    await world.look(page, "desk-report-day");
    await page.getByRole("button", { name: "Treatments" }).click();
    await page.getByLabel("Animal or group").selectOption({ label: "Kobb" });
    await page.getByRole("heading", { name: "Tablet 250 mg" }).waitFor();
    await page.getByText("missed").first().waitFor();
    await world.look(page, "desk-report-treatments");
    await page.getByRole("button", { name: "Month", exact: true }).click();
    await page.getByLabel("Animal or group").selectOption({ label: "Sila" });
    await page.getByRole("columnheader", { name: "Days recorded" }).waitFor();
    await page.getByRole("heading", { name: "Intake against plan" }).waitFor();
    const [saved] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save “Intake against plan” for a spreadsheet" }).click(),
    ]);
    const csv = readFileSync(await saved.path(), "utf8");
    if (!csv.startsWith("\ufeffday,meals,portions_unweighed,offered_mg")) throw new Error(`the table begins with ${csv.slice(0, 80)}`);
    await page.getByRole("button", { name: "Water of a pool" }).click();
    await page.getByText("Choose a pool.").waitFor();
    await page.getByRole("button", { name: "Retention of records" }).click();
    await page.getByText("is a floor").waitFor();
    await page.getByRole("button", { name: "Month", exact: true }).click();
    await page.getByRole("columnheader", { name: "Days recorded" }).waitFor();
    await world.look(page, "desk-report-month");
    await page.emulateMedia({ media: "print" });
    await world.shot(page, "desk-report-print");
    await page.emulateMedia({ media: null });
  });

  await step("the_desk_fits_a_small_screen_and_upright", async () => {
    for (const [name, width, height] of [["portrait", 820, 1180], ["small", 400, 800]]) {
      await page.setViewportSize({ width, height });
      for (const screen of ["Overview", "Review", "Roster", "Plans", "Entries", "Day close", "Stores", "Bring in", "Reports"]) {
        await goTo(page, screen);
        await page.locator("main.desk h2").waitFor();
        await sleep(400);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        await world.shot(page, `desk-${name}-${screen.toLowerCase().replace(" ", "-")}`);
        if (wide > 0) throw new Error(`${screen} is ${wide} px wider than a screen of ${width}`);
      }
    }
  });

  await step("nothing_went_wrong_unsaid", async () => {
    if (world.complaints.length > 0) throw new Error(world.complaints.join("; "));
  });
});
