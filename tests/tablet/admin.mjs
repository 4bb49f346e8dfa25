// The admin, the vet's pictures and the help, at a tablet in a real browser: what is done there is looked for on a desk.
//
//   node tests/tablet/admin.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { execFileSync } from "node:child_process";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { dayFromToday, expect, options, play, step } from "./world.mjs";

const dayBefore = (days) => dayFromToday(-days);

// Forty days of a seal's meals: one day that nobody recorded, one leftover that nobody weighed, a week of little appetite.
function feedingSheet() {
  const rows = ["date,time,animal,food,offered g,left g,keeper"];
  for (let days = 40; days >= 1; --days) {
    if (days === 5) continue;
    const left = days === 7 ? "" : days < 5 ? 900 : (days * 37) % 120;
    rows.push(`${dayBefore(days)},08:30,Sila,herring,1200,${left},Ines Vik`);
  }
  return `${rows.join("\n")}\n`;
}

await play(options(), async (world) => {
  world.found();
  await world.startHub();
  const desk = world.device("desk");
  const admin = (...args) => desk("Runa Dahl", ...args);
  const officer = (...args) => desk("Tove Holm", ...args);
  const keeper = (...args) => desk("Ines Vik", ...args);
  admin("add", "person", "name=Tove Holm", "roles=officer,curator,vet");
  admin("add", "person", "name=Ines Vik", "roles=keeper");
  officer("add", "area", "name=yard");
  officer("add", "pool", "name=Seal pool 1", "area=yard");
  officer("add", "animal", "name=Sila", "pool=Seal pool 1", "taxon=Halichoerus grypus");
  officer("add", "food", "name=herring");
  officer("add", "diet_plan", "animal=Sila", `first_day=${dayBefore(60)}`, "approved_by=Tove Holm", "line=food=herring slot=08:30 mass=1.2kg tolerance=150g");
  officer("add", "water_limit", "pool=Seal pool 1", "parameter=temperature", "low=4C", "high=14C", "every_hours=24h", "source=house rule 3");
  officer("add", "cue", "name=Target");
  officer("add", "enricher", "name=Floating ring");
  officer("add", "enricher", "name=Ice block");
  const sheet = path.join(world.work, "sheet.csv");
  writeFileSync(sheet, feedingSheet());
  officer("import-sheet", sheet, "--yes");
  keeper("measure", "Sila", "mass=82.5kg", "--at", `${dayBefore(30)} 09:00`);
  keeper("measure", "Sila", "mass=84.1kg", "--at", `${dayBefore(2)} 09:00`);
  keeper("read", "Seal pool 1", "temperature=11.2C", "salinity=33.9psu", "--at", `${dayBefore(3)} 07:15`);
  keeper("read", "Seal pool 1", "temperature=15.5C", "--at", `${dayBefore(2)} 07:15`);
  keeper("train", "Sila", "Target", "--trials", "10", "--successes", "8", "--at", `${dayBefore(2)} 10:00`);
  keeper("enrich", "Sila", "Floating ring", "--response", "3", "--at", `${dayBefore(3)} 11:00`);
  keeper("enrich", "Sila", "Ice block", "--at", `${dayBefore(1)} 11:00`);
  officer("exchange");

  const page = await world.open("office");
  await world.enrol(page, "office tablet");
  const tab = async (...names) => {
    for (const name of names)
      await page.locator("nav.menu").getByRole("button", { name, exact: true }).first().click();
  };
  const exchange = async () => {
    await page.getByRole("button", { name: "Exchange", exact: true }).click();
    await page.getByText("the hub holds all that was written here").waitFor({ timeout: 20_000 });
  };
  // Gives the text that a click downloads.
  const download = async (button) => {
    const [file] = await Promise.all([page.waitForEvent("download"), button.click()]);
    const to = path.join(world.work, file.suggestedFilename());
    await file.saveAs(to);
    return to;
  };

  await step("the_first_walk_is_shown_once_blocks_nothing_and_can_be_left", async () => {
    await world.signIn(page, "Runa Dahl");
    await page.getByRole("heading", { name: /What is due today/ }).waitFor();
    await page.getByText("Seal pool 1").waitFor();
    await page.getByRole("button", { name: "Next", exact: true }).click();
    await world.shot(page, "walk");
    await page.getByRole("button", { name: "Leave the walk" }).click();
    await page.reload();
    await world.signIn(page, "Runa Dahl");
    await page.getByText("Seal pool 1").waitFor();
    if ((await page.locator(".walk").count()) !== 0) throw new Error("the walk came again by itself");
  });

  await step("help_says_what_to_do_and_takes_up_the_walk_again", async () => {
    await tab("Help", "What to do when …");
    await page.getByText("… a dose is shown twice").waitFor();
    await tab("What the words mean");
    await page.getByText("Tide line", { exact: true }).waitFor();
    await tab("Help");
    await page.getByRole("button", { name: "Take the walk" }).click();
    await page.getByText("step 1 of 7").waitFor();
    for (let at = 2; at <= 7; ++at) {
      await page.getByRole("button", { name: "Next", exact: true }).click();
      await page.getByText(`step ${at} of 7`).waitFor();
    }
    await page.getByRole("button", { name: "That was all" }).click();
  });

  await step("an_admin_adds_a_person_with_roles", async () => {
    await tab("Admin", "People");
    await page.getByRole("button", { name: "Add a person" }).click();
    await page.getByLabel("Name").fill("Jonas Berg");
    await page.getByLabel(/^keeper/).check();
    await page.getByRole("button", { name: "Add a person" }).click();
    await page.getByText("Jonas Berg is on the list.").waitFor();
    await page.locator(".item", { hasText: "Jonas Berg" }).waitFor();
    await world.shot(page, "people-list");
  });

  await step("a_person_gets_another_role_with_a_reason", async () => {
    await page.locator(".item", { hasText: "Jonas Berg" }).click();
    await page.getByLabel(/^records officer/).check();
    await page.getByLabel("Why (stands in the record)").first().fill("helps at the desk");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("What stands about Jonas Berg is changed.").waitFor();
    await page.locator(".item", { hasText: "Jonas Berg keeper, records officer" }).waitFor();
  });

  await step("a_pin_that_is_too_simple_is_refused_and_a_good_one_set", async () => {
    await page.locator(".item", { hasText: "Runa Dahl" }).click();
    const give = async (secret, pin) => {
      await page.getByLabel("PIN so far, or one-time code").fill(secret);
      await page.getByLabel("New PIN").fill(pin);
      await page.getByLabel("The same once more").fill(pin);
      await page.getByRole("button", { name: "Set the PIN" }).click();
    };
    const code = world.serverRun("pin-code", "--dir", world.hubDir, "Runa Dahl", "--reason", "a first one").trim();
    await give(code, "123456");
    await page.locator(".failure").waitFor();
    await world.shot(page, "pin");
    await give("BCDFG-HJKLM", "471142");
    await page.getByText("Runa Dahl has none").waitFor();
    await give(code, "471142");
    await page.getByText("Runa Dahl has a new PIN.").waitFor();
    await page.getByText("There is a PIN.").waitFor();
    // Still signed in, by the new PIN: the next entry is written.
    await page.getByRole("button", { name: "Back", exact: true }).click();
    await exchange();
    admin("exchange");
    const people = admin("list", "person", "--json");
    expect("Jonas Berg", people);
    expect("officer", people);
  });

  await step("the_rules_for_signing_in_are_the_facilitys_record", async () => {
    await page.getByRole("button", { name: "30 minutes" }).click();
    await page.getByLabel("Why (stands in the record)").fill("long rounds");
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("The rules are changed").waitFor();
    await exchange();
    admin("exchange");
    expect('"lock_after_min":30', admin("list", "facility", "--json").replaceAll(" ", ""));
  });

  await step("the_lock_asks_for_the_new_pin", async () => {
    await page.getByRole("button", { name: /Lock$/ }).click();
    await world.signIn(page, "Runa Dahl", "471142");
  });

  let link = "";
  await step("the_admin_makes_a_code_and_a_new_tablet_comes_in_by_its_link", async () => {
    await tab("Admin", "Devices");
    await page.getByRole("button", { name: "Let a new tablet in" }).click();
    await page.getByLabel("Your PIN").fill("471143");
    await page.getByRole("button", { name: "Make a code" }).click();
    await page.locator(".failure").waitFor();
    await page.getByLabel("Your PIN").fill("471142");
    await page.getByRole("button", { name: "Make a code" }).click();
    await page.getByRole("img", { name: /as a picture/ }).waitFor();
    await page.getByText(/good for \d+:\d\d more/).waitFor();
    await world.shot(page, "invite");
    link = await page.locator(".address").innerText();
    const other = await world.open("pool", { goto: false });
    await other.goto(link);
    await other.getByLabel("What this tablet is called").fill("pool tablet");
    await other.getByRole("button", { name: "Enrol" }).click();
    await other.getByText("Who is at this tablet?").waitFor({ timeout: 20_000 });
    await page.getByRole("button", { name: "Back", exact: true }).click();
    await exchange();
    await page.locator(".item", { hasText: "pool tablet" }).waitFor();
  });

  await step("a_revoked_tablet_is_refused_at_the_hub_and_keeps_its_records", async () => {
    await page.locator(".item", { hasText: "pool tablet" }).click();
    await page.getByText("When a tablet is lost").waitFor();
    await page.getByLabel("Why (stands in the record)").last().fill("lost at the beach");
    await page.getByRole("button", { name: "Revoke this device" }).click();
    await page.getByText("The device is revoked.").waitFor();
    await page.locator(".item", { hasText: "pool tablet" }).getByText("revoked").waitFor();
    await world.shot(page, "devices");
    await exchange();
    const other = world.browsers.get("pool").pages()[0];
    await other.getByRole("button", { name: "Exchange", exact: true }).click();
    await other.getByText(/revoked/).first().waitFor({ timeout: 20_000 });
    await world.signIn(other, "Ines Vik");
    await other.getByText("Seal pool 1").waitFor();
    await world.close("pool");
  });

  await step("the_trail_is_searched_and_saved_as_a_table", async () => {
    await tab("Trail");
    await page.getByLabel("Written by").selectOption({ label: "Runa Dahl" });
    await page.getByLabel("Kind of record").selectOption({ label: "Device" });
    await page.getByRole("button", { name: "Search" }).click();
    await page.getByText("Why: lost at the beach").waitFor();
    await world.shot(page, "trail");
    const csv = readFileSync(await download(page.getByRole("button", { name: "Save as a table (CSV)" })), "utf8");
    expect("lost at the beach", csv);
    expect("pool tablet", csv);
    await page.getByRole("button", { name: "Clear", exact: true }).click();
    await page.getByLabel("struck", { exact: true }).check();
    await page.getByRole("button", { name: "Search" }).click();
    await page.getByText(/changes, that is all/).waitFor();
    await page.getByRole("button", { name: "All of this record" }).first().click();
    await page.getByRole("heading", { name: /^Trail: / }).waitFor();
    await page.getByText(/changes, that is all/).waitFor();
  });

  await step("seals_figure_and_rebuild_agree_with_the_desk", async () => {
    await tab("Proof");
    await page.getByRole("button", { name: "Check all seals" }).click();
    await page.getByText(/All is as it was written/).waitFor({ timeout: 60_000 });
    await page.getByRole("button", { name: "Reckon the figure" }).click();
    const figure = (await page.locator(".code-line").innerText()).replaceAll(" ", "");
    admin("exchange");
    expect(figure, admin("digest"));
    await page.getByRole("button", { name: "Make them anew and compare" }).click();
    await page.getByText(/The records are the same/).waitFor({ timeout: 60_000 });
    await world.shot(page, "proof");
  });

  await step("evidence_of_a_weighing_is_a_file_that_an_outsider_can_check", async () => {
    await page.getByRole("button", { name: "Choose records" }).click();
    await page.getByLabel("Kind of record").selectOption({ label: "Measurements" });
    await page.getByLabel("Of an animal or pool").selectOption({ label: "Sila" });
    await page.getByLabel(/84/).check();
    await page.getByText("1 record chosen").waitFor();
    await page.getByRole("button", { name: "Make the file" }).click();
    const file = await download(page.getByRole("button", { name: "Save the file" }));
    await page.getByText(/It is checked with wrackline-evidence/).waitFor();
    await world.shot(page, "evidence");
    const verifier = path.join(options().build, "platform-shims/apps/evidence/wrackline-evidence");
    const hubKey = admin("verify").match(/hub whose key is ([0-9a-f]{64})/)[1];
    if (existsSync(verifier)) execFileSync(verifier, [file, "--hub-key", hubKey], { stdio: "ignore" });
    else expect("seal", readFileSync(file, "utf8"));
  });

  await step("what_needs_attention_leads_to_its_picture", async () => {
    await tab("Pictures");
    await page.getByText("temperature: outside its limit at the last reading").waitFor();
    await world.shot(page, "attention");
    await page.getByRole("button", { name: /outside its limit/ }).click();
    await page.getByRole("heading", { name: "Temperature" }).waitFor();
    await page.getByText("2 readings; 1 outside their limit.").waitFor();
    await page.getByText(/Temperature: to be read every 24 hours/).waitFor();
    await world.shot(page, "water");
  });

  await step("intake_is_the_cores_and_a_day_without_a_record_is_a_gap", async () => {
    await tab("An animal");
    await page.getByRole("button", { name: "28 days" }).click();
    await page.getByText(/^26 of 28 days are recorded, 25 of them wholly weighed/).waitFor();
    const said = JSON.parse(officer("intake", "Sila", "--from", dayBefore(27), "--to", dayBefore(0), "--json"));
    expect("26", String(said.days_recorded ?? JSON.stringify(said)));
    await page.locator(".plot").first().focus();
    await page.keyboard.press("Home");
    await page.getByText(/: eaten .* planned 1.2 kg/).waitFor();
    await page.getByText("The figures as a table").click();
    await page.getByRole("row", { name: /not recorded/ }).first().waitFor();
    await world.shot(page, "intake");
  });

  await step("the_control_chart_says_its_alarms_in_words", async () => {
    await page.getByRole("button", { name: "Control chart" }).click();
    await page.getByRole("button", { name: "90 days" }).click();
    await page.getByRole("table", { name: "Marked days" }).getByText(/alarm/).first().waitFor();
    await page.getByText(/never applied by itself/).waitFor();
    await world.shot(page, "control");
  });

  await step("body_training_and_enrichment_have_their_pictures", async () => {
    await page.getByRole("button", { name: "Body", exact: true }).click();
    await page.getByText("2 weighings in these days").waitFor();
    await page.getByRole("button", { name: "Training", exact: true }).click();
    await page.getByText("8 of 10").waitFor();
    await page.getByRole("button", { name: "Enrichment", exact: true }).click();
    await page.getByText("2 uses of 2 enrichers").waitFor();
    await page.locator("table.calendar").getByText("Floating ring, used it for a while").waitFor({ state: "attached" });
    await world.shot(page, "rotation");
    await tab("All animals");
    await page.getByRole("button", { name: "Day before" }).click();
    await page.getByRole("row", { name: /Sila.*wholly weighed/ }).waitFor();
    await world.shot(page, "all-animals");
  });

  await step("somebody_who_left_is_struck_and_cannot_sign_in_any_more", async () => {
    await tab("Admin", "People");
    await page.locator(".item", { hasText: "Jonas Berg" }).click();
    await page.getByLabel("Why (stands in the record)").last().fill("left in autumn");
    await page.getByRole("button", { name: "Strike this person" }).click();
    await page.getByText("The person is struck").waitFor();
    await page.getByRole("button", { name: /Lock$/ }).click();
    await page.getByRole("button", { name: "Ines Vik" }).waitFor();
    if ((await page.getByRole("button", { name: "Jonas Berg" }).count()) !== 0) throw new Error("there is still a tile");
  });

  await step("where_proofs_are_asked_for_signing_in_gives_one_and_the_trail_says_so", async () => {
    await world.signIn(page, "Runa Dahl", "471142");
    await tab("Admin", "People");
    await page.getByLabel(/^Plans, orders, approvals/).check();
    await page.getByLabel("Why (stands in the record)").fill("orders are to be proven");
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("The rules are changed").waitFor();
    await world.shot(page, "proof-rule");
    await exchange();
    await page.getByRole("button", { name: /Lock$/ }).click();
    await world.signIn(page, "Runa Dahl", "471142");
    await tab("Admin", "People");
    await page.getByRole("button", { name: "Add a person" }).click();
    await page.getByLabel("Name").fill("Solveig Aas");
    await page.getByLabel(/^keeper/).check();
    // The hub writes it, and asks for the PIN.
    await page.getByRole("button", { name: "Add a person" }).click();
    await page.getByRole("heading", { name: "The hub writes this" }).waitFor();
    await world.shot(page, "at-hub");
    await page.getByRole("alertdialog").getByRole("button", { name: "Back" }).click();
    await page.getByText("Nothing was changed.").waitFor();
    await page.getByRole("button", { name: "Add a person" }).click();
    await page.getByLabel("PIN of Runa Dahl").fill("471143");
    await page.getByRole("button", { name: "Have it written" }).click();
    await page.getByText("that is not Runa Dahl's").waitFor();
    await page.getByRole("button", { name: "Add a person" }).click();
    await page.getByLabel("PIN of Runa Dahl").fill("471142");
    await page.getByRole("button", { name: "Have it written" }).click();
    await page.getByText("Solveig Aas is on the list.").waitFor();
    await exchange();
    admin("exchange");
    expect("Solveig Aas", admin("list", "person", "--json"));
    // On the desk nobody has proved anything: it is held.
    officer("add", "pool", "name=Otter pool");
    officer("exchange");
    if (officer("list", "pool", "--json").includes("Otter pool")) throw new Error("an unproven pool counts");
    expect("had not proved", officer("held"));
    await tab("Admin", "Trail");
    await page.getByLabel("Written by").selectOption({ label: "Runa Dahl" });
    await page.getByRole("button", { name: "Search" }).click();
    await page.getByText("proven to the hub").first().waitFor();
    await page.getByText("by the device’s word").first().waitFor();
    await world.shot(page, "trail-proven");
  });

  let pinCode = "";
  await step("an_admin_gives_a_code_and_a_keeper_chooses_a_pin_with_it", async () => {
    await tab("Admin", "People");
    await page.locator(".item", { hasText: "Ines Vik" }).click();
    await page.getByRole("button", { name: "Give a one-time code" }).click();
    await page.getByLabel("PIN of Runa Dahl").fill("471142");
    await page.getByRole("button", { name: "Have it written" }).click();
    pinCode = await page.getByLabel("One-time code", { exact: true }).innerText();
    await world.shot(page, "pin-code");
    // On another device.
    world.typed(`${pinCode}\n2580\n`, "desk", "Ines Vik", "set-pin", "--pin-stdin");
    await exchange();
  });

  await step("a_hub_out_of_reach_keeps_nobody_from_working", async () => {
    await page.getByRole("button", { name: /Lock$/ }).click();
    await page.context().setOffline(true);
    // The tablet lets in by itself whom it knows; anybody else logs care.
    await world.signIn(page, "Runa Dahl", "471142");
    await page.getByRole("button", { name: /Lock$/ }).click();
    await page.getByRole("button", { name: "Ines Vik" }).click();
    for (const digit of "2580") await page.getByRole("button", { name: digit, exact: true }).click();
    await page.getByRole("button", { name: "✓" }).click();
    await page.getByText("Without the hub Ines Vik can still log care here").waitFor();
    await world.shot(page, "by-name");
    await page.getByRole("button", { name: "Go on without the PIN, for care" }).click();
    await page.getByRole("button", { name: /Ines Vik.*Lock$/ }).waitFor();
    await page.context().setOffline(false);
    await page.getByRole("button", { name: /Lock$/ }).click();
    await world.signIn(page, "Ines Vik", "2580");
    await page.getByRole("button", { name: /Ines Vik.*Lock$/ }).waitFor();
  });

  await step("no_page_complained", () => {
    if (world.complaints.length > 0) throw new Error(world.complaints.join("; "));
    return Promise.resolve();
  });
});
