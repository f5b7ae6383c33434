// From nothing to a piece that is seen, mended and printed.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { after, test } from "node:test";
import { close_browser, desk, duo, folder, program, root, saved, score, text_of, window_at, with_piece } from "./desk.mjs";

after(close_browser);

const plain = (text) => text.replace(/^[ \t]+/gm, "").trim();

test("the duo of the README is typed from nothing, and seen", async () => {
  const there = await desk(await folder());
  const page = await window_at(there.address);
  await page.getByText("There is no piece").waitFor();
  await page.getByRole("button", { name: "New piece" }).click();
  await page.getByLabel("Name of the file").fill("duo");
  await page.getByRole("button", { name: "Begin" }).click();
  await page.waitForSelector(".cm-content");
  await saved(page);
  await page.locator(".cm-content").press("Control+a");
  await page.keyboard.press("Delete");
  const wanted = await duo();
  for (const line of wanted.trimEnd().split("\n")) {
    await page.keyboard.type(line.trim(), { delay: 4 });
    await page.keyboard.press("Enter");
  }
  await score(page);
  await page.waitForFunction(() => document.querySelectorAll(".pane-score [data-voice='Tenor'] [data-index]").length >= 7);
  await saved(page);
  assert.equal(plain(await readFile(join(there.path, "duo.parts"), "utf8")), plain(wanted));
  assert.equal(await page.locator(".desk-head h1").textContent(), "Two voices, a rising subject answered at the fifth");
  await page.waitForFunction(() => document.querySelectorAll(".finding.error").length === 0);
  assert.deepEqual(page.complaints, []);
  await there.close();
});

test("a note that is clicked leads to its text, and the text to its note", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(with_piece(there.address, "duo.parts"));
  await score(page);
  await page.locator(".pane-score [data-voice='Tenor'] [data-index='3']").first().click();
  await page.waitForSelector(".pane-score .light-lit");
  assert.equal(await page.locator(".mark-lit").textContent(), "F");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction(() => document.querySelector(".mark-lit")?.textContent === "G");
  await page.waitForFunction(() => {
    const box = document.querySelector(".pane-score .light-lit").getBoundingClientRect();
    const note = document.querySelector(".pane-score [data-voice='Tenor'] [data-index='4']").getBoundingClientRect();
    return Math.abs(box.left + box.width / 2 - note.left - note.width / 2) < 2;
  });
  assert.match(await page.locator(".pane-printed h2").textContent(), /Tenor/);
  await page.keyboard.press("F2");
  assert.match(await page.locator(".bubble").textContent(), /semibreve G/);
  await there.close();
});

test("an octave that is asked for is chosen with an arrow", async () => {
  const there = await desk(await folder({ "ask.parts": "sign C|\n\nvoice Cantus clef C1\n  sb G4 " }));
  const page = await window_at(with_piece(there.address, "ask.parts"));
  await score(page);
  await page.locator(".cm-content").press("Control+End");
  await page.keyboard.type("C");
  const options = page.locator(".bubble .option");
  await options.first().waitFor();
  assert.match(await options.nth(0).textContent(), /↑.*C5/);
  assert.match(await options.nth(1).textContent(), /↓.*C4/);
  await page.keyboard.press("ArrowUp");
  await page.waitForFunction(() => document.querySelector(".cm-content").textContent.includes("C5"));
  await page.keyboard.type(" D");
  assert.match(await text_of(page), /sb G4 C5 D$/);
  await there.close();
});

test("two keys move the value in force, and its name stands at the cursor", async () => {
  const there = await desk(await folder({ "one.parts": "sign C|\n\nvoice Cantus clef C1\n  mn G4 A " }));
  const page = await window_at(with_piece(there.address, "one.parts"));
  await score(page);
  await page.locator(".cm-content").press("Control+End");
  await page.keyboard.press("Alt+.");
  assert.match(await page.locator(".bubble").textContent(), /semiminim/i);
  await page.keyboard.type("G");
  await page.keyboard.press("Alt+,");
  assert.match(await text_of(page), /mn G4 A sm G mn $/);
  await there.close();
});

test("words are completed, but not in a title", async () => {
  const there = await desk(await folder({ "one.parts": "\n" }));
  const page = await window_at(with_piece(there.address, "one.parts"));
  await page.waitForSelector(".cm-content");
  await saved(page);
  await page.locator(".cm-content").click();
  await page.keyboard.type("laY".toLowerCase(), { delay: 30 });
  await page.waitForSelector(".cm-tooltip-autocomplete");
  // The list does not take keys that were on their way when it opened.
  await page.waitForTimeout(150);
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  assert.match(await text_of(page), /^\n?layout/);
  await page.keyboard.press("Enter");
  await page.keyboard.type("title lay", { delay: 30 });
  await page.waitForTimeout(600);
  assert.equal(await page.locator(".cm-tooltip-autocomplete").count(), 0);
  await there.close();
});

test("a slip is found when typing pauses, and corrected as the command does it", async () => {
  const piece = "misprinted-value.parts";
  const there = await desk(await folder({ [piece]: join(root, "fixtures", piece) }));
  const page = await window_at(with_piece(there.address, piece));
  await score(page);
  const slip = page.locator(".finding.slip").first();
  await slip.waitFor({ timeout: 20_000 });
  await page.locator(".pane-score .light-slip").first().waitFor({ state: "attached" });
  await page.locator(".cm-content .mark-slip").first().waitFor({ state: "attached" });
  await slip.getByRole("button", { name: "Correct the typing" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".finding.slip").length === 0);
  await saved(page);
  const copy = join(there.path, "copy.txt.parts");
  await writeFile(copy, await readFile(join(root, "fixtures", piece)));
  try {
    execFileSync(program, ["mend", copy, "--apply", "1"], { stdio: "ignore" });
  } catch {
    // The exit status says that there was something to find.
  }
  assert.equal(await readFile(join(there.path, piece), "utf8"), await readFile(copy, "utf8"));
  await there.close();
});

test("a suggestion that was refused does not come again", async () => {
  const piece = "misprinted-value.parts";
  const there = await desk(await folder({ [piece]: join(root, "fixtures", piece) }));
  const page = await window_at(with_piece(there.address, piece));
  const slips = page.locator(".finding.slip");
  await slips.first().waitFor({ timeout: 20_000 });
  const before = await slips.count();
  const first = await slips.first().locator(".place").textContent();
  await slips.first().getByRole("button", { name: "Refuse" }).click();
  await page.waitForFunction((count) => document.querySelectorAll(".finding.slip").length === count, before - 1);
  await page.reload();
  await score(page);
  await page.waitForTimeout(4000);
  assert.ok(!(await slips.locator(".place").allTextContents()).includes(first));
  await there.close();
});

test("a fix is applied at its place, and the count is told", async () => {
  const there = await desk(await folder({ "fix.parts": "sign C|\n\nvoice Cantus clef C1\n  minim G4 A sb G //\n" }));
  const page = await window_at(with_piece(there.address, "fix.parts"));
  await page.locator(".counted").waitFor();
  await page.waitForFunction(() => /1 error/.test(document.querySelector(".counted").textContent));
  const fix = page.locator(".finding .acts button").first();
  await fix.click();
  await page.waitForFunction(() => document.querySelector(".cm-content").textContent.includes("mn G4"));
  await page.waitForFunction(() => /Nothing is wrong/.test(document.querySelector(".counted").textContent));
  await there.close();
});

test("score, proof sheet and study are printed", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(with_piece(there.address, "duo.parts"));
  await score(page);
  for (const name of ["The score", "The proof sheet", "The study"]) {
    await page.locator("summary", { hasText: "Print" }).click();
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name }).click()]);
    const words = execFileSync("pdftotext", [await download.path(), "-"], { encoding: "utf8" });
    assert.match(words, /rising subject/, name);
  }
  await there.close();
});

test("a MIDI keyboard types letters, with an octave only where it is needed", async () => {
  const there = await desk(await folder({ "keys.parts": "sign C|\n\nvoice Cantus clef C1\n  mn G4 " }));
  const page = await window_at(null);
  await page.addInitScript(() => {
    const input = { name: "A small keyboard", onmidimessage: null };
    window.strike = (key) => input.onmidimessage({ data: new Uint8Array([0x90, key, 80]) });
    navigator.requestMIDIAccess = async () => ({ inputs: new Map([["1", input]]), onstatechange: null });
  });
  await page.goto(with_piece(there.address, "keys.parts"));
  await score(page);
  await page.getByRole("button", { name: "Settings" }).click();
  await page.getByRole("button", { name: "Listen to it" }).click();
  await page.getByText("Listening to A small keyboard").waitFor();
  await page.getByRole("button", { name: "Close", exact: true }).click();
  await page.locator(".cm-content").press("Control+End");
  for (const key of [69, 71, 60]) {
    const before = await text_of(page);
    await page.evaluate((key) => window.strike(key), key);
    await page.waitForFunction((before) => document.querySelector(".cm-content").textContent.length > before.replaceAll("\n", "").length, before);
    await page.waitForTimeout(200);
  }
  assert.match(await text_of(page), /mn G4 A B C4 $/);
  await there.close();
});

test("if the layout fails, the last picture stays, dimmed, and the text is saved", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(null);
  let failing = false;
  await page.routeWebSocket(/\/socket$/, (socket) => {
    const server = socket.connectToServer();
    server.onMessage((message) => {
      const told = JSON.parse(message);
      socket.send(failing && told.kind === "shown" ? JSON.stringify({ ...told, systems: [], failed: "planted" }) : message);
    });
  });
  await page.goto(with_piece(there.address, "duo.parts"));
  await score(page);
  failing = true;
  await page.locator(".cm-content").press("Control+End");
  await page.keyboard.type("; more");
  await page.waitForSelector(".pane-score .dimmed [data-index]");
  await page.getByText("planted").waitFor();
  await saved(page);
  assert.match(await readFile(join(there.path, "duo.parts"), "utf8"), /; more/);
  failing = false;
  await page.keyboard.type(" again");
  await page.waitForFunction(() => !document.querySelector(".pane-score .dimmed"));
  await there.close();
});
