// Photographs and documents at the pool: attached with no network, sent after the records, fetched when wanted, whatever is cut
// off meanwhile; and every byte of them as it was, by Node's own SHA-256.
//
//   node tests/tablet/files.mjs BUILD_DIR APP_DIR SHOTS_DIR
import { createHash, randomBytes } from "node:crypto";
import { readFileSync, truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, options, play, sleep, step } from "./world.mjs";

const hashOf = (bytes) => createHash("sha256").update(bytes).digest("hex");
// A document that no compression makes smaller, by its beginning a PDF.
const largeBytes = 40 << 20;

// A photograph as a camera makes one: some megabytes, 4 to 3.
const photographOf = async (page, colour) =>
  Buffer.from(
    await page.evaluate(async (colour) => {
      const canvas = new OffscreenCanvas(2000, 1500);
      const context = canvas.getContext("2d");
      context.fillStyle = colour;
      context.fillRect(0, 0, 2000, 1500);
      let seed = 7;
      for (let at = 0; at < 60000; ++at) {
        seed = (seed * 1103515245 + 12345) % 2147483648;
        context.fillStyle = `hsl(${seed % 360} 40% 50%)`;
        context.fillRect(seed % 2000, (seed >> 9) % 1500, 9, 9);
      }
      const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: 0.98 });
      let text = "";
      for (const byte of new Uint8Array(await blob.arrayBuffer())) text += String.fromCharCode(byte);
      return btoa(text);
    }, colour),
    "base64",
  );

await play(options(), async (world) => {
  world.found();
  await world.startHub();
  const desk = world.device("desk");
  const admin = (...args) => desk("runa", ...args);
  admin("add", "person", "name=Tove Holm", "roles=officer,curator");
  admin("add", "person", "name=Ines Vik", "roles=keeper");
  desk("Tove Holm", "add", "area", "name=yard");
  desk("Tove Holm", "add", "pool", "name=Seal pool 1", "area=yard");
  desk("Tove Holm", "add", "animal", "name=Sila", "pool=Seal pool 1", "taxon=Halichoerus grypus");
  desk("Tove Holm", "exchange");

  let page = await world.open("pool");
  const button = (name, exact = false) => page.getByRole("button", { name, exact });
  const menu = (name) => page.locator("nav.menu ul.inner").getByRole("button", { name }).click();
  const part = (name) => page.getByRole("navigation", { name: "Parts of the app" }).getByRole("button", { name }).click();
  const said = (text) => page.getByRole("status").getByText(text).waitFor();
  const sila = async () => {
    await part("At the pool");
    await menu("Animals, pools");
    await button("Sila").first().click();
    await page.getByRole("heading", { name: "Sila", exact: true }).waitFor();
  };
  const choose = (...files) => page.getByLabel("Choose a file").setInputFiles(files);
  const allSent = async () => {
    await button("Exchange", true).click();
    await page.getByText("the hub holds all that was written here").waitFor({ timeout: 20_000 });
  };
  const attached = (...flags) => JSON.parse(desk("Tove Holm", "attachments", "--json", ...flags)).attachments;
  // Waits until the hub has all of it, and gives the desk's words for it.
  const atDesk = async (name) => {
    for (let tried = 0; tried < 120; ++tried) {
      desk("Tove Holm", "exchange");
      const found = attached().find((one) => one.name === name);
      if (found?.at_hub) return found;
      await sleep(500);
    }
    throw new Error(`the hub does not get ${name}`);
  };
  const fetchedAtDesk = (record, name) => {
    const file = path.join(world.work, name);
    desk("Tove Holm", "fetch", record, "--to", file);
    return hashOf(readFileSync(file));
  };
  // The number of bytes that the browser has of a file; with a mark when the file is not whole.
  const inBrowser = (hash) =>
    page.evaluate(async (hash) => {
      const root = await navigator.storage.getDirectory();
      const directory = await root.getDirectoryHandle("wrackline-files", { create: true });
      for (const end of ["", ".part"]) {
        try {
          const file = await (await directory.getFileHandle(hash + end)).getFile();
          return `${file.size}${end}`;
        } catch {
          continue;
        }
      }
      return "none";
    }, hash);

  const becomes = async (hash, wanted) => {
    for (let tried = 0; (await inBrowser(hash)) !== wanted; ++tried) {
      if (tried > 50) throw new Error(`the browser has ${await inBrowser(hash)} of a file, and not ${wanted}`);
      await sleep(100);
    }
  };

  await world.enrol(page, "pool tablet");
  await world.signIn(page, "Ines Vik");
  const wound = await photographOf(page, "#4b6068");
  const wounds = { name: "wound.jpg", mimeType: "image/jpeg", buffer: wound };
  const notes = Buffer.from("Left flipper, 3 cm.\nClean.\n");

  await step("a_photograph_and_a_text_are_attached_with_no_hub_in_reach", async () => {
    await world.stopHub();
    await sila();
    await page.getByText("Nothing is attached.").waitFor();
    await button("Photograph or document").first().click();
    await page.getByText("It may show people").waitFor();
    await button("Save", true).click();
    await page.getByText("Take a photograph or choose a file first.").waitFor();
    await choose(wounds, { name: "notes.txt", mimeType: "text/plain", buffer: notes });
    await page.getByRole("img", { name: "Picture: wound.jpg" }).waitFor();
    await page.getByText("notes.txt").first().waitFor();
    await page.getByLabel("What it shows").fill("left flipper, before the bath");
  });

  await step("what_is_chosen_outlives_a_reload_before_it_is_saved", async () => {
    await page.reload();
    await world.signIn(page, "Ines Vik");
    await sila();
    await button("Photograph or document").first().click();
    await page.getByRole("img", { name: "Picture: wound.jpg" }).waitFor();
    await world.look(page, "files-attach");
    await button("Save", true).click();
    await said("2 files are on this tablet");
    await page.getByRole("img", { name: "Picture: wound.jpg" }).waitFor();
    await world.look(page, "files-animal");
  });

  await step("an_attachment_is_an_entry_and_shows_its_picture", async () => {
    await menu("Entries");
    await button(/Sila Attached wound.jpg/).click();
    await page.locator("img.whole").waitFor();
    const width = await page.locator("img.whole").evaluate((image) => image.naturalWidth);
    if (width !== 2000) throw new Error(`the picture is ${width} wide`);
    await world.look(page, "files-entry");
    await button("Back").click();
  });

  await step("what_is_not_taken_is_refused_in_words_and_not_kept", async () => {
    await sila();
    await button("Photograph or document").first().click();
    const program = Buffer.concat([Buffer.from("\x7fELF"), randomBytes(9000)]);
    await choose({ name: "seal.jpg", mimeType: "image/jpeg", buffer: program });
    await page.getByText("Such files are not taken, whatever their name says.").waitFor();
    if ((await inBrowser(hashOf(program))) !== "none") throw new Error("it was kept");
    const large = path.join(world.work, "film.png");
    writeFileSync(large, Buffer.from("\x89PNG\r\n\x1a\n", "latin1"));
    truncateSync(large, (64 << 20) + 1);
    await page.getByLabel("Choose a file").setInputFiles(large);
    await page.getByText("A file may have at most 64 MB.").waitFor();
    // One that is left out again goes from the tablet.
    const other = await photographOf(page, "#a3172c");
    await choose({ name: "other.jpg", mimeType: "image/jpeg", buffer: other });
    await button("Leave out other.jpg").click();
    await page.getByRole("img", { name: "Picture: other.jpg" }).waitFor({ state: "detached" });
    await becomes(hashOf(other), "none");
    // One that another record names stays when it is left out.
    await choose(wounds);
    await button("Leave out wound.jpg").click();
    await sleep(500);
    if ((await inBrowser(hashOf(wound))) !== String(wound.length)) throw new Error("a file that a record names has gone");
    await button("Back").click();
  });

  await step("a_record_never_names_a_file_that_has_gone_from_the_tablet", async () => {
    const photograph = { name: "tail.jpg", mimeType: "image/jpeg", buffer: await photographOf(page, "#1d6b44") };
    await button("Photograph or document").first().click();
    await choose(photograph);
    await page.getByRole("img", { name: "Picture: tail.jpg" }).waitFor();
    await page.evaluate(
      async (hash) => (await (await navigator.storage.getDirectory()).getDirectoryHandle("wrackline-files")).removeEntry(hash),
      hashOf(photograph.buffer),
    );
    await button("Save", true).click();
    await page.getByText("tail.jpg is no longer on this tablet. Nothing was saved").waitFor();
    await choose(photograph); // Kept again.
    await becomes(hashOf(photograph.buffer), String(photograph.buffer.length));
    await button("Leave out tail.jpg").click();
    await button("Back").click();
  });

  await step("files_follow_the_records_and_are_the_same_at_the_desk", async () => {
    await world.startHub();
    await allSent();
    const { record } = await atDesk("wound.jpg");
    expect("left flipper, before the bath", desk("Tove Holm", "attachments"));
    if (fetchedAtDesk(record, "wound.jpg") !== hashOf(wound)) throw new Error("the photograph is another at the desk");
    if (fetchedAtDesk((await atDesk("notes.txt")).record, "notes.txt") !== hashOf(notes)) throw new Error("the text is another at the desk");
  });

  await step("a_large_file_is_sent_whole_though_hub_and_browser_are_killed", async () => {
    const large = Buffer.concat([Buffer.from("%PDF-1.7\n"), randomBytes(largeBytes)]);
    const file = path.join(world.work, "plan.pdf");
    writeFileSync(file, large);
    await sila();
    await button("Photograph or document").first().click();
    await page.getByLabel("Choose a file").setInputFiles(file);
    await page.getByText("plan.pdf").first().waitFor();
    await button("Save", true).click();
    await said("The file is on this tablet");
    await page.locator("footer").getByText("1 file on its way").waitFor();
    await world.stopHub("SIGKILL");
    // The records do not wait for it: an entry is made and told as saved meanwhile.
    await button("Something seen").click();
    await page.getByLabel("What was seen").fill("rests at the surface");
    await button("Save", true).click();
    await said("What was seen is on this tablet.");
    await world.kill("pool");
    await world.startHub();
    page = await world.open("pool");
    await world.signIn(page, "Ines Vik");
    await allSent();
    if (fetchedAtDesk((await atDesk("plan.pdf")).record, "plan-at-desk.pdf") !== hashOf(large)) throw new Error("it is another at the desk");
  });

  await step("room_is_made_by_removing_what_the_hub_has", async () => {
    await part("This tablet");
    await page.getByText(/^3 files, /).waitFor();
    await world.look(page, "files-tablet");
    await button("Remove what the hub has").click();
    await said("3 files are removed");
    await page.getByText("None is on this tablet.").waitFor();
    if ((await inBrowser(hashOf(wound))) !== "none") throw new Error("it is still there");
    await sila();
    await page.getByRole("img", { name: "Picture: wound.jpg" }).waitFor(); // The small one stays.
    await button(/before the bath.*wound.jpg.*not on this tablet/).click();
    await button(/Fetch it from the hub/).click();
    await page.locator("img.whole").waitFor();
    if ((await inBrowser(hashOf(wound))) !== String(wound.length)) throw new Error("it did not come back");
  });

  await step("another_tablet_fetches_on_though_hub_and_browser_are_killed", async () => {
    await world.close("pool");
    page = await world.open("second");
    await world.enrol(page, "second tablet");
    await world.signIn(page, "Ines Vik");
    await sila();
    await page.getByText("not on this tablet").first().waitFor();
    await button(/plan.pdf.*not on this tablet/).click();
    await world.look(page, "files-not-here");
    await button(/Fetch it from the hub/).click();
    await page.getByText(/MB of 41.9 MB are here/).waitFor();
    await world.stopHub("SIGKILL");
    await page.getByText("no hub in reach; all is kept here").first().waitFor();
    const { sha256 } = attached("--no-hub").find((one) => one.name === "plan.pdf");
    const before = await inBrowser(sha256);
    if (!before.endsWith(".part") || before === "0.part") throw new Error(`after the hub went there were ${before}`);
    await world.kill("second");
    await world.startHub();
    page = await world.open("second");
    await world.signIn(page, "Ines Vik");
    if ((await inBrowser(sha256)) !== before) throw new Error("what had come was lost");
    await sila();
    await button(/plan.pdf.*not on this tablet/).click();
    await button(/Fetch it from the hub/).click();
    await button("Save a copy").waitFor({ timeout: 60_000 });
    const [download] = await Promise.all([page.waitForEvent("download"), button("Save a copy").click()]);
    if (download.suggestedFilename() !== "plan.pdf") throw new Error(`it is called ${download.suggestedFilename()}`);
    if (hashOf(readFileSync(await download.path())) !== sha256) throw new Error("it is another than was attached");
  });

  await step("a_file_that_the_hub_has_spoilt_is_not_kept", async () => {
    const { sha256 } = attached("--no-hub").find((one) => one.name === "wound.jpg");
    const spoilt = Buffer.from(wound);
    spoilt[5000] ^= 1;
    writeFileSync(path.join(world.hubDir, "blobs", sha256.slice(0, 2), sha256), spoilt);
    await button("Back").click();
    await sila();
    await button(/before the bath.*wound.jpg/).click();
    await button(/Fetch it from the hub/).click();
    await page.getByText("What came is another file than was asked for.").waitFor();
    if ((await inBrowser(sha256)) !== "none") throw new Error("something of it was kept");
  });

  await step("it_reads_the_same_by_night_and_in_the_second_language", async () => {
    await page.evaluate(() => {
      localStorage.setItem("wrackline-language", "nb");
      localStorage.setItem("wrackline-look", "night");
    });
    await page.reload();
    await world.signIn(page, "Ines Vik");
    await page.locator("nav.menu ul.inner").getByRole("button").nth(2).click();
    await button("Sila").first().click();
    await page.getByRole("heading", { name: "Bilder og dokumenter" }).waitFor();
    await button("Bilde eller dokument").first().click();
    await page.getByText("Ta et bilde").waitFor();
    await world.look(page, "files-night-attach");
  });

  await step("no_page_complained", async () => {
    if (world.complaints.length > 0) throw new Error(world.complaints.join("; "));
  });
});
