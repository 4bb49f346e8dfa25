// A keeper's day at the scale and at the pool: every screen of the keeper is used as a keeper would, and what came of it is
// asked of the desk by the command line.
//
//   node tests/tablet/keeper.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { dayFromToday, expect, options, play, sleep, step } from "./world.mjs";


// A zone in which it is between twelve and one now, so that one meal of the day is due, one late and one to come. The sign of
// these names is the other way round.
function zoneWithNoon() {
  const offset = 12 - new Date().getUTCHours();
  return offset === 0 ? "Etc/UTC" : `Etc/GMT${offset > 0 ? "-" : "+"}${Math.abs(offset)}`;
}

function furnish(desk) {
  const admin = (...args) => desk("runa", ...args);
  admin("add", "person", "name=Tove Holm", "roles=officer,curator");
  admin("add", "person", "name=Ines Vik", "roles=keeper");
  admin("add", "person", "name=Jonas Berg", "roles=keeper");
  admin("add", "person", "name=Liv Aas", "roles=vet");
  const officer = (...args) => desk("Tove Holm", ...args);
  const vet = (...args) => desk("Liv Aas", ...args);
  officer("add", "area", "name=yard");
  officer("add", "area", "name=hall");
  officer("add", "pool", "name=Seal pool 1", "area=yard");
  officer("add", "pool", "name=Ray tank", "area=hall");
  officer("add", "animal", "name=Sila", "pool=Seal pool 1", "taxon=Halichoerus grypus");
  officer("add", "animal", "name=Kobb", "pool=Seal pool 1", "taxon=Halichoerus grypus");
  officer("add", "animal", "name=Brisk", "pool=Ray tank", "taxon=Raja clavata", "head_count=3");
  officer("add", "food", "name=herring", "energy=1580cal/g");
  officer("add", "food", "name=squid", "energy=790cal/g");
  officer("add", "food", "name=sprat");
  officer("receive", "herring", "40kg", "--lot", "H-12", "--use-by", dayFromToday(40), "--store", "freezer 1");
  officer(
    "receive",
    "squid",
    "12kg",
    "--lot",
    "S-3",
    "--use-by",
    dayFromToday(-2),
    "--store",
    "freezer 2",
    "--at",
    `${dayFromToday(-6)} 08:00`,
  );
  const plan = (animal, ...lines) =>
    officer("add", "diet_plan", `animal=${animal}`, `first_day=${dayFromToday(-30)}`, "approved_by=Tove Holm", ...lines);
  plan(
    "Sila",
    "line=food=herring slot=08:30 mass=1.2kg tolerance=50g preparation=whole presentation=by hand",
    "line=food=herring slot=12:30 mass=1.2kg tolerance=50g preparation=whole",
    "line=food=squid slot=12:30 mass=300g tolerance=20g preparation=in rings",
    "line=food=herring slot=16:30 mass=1kg",
  );
  plan("Kobb", "line=food=herring slot=12:30 mass=2kg tolerance=100g", "line=food=herring slot=16:30 mass=2kg");
  plan("Brisk", "line=food=squid slot=12:00 mass=400g");
  vet(
    "add",
    "treatment_order",
    "animal=Kobb",
    "preparation=Antibiotic tablet 250 mg",
    "dose=250mg",
    "route=in the first herring",
    "slots=12:30",
    `first_day=${dayFromToday(-3)}`,
    "ordered_by=Liv Aas",
    "needs_witness=true",
    "interval=12h",
    "daily_max=1",
  );
  vet(
    "add",
    "treatment_order",
    "animal=Sila",
    "preparation=Eye drops",
    "dose=1mL",
    "route=into the left eye",
    "slots=12:30",
    `first_day=${dayFromToday(-3)}`,
    "ordered_by=Liv Aas",
  );
  vet(
    "add",
    "treatment_order",
    "animal=Sila",
    "preparation=Vitamin tablet",
    "dose_units_per_kg_food=100 units/kg food",
    "substance=international units of vitamin E as d-alpha-tocopherol",
    "slots=12:30",
    `first_day=${dayFromToday(-3)}`,
    "ordered_by=Liv Aas",
  );
  officer("add", "enricher", "name=Floating ring", "goal=plays", "gap_days=3d", "caution=loose rope ends");
  officer("add", "enricher", "name=Ice block", "goal=forages", "inspect_every_days=7d", "caution=chips with sharp edges");
  officer("add", "enrichment_plan", "animal=Sila", `first_day=${dayFromToday(-30)}`, "times_per_week=7");
  officer("add", "cue", "name=Target", "signal=fist", "criterion=touches within 3 s");
  officer("add", "code", "topic=behaviour", "code=rest", "meaning=still, eyes shut");
  officer("add", "code", "topic=behaviour", "code=swim", "meaning=moves through the water on its own");
  officer("add", "code", "topic=appetite", "code=eager", "meaning=takes each fish before it sinks");
  officer("add", "code", "topic=wound", "code=red", "meaning=red skin, not open; score 1 to 3 by size");
  officer("add", "watch_plan", "subject=Sila", `first_day=${dayFromToday(-30)}`, "quantity=mass", "every_days=7d");
  officer("add", "watch_plan", "subject=Seal pool 1", `first_day=${dayFromToday(-30)}`, "parameter=temperature", "every_days=1d");
  officer("add", "water_limit", "pool=Seal pool 1", "parameter=temperature", "low=4C", "high=16C", "source=the site's own plan");
  officer("add", "water_limit", "parameter=ph", "low=7.2", "high=8.2", "every=24h", "source=an old leaflet", "unverified=true");
  officer(
    "add",
    "site_limit",
    "of_kind=measure",
    "of_field=value",
    "of_detail=mass",
    "high=400kg",
    "note=no animal here is heavier",
  );
  officer("exchange");
}

await play(options(), async (world) => {
  world.found("Skerry Bay Rescue", zoneWithNoon());
  await world.startHub();
  const desk = world.device("desk");
  furnish(desk);
  const listed = (...args) =>
    JSON.stringify(JSON.parse(desk("Tove Holm", "list", ...args, "--json")).records).replaceAll(" ", "");

  let page;
  const button = (name, exact = false) => page.getByRole("button", { name, exact });
  const today = async () => {
    await page.getByRole("navigation", { name: "Parts of the app" }).getByRole("button", { name: "At the pool" }).click();
    await page.getByText("What others wrote").waitFor();
  };
  const menu = (name) => page.locator("nav.menu ul.inner").getByRole("button", { name }).click();
  const animal = async (name) => {
    await menu("Animals, pools");
    await button(name).first().click();
    await page.getByRole("heading", { name, exact: true }).waitFor();
  };
  const said = (text) => page.getByRole("status").getByText(text).waitFor();

  page = await world.open("pool");
  await world.enrol(page, "pool tablet");
  await world.signIn(page, "Ines Vik");

  await step("the_day_counts_what_is_due_late_and_done", async () => {
    await page.getByText("Seal pool 1").first().waitFor();
    await button(/Sila Meal.*late|Sila Meal.*missed/)
      .first()
      .waitFor();
    await button(/12:30 Sila Meal.*due now/).waitFor();
    await button(/16:30 Sila Meal.*later/).waitFor();
    await button(/late or missed/).click();
    await button(/16:30 Sila Meal/).waitFor({ state: "detached" });
    await button(/late or missed/).click();
    await world.look(page, "keeper-today");
  });

  await step("a_tray_is_weighed_in_the_kitchen_and_says_how_far_off_it_is", async () => {
    await menu("Kitchen");
    await page.getByText("Prepare the food of the day").waitFor();
    await page.getByText("past its use-by day").first().waitFor();
    await page.getByText("To be put into the food").waitFor();
    await world.look(page, "keeper-prep");
    await button(/12:30 Sila/).click();
    const herring = page.locator("section").filter({ hasText: "herring" });
    const squid = page.locator("section").filter({ hasText: "squid" });
    await herring.getByLabel("Weighed, g").fill("1180");
    await herring.getByText("20 g less than planned, within the 50 g the plan allows").waitFor();
    await squid.getByLabel("Weighed, g").fill("350,5");
    await squid.getByText("50.5 g more than planned, beyond the 20 g").waitFor();
    await page.getByText("in all 1.531 kg of 1.5 kg").waitFor();
    await world.look(page, "keeper-weigh");
  });

  await step("another_food_stands_in_by_energy_and_people_are_asked_to_decide", async () => {
    const squid = page.locator("section").filter({ hasText: "squid" });
    await squid.getByLabel("Weighed, g").fill("");
    await button("This food is missing").nth(1).click();
    await page.getByText("The app reckons, it does not decide.").waitFor();
    await page.getByLabel("Food in its place").selectOption({ label: "herring" });
    await page.getByText("In the place of 300 g: 150 g of herring.").waitFor();
    await world.look(page, "keeper-substitute");
    await button("Weigh herring in its place").click();
    await page.getByLabel("Weighed, g").nth(1).fill("150");
    await page.getByText("as planned").waitFor();
  });

  await step("a_tray_outlives_a_reload_and_is_given_at_the_pool_in_two_taps", async () => {
    await page.reload();
    await world.signIn(page, "Jonas Berg");
    await menu("Kitchen");
    await button(/12:30 Sila.*weighed/).waitFor();
    await today();
    await button(/12:30 Sila Meal/).click();
    await page.getByText("Tray prepared by Ines Vik").waitFor();
    await world.look(page, "keeper-give");
    await button("Given").click();
    await said("The meal of Sila is on this tablet.");
    await button(/12:30 Sila Meal.*done/).waitFor();
    await menu("Kitchen");
    await button(/12:30 Sila.*given/).waitFor();
  });

  await step("a_meal_given_by_mistake_is_taken_back_by_undo", async () => {
    await today();
    await button(/12:00 Brisk Meal/).click();
    await page.getByLabel("Weighed, g").fill("400");
    await button("Given").click();
    await said("The meal of Brisk is on this tablet.");
    await button("Undo").click();
    await said("It is struck");
    await button(/12:00 Brisk Meal.*(due now|late)/).waitFor();
  });

  await step("what_came_back_is_weighed_with_a_control", async () => {
    await button(/12:30 Sila Meal.*Weigh what came back/).click();
    await page.getByLabel("Left, g").first().fill("80,5");
    await button("A control was weighed").first().click();
    await page.getByLabel("Control before, g").fill("100");
    await page.getByLabel("Control after, g").fill("112");
    await world.look(page, "keeper-left");
    // Half-typed entries outlive a reload.
    await page.reload();
    await world.signIn(page, "Jonas Berg");
    await button(/12:30 Sila Meal/).click();
    await page.getByText("Not saved yet").waitFor();
    await page.getByLabel("Left, g").nth(1).fill("0");
    await button("Save").click();
    await said("What came back is on this tablet.");
  });

  await step("a_dose_without_its_witness_is_asked_about", async () => {
    await button(/12:30 Kobb Dose/).click();
    await page.getByText("By the order this is 250 mg.").waitFor();
    await page.getByText("Check animal, preparation").waitFor();
    await button("Given", true).click();
    await page.getByText("Stop and look").waitFor();
    await button("Save: given").click();
    await page.getByText("The order asks for a witness: choose one").waitFor();
    await page.getByLabel("Witness (the order asks for one)").selectOption({ label: "Ines Vik" });
    await page.getByLabel("Prepared by").selectOption({ label: "Jonas Berg" });
    await world.look(page, "keeper-dose");
    await button("Save: given").click();
    await said("The dose is on this tablet.");
    await button(/12:30 Kobb Dose.*done/).waitFor();
  });

  await step("a_second_dose_of_the_same_slot_is_asked_about_before_it_is_given", async () => {
    await button(/12:30 Kobb Dose.*done/).click();
    await page.getByText("An entry for this very dose is here already.").first().waitFor();
    await button("Given", true).click();
    await button("Save: given").click();
    await page.getByText("Look at what is asked, and say so.").waitFor();
    await world.look(page, "keeper-dose-twice");
    await button("Back").click();
  });

  await step("a_refused_dose_is_neither_done_nor_missing", async () => {
    await button(/12:30 Sila Dose: Eye drops/).click();
    await button("Refused", true).click();
    await page.getByLabel("Note").fill("turned away");
    await button("Save: refused").click();
    await said("The dose is on this tablet.");
    await button(/12:30 Sila Dose: Eye drops.*refused/).waitFor();
  });

  await step("part_of_a_dose_is_given_with_its_amount", async () => {
    await button(/12:30 Sila Dose: Vitamin tablet/).click();
    await page.getByText("By the order this is 150 units.").waitFor();
    await button("Part", true).click();
    await page.getByLabel("Amount that went in, units").fill("100");
    await button("Save: part").click();
    await said("The dose is on this tablet.");
  });

  await step("enrichment_follows_the_rotation_and_its_response_comes_later", async () => {
    await button(/Sila Enrichment/).click();
    await button(/Floating ring · suggested/).click();
    await page.getByText("loose rope ends").first().waitFor();
    await world.look(page, "keeper-enrich");
    await button("Offered", true).click();
    await said("Floating ring is on this tablet.");
    await button(/Sila Enrichment.*done/).click();
    await page.getByText("nobody has noted the response yet").waitFor();
    await button("Used it a while").click();
    await button("Save").click();
    await said("Floating ring is on this tablet.");
  });

  await step("an_enricher_is_inspected", async () => {
    await button(/Ice block Inspection/).click();
    await button("Not safe").click();
    await page.getByText("Take it away from the animals").waitFor();
    await page.getByLabel("What was found").fill("cracked mould");
    await world.look(page, "keeper-inspect");
    await button("Save").click();
    await said("The inspection of Ice block is on this tablet.");
  });

  await step("a_mass_beyond_the_limit_of_the_site_is_asked_about", async () => {
    await button(/Sila Measure/).click();
    await page.getByLabel("Mass, kg").fill("842");
    await page.getByLabel("Instrument").fill("platform scale 2");
    await button("Save").click();
    await page.getByText("A value is beyond a limit of this site.").waitFor();
    await page.getByRole("alertdialog").getByRole("button", { name: "Back" }).click();
    await page.getByLabel("Mass, kg").fill("84,2");
    await page.getByText("84.2 kg").waitFor();
    await world.look(page, "keeper-measure");
    await button("Save").click();
    await said("The measure of Sila is on this tablet.");
  });

  await step("water_is_read_in_one_go_and_judged_by_the_limits", async () => {
    await button(/Seal pool 1 Water/).click();
    await page.getByLabel(/Temperature, °C/).fill("17,4");
    await page.getByLabel("pH", { exact: true }).fill("8.05");
    await page.getByLabel("Salinity, psu").fill("33.1");
    await world.look(page, "keeper-water");
    await button("Save").click();
    await page.getByText("above the limit").waitFor();
    await page.getByText("Outside a limit: read it once more").waitFor();
    await page.getByText("nobody has checked this limit").waitFor();
    await world.look(page, "keeper-water-judged");
    await button("Seen", true).click();
    await page.getByText("What others wrote").waitFor();
  });

  await step("an_observation_has_its_code_score_and_place", async () => {
    await animal("Sila");
    await world.look(page, "keeper-animal");
    await button("Something seen").click();
    await button("Wound").click();
    await button(/^red/).click();
    await page.getByLabel("Score, on the scale of the code").fill("2");
    await page.getByLabel("Where on the body").fill("left flipper");
    await world.look(page, "keeper-seen");
    await button("Save").click();
    await said("What was seen is on this tablet.");
  });

  await step("training_is_tapped_trial_by_trial_with_the_food_given_in_it", async () => {
    await button("Training").click();
    await page.getByLabel(/^Cue/).selectOption({ label: "Target" });
    await page.getByText("touches within 3 s").waitFor();
    for (const success of [true, true, false, true]) await button(success ? "Success" : "No success", true).click();
    await page.getByText("3 of 4 succeeded").waitFor();
    await button("No success", true).click();
    await button("Take the last one back").click();
    await page.getByLabel(/^Food/).selectOption({ label: "sprat" });
    await page.getByLabel(/^Weighed, g/).fill("60");
    await world.look(page, "keeper-train");
    await button("Save").click();
    await said("The session of Sila is on this tablet.");
  });

  await step("behaviour_is_scanned_look_by_look", async () => {
    await button("Watch behaviour").click();
    await button(/rest/).click();
    await button(/swim/).click();
    await button(/swim/).click();
    await button(/could not be seen/).click();
    await page.getByText("4 looks so far").waitFor();
    await world.look(page, "keeper-scan");
    await button("Save").click();
    await said("The watch of Sila is on this tablet.");
  });

  await step("unplanned_food_and_a_move_are_written_of_an_animal", async () => {
    await button("Unplanned food").click();
    await page.getByLabel(/^Food/).selectOption({ label: "squid" });
    await page.getByLabel(/^Weighed, g/).fill("45");
    await world.look(page, "keeper-snack");
    await button("Given").click();
    await said("The meal of Sila is on this tablet.");
    await button("Move", true).click();
    await page.getByLabel(/^To/).selectOption({ label: "Ray tank · hall" });
    await page.getByLabel("Why it is moved").fill("the pool is drained");
    await world.look(page, "keeper-move");
    await button("Save").click();
    await said("The move of Sila is on this tablet.");
  });

  await step("a_hygiene_check_is_written_of_an_area", async () => {
    await today();
    await button("Cleaning or hygiene check").click();
    await page.getByLabel("Area").selectOption("yard");
    await page.getByLabel("What was done or checked").fill("feed kitchen floor");
    await button("In order", true).click();
    await world.look(page, "keeper-hygiene");
    await button("Save").click();
    await said("The check is on this tablet.");
  });

  await step("food_is_taken_out_to_thaw_and_its_clock_is_shown", async () => {
    await menu("Kitchen");
    await button("Take food out to thaw").click();
    await page.getByLabel("Lot").selectOption({ index: 1 });
    await page.getByLabel("Mass, g").fill("6000");
    await button("Refrigerator", true).click();
    await world.look(page, "keeper-thaw");
    await button("Save").click();
    await said("The batch is on this tablet; its clock runs.");
    await page.getByText("its hours run from when it is found thawed").waitFor();
    await button("Found thawed").click();
    await page.getByText("to be fed until").waitFor();
    await world.look(page, "keeper-thawing");
  });

  await step("an_entry_is_put_right_with_a_reason_and_shows_how_it_came_about", async () => {
    await menu("Entries");
    await button(/Sila Measure Mass · 84.2 kg/).click();
    await page.getByLabel("Value, kg").fill("82.4");
    await button("Save the change").click();
    await page.getByText("Say why").waitFor();
    await page.getByLabel("Why (stands in the record)").fill("digits swapped");
    await world.look(page, "keeper-entry");
    await button("Save the change").click();
    await said("The change is on this tablet.");
    await button(/Sila Measure Mass · 82.4 kg/).click();
    await page.getByText("Why: digits swapped").waitFor();
    await page.getByRole("listitem").filter({ hasText: "Written: Mass · 84.2 kg" }).waitFor();
    await button("Back").click();
    await world.look(page, "keeper-entries");
  });

  await step("an_entry_is_struck_and_the_strike_lifted_again", async () => {
    await button(/Hygiene feed kitchen floor/).click();
    await page.getByLabel("Why (stands in the record)").fill("it was another area");
    await button("Strike it").click();
    await said("It is struck, and stands in the trail.");
    await button(/Hygiene feed kitchen floor.*struck/).click();
    await page.getByLabel("Why (stands in the record)").fill("it was this one after all");
    await button("Lift the strike").click();
    await said("It is in account again.");
  });

  await step("a_phone_shows_the_same_within_its_width", async () => {
    await page.setViewportSize({ width: 400, height: 850 });
    for (const name of ["Today", "Kitchen", "Animals, pools", "Entries"]) {
      await menu(name);
      await sleep(400);
      await world.shot(page, `keeper-phone-${name.split(",")[0].toLowerCase()}`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (wide > 1) throw new Error(`${name} is ${wide} px wider than the phone`);
    }
    await page.setViewportSize({ width: 820, height: 1180 });
  });

  // The tablet's entries go to the hub, and the desk's come.
  const meet = async () => {
    desk("Tove Holm", "exchange");
    const now = button("Exchange", true);
    await now.click();
    await now.waitFor();
    await page.getByText("the hub holds all that was written here").waitFor({ timeout: 20_000 });
    desk("Tove Holm", "exchange");
  };

  await step("the_desk_reads_every_entry_as_it_was_made", async () => {
    await meet();
    const portions = listed("portion");
    for (const wanted of [
      '"offered_mg":1180000',
      '"left_mg":80500',
      '"soak_ppm":1120000',
      '"left_mg":0',
      '"substituted_mg":300000',
      '"substituted_by":"energy"',
      '"offered_mg":60000',
      '"offered_mg":45000',
    ])
      expect(wanted, portions);
    const doses = listed("administration");
    for (const wanted of [
      '"given_ug":250000',
      '"outcome":"refused"',
      '"note":"turnedaway"',
      '"outcome":"part"',
      '"given_units":100',
      '"witness"',
      '"prepared_by"',
    ])
      expect(wanted, doses);
    expect('"response":3', listed("enrichment_use"));
    expect('"safe":false', listed("inspection"));
    expect('"value":82400000', listed("measure"));
    expect('"value":17400', listed("water_reading"));
    expect('"score":2', listed("observation"));
    expect('"trials":4', listed("training_session"));
    expect('"purpose":"training"', listed("meal"));
    expect('"not_visible":1', listed("scan"));
    expect("drained", listed("move"));
    expect('"passed":true', listed("hygiene_check"));
    expect('"thawed_ms"', listed("thaw_batch"));
    expect("digits swapped", desk("Tove Holm", "trail", "--animal", "Sila"));
  });

  await step("two_people_change_one_entry_and_a_third_value_settles_it", async () => {
    const { record } = JSON.parse(desk("Tove Holm", "list", "measure", "--json")).records[0];
    desk("Tove Holm", "correct", record, "value=83kg", "--reason", "read again", "--yes");
    const change = async (value, reason, settle) => {
      await menu("Entries");
      await button(/Sila Measure Mass/).click();
      await page.getByLabel("Value, kg").fill(value);
      await page.getByLabel("Why (stands in the record)").fill(reason);
      if (settle) {
        await page.getByText("Two people gave it different values").waitFor();
        for (const side of ["Mass · 83 kg", "Mass · 82.5 kg"])
          await page.getByRole("listitem").filter({ hasText: side }).first().waitFor();
        await world.look(page, "keeper-disagreement");
        await button("What I write settles it").click();
      }
      await button("Save the change").click();
      await said("The change is on this tablet.");
    };
    await change("82,5", "scale was not level", false);
    await meet();
    await meet();
    await button(/Sila Measure Mass.*two values/).waitFor();
    await change("82,6", "weighed once more together", true);
    await meet();
    expect('"value":82600000', listed("measure"));
  });

  await step("a_dose_that_two_tablets_gave_stops_whoever_looks_at_the_day", async () => {
    desk("Ines Vik", "dose", "Kobb", "--slot", "12:30", "--outcome", "given", "--witness", "Jonas Berg", "--yes");
    await meet();
    await today();
    await page.getByText("may have been given twice").waitFor();
    await world.look(page, "keeper-urgent");
    await button(/Open what Jonas Berg wrote/).click();
    await page.getByText("How it came about").waitFor();
    await button("Back").click();
  });

  await step("the_day_is_the_same_by_night_and_in_the_second_language", async () => {
    await page.evaluate(() => {
      localStorage.setItem("wrackline-language", "nb");
      localStorage.setItem("wrackline-look", "night");
    });
    await page.reload();
    await world.signIn(page, "Ines Vik");
    await page.getByRole("button", { name: /gjort/ }).first().waitFor();
    await world.look(page, "keeper-night-today");
    await page.getByRole("button", { name: /12:00 Brisk/ }).click();
    await page.getByLabel("Veid, g").fill("380");
    await page.getByText("20 g mindre enn planlagt").waitFor();
    await world.look(page, "keeper-night-meal");
    await page.getByRole("button", { name: "Tilbake" }).click();
    await page.getByRole("button", { name: /12:30 Kobb Dose/ }).click();
    await page.getByText("Etter ordinasjonen er dette 250 mg.").waitFor();
    await world.look(page, "keeper-night-dose");
  });

  await step("no_page_complained", async () => {
    if (world.complaints.length > 0) throw new Error(world.complaints.join("; "));
  });
});
