// Every screen of the menu, in both orientations, day and night and in the second language: looked at by axe-core, and kept as
// pictures for people to look at.
//
//   node tests/tablet/screens.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { options, play, step } from "./world.mjs";

async function each(page, act) {
  const parts = page.locator("nav.menu > ul:first-child > li > button");
  for (let part = 0; part < (await parts.count()); ++part) {
    await parts.nth(part).click();
    const inner = page.locator("nav.menu ul.inner button");
    const entries = await inner.count();
    for (let entry = 0; entry < Math.max(1, entries); ++entry) {
      if (entries > 0) await inner.nth(entry).click();
      await page.locator("main h2").first().waitFor();
      await page.waitForTimeout(400);
      await act(`${part}-${entry}`);
    }
  }
}

await play(options(), async (world) => {
  world.found();
  await world.startHub();
  const desk = world.device("desk");
  const admin = (...args) => desk("runa", ...args);
  admin("add", "person", "name=Tove Holm", "roles=officer,curator,admin");
  const officer = (...args) => desk("Tove Holm", ...args);
  officer("add", "area", "name=yard");
  officer("add", "pool", "name=Seal pool 1", "area=yard");
  officer("add", "animal", "name=Sila", "pool=Seal pool 1", "taxon=Halichoerus grypus");
  officer("add", "food", "name=herring", "energy=1580cal/g");
  officer("add", "diet_plan", "animal=Sila", "first_day=2026-01-01", "approved_by=Tove Holm", "line=food=herring slot=08:30 mass=1.2kg", "line=food=herring slot=16:30 mass=1.2kg");
  officer("exchange");

  for (const [look, locale, scheme] of [
    ["day", "en-GB", "light"],
    ["night", "nb-NO", "dark"],
  ]) {
    await step(`every_screen_is_accessible_by_${look}`, async () => {
      const page = await world.open(look, { locale: "en-GB", scheme });
      await world.enrol(page, `${look} tablet`);
      if (locale !== "en-GB") {
        await page.evaluate(() => localStorage.setItem("wrackline-language", "nb"));
        await page.reload();
      }
      await world.signIn(page, "Tove Holm");
      await each(page, (name) => world.look(page, `menu-${look}-${name}`));
      await world.close(look);
    });
  }
  await step("no_page_complained", async () => {
    if (world.complaints.length > 0) throw new Error(world.complaints.join("; "));
  });
});
