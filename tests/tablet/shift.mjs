// A keeper's shift on a tablet in a real browser: enrolled, used with no network, killed, opened again, exchanged.
//
//   node tests/tablet/shift.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { expect, options, play, sleep, step } from "./world.mjs";

await play(options(), async (world) => {
  world.found();
  await world.startHub();
  const desk = world.device("desk");
  desk("runa", "add", "person", "name=Tove Holm", "roles=officer,curator");
  desk("runa", "add", "person", "name=Ines Vik", "roles=keeper");
  const officer = (...args) => desk("Tove Holm", ...args);
  officer("add", "area", "name=yard");
  officer("add", "pool", "name=Seal pool 1", "area=yard");
  officer("add", "animal", "name=Sila", "pool=Seal pool 1", "taxon=Halichoerus grypus");
  officer("add", "food", "name=herring");
  officer("add", "diet_plan", "animal=Sila", "first_day=2026-01-01", "approved_by=Tove Holm", "line=food=herring slot=08:30 mass=1.2kg", "line=food=herring slot=16:30 mass=1.2kg");
  officer("exchange");

  let page;
  await step("the_hub_serves_the_app_and_a_code_lets_the_tablet_in", async () => {
    page = await world.open("pool");
    await page.getByLabel("Code, ten letters").waitFor();
    await world.shot(page, "enrol");
    await world.enrol(page, "pool tablet");
    await world.shot(page, "people");
  });

  await step("the_day_shows_what_is_planned_by_pool", async () => {
    await world.signIn(page, "Ines Vik");
    await page.getByText("Seal pool 1").waitFor();
    await page.getByText("planned 1.2 kg").first().waitFor();
    await world.shot(page, "today");
  });

  await step("the_app_is_whole_without_a_network", async () => {
    await page.evaluate(() => navigator.serviceWorker.ready);
    await sleep(1000);
    await world.stopHub();
    await page.reload();
    await world.signIn(page, "Ines Vik");
    await page.getByText("Seal pool 1").waitFor();
  });

  await step("a_meal_is_weighed_and_kept_with_no_network", async () => {
    await page.getByRole("button", { name: /08:30/ }).click();
    await page.getByRole("button", { name: "weigh with the dish" }).click();
    await page.getByLabel("With dish, g").fill("1450");
    await page.getByLabel("Dish, g", { exact: true }).fill("250");
    await page.getByText("in all 1.2 kg").waitFor();
    await world.shot(page, "meal");
    await page.getByRole("button", { name: "Given" }).click();
    await page.getByText("The meal of Sila is on this tablet.").waitFor();
    await page.getByText("2 entries only here").waitFor();
    await world.shot(page, "saved");
  });

  await step("what_came_back_is_added_to_it", async () => {
    await page.getByRole("button", { name: /08:30.*done/ }).click();
    await page.getByLabel("Left, g").fill("80,5");
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByText("3 entries only here").waitFor();
  });

  await step("a_killed_browser_loses_nothing_that_was_saved", async () => {
    await world.kill("pool");
    await world.startHub();
    page = await world.open("pool");
    await world.signIn(page, "Ines Vik");
    await page.getByText("done").first().waitFor();
  });

  await step("the_hub_gets_it_when_it_is_in_reach", async () => {
    await page.getByRole("button", { name: "Exchange", exact: true }).click();
    await page.getByText("the hub holds all that was written here").waitFor({ timeout: 20_000 });
    await world.shot(page, "exchanged");
    officer("exchange");
    const meals = JSON.parse(officer("list", "meal", "--json"));
    expect('"slot_min":510', JSON.stringify(meals).replaceAll(" ", ""));
    const portions = JSON.stringify(JSON.parse(officer("list", "portion", "--json"))).replaceAll(" ", "");
    expect('"gross_mg":1450000', portions);
    expect('"left_mg":80500', portions);
    expect("pool tablet", officer("trail", JSON.parse(officer("list", "portion", "--json")).records[0].record));
  });

  await step("a_browser_killed_in_the_middle_of_writing_has_all_that_was_acknowledged", async () => {
    await page.evaluate(() => localStorage.setItem("wrackline-measure", ""));
    await page.reload();
    await world.signIn(page, "Ines Vik");
    let acknowledged = 0;
    await page.exposeFunction("acknowledge", (count) => (acknowledged = count));
    const writing = page
      .evaluate(async () => {
        const { records } = await window.wracklineClient.ask({ case: "list", value: { kind: 5, allSubjects: true } }, "list");
        for (let count = 1; ; ++count) {
          await window.wracklineClient.write(window.wracklineObservation(records[0].record, 20_700, `seen ${count}`), "log");
          await window.acknowledge(count);
        }
      })
      .catch(() => undefined);
    while (acknowledged < 150) await sleep(10);
    await world.kill("pool");
    await writing;
    page = await world.open("pool");
    await world.signIn(page, "Ines Vik");
    await page.getByRole("button", { name: "Exchange", exact: true }).click();
    await page.locator("footer.tide").getByText("the hub holds all that was written here").waitFor();
    officer("exchange");
    const found = JSON.parse(officer("list", "observation", "--json")).records.length;
    // One may have been committed whose word did not get out any more.
    if (found < acknowledged || found > acknowledged + 1) throw new Error(`${acknowledged} were acknowledged, ${found} are there`);
  });

  await step("a_meal_is_given_with_the_keyboard_alone", async () => {
    await page.reload();
    await page.getByText("Who is at this tablet?").waitFor();
    const tabTo = async (wanted) => {
      for (let pressed = 0; pressed < 80; ++pressed) {
        await page.keyboard.press("Tab");
        const here = await page.evaluate(() => {
          const at = document.activeElement;
          return (at?.labels?.[0] ?? at)?.textContent ?? "";
        });
        if (wanted.test(here)) return;
      }
      throw new Error(`${wanted} is not reached by Tab`);
    };
    await tabTo(/Ines Vik/);
    await page.keyboard.press("Enter");
    await page.locator("nav.menu").waitFor();
    await tabTo(/16:30/);
    await page.keyboard.press("Enter");
    await page.getByLabel("Weighed, g").first().waitFor();
    await tabTo(/Weighed, g/);
    await page.keyboard.type("1200");
    await tabTo(/^Given$/);
    await page.keyboard.press("Enter");
    await page.getByText("The meal of Sila is on this tablet.").waitFor();
  });

  await step("a_second_tab_works_beside_the_first", async () => {
    const second = await page.context().newPage();
    await second.goto(world.address);
    await world.signIn(second, "Ines Vik");
    await second.getByText("Seal pool 1").waitFor();
    await second.close();
  });
});
