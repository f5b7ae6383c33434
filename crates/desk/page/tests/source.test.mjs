// Pieces brought in, and scans of their source. Needs the open data, which is not part of this repository.

import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, test } from "node:test";
import { close_browser, desk, duo, folder, opendata, saved, score, window_at, with_piece } from "./desk.mjs";

after(close_browser);

const madrigal = join(opendata, "madrigals-1582/alberti_dalmio");
const skip = existsSync(madrigal) || process.env.CARTELLA_REQUIRE_OPENDATA ? false : "the open data is not here";

test("a set of MEI files is dropped, and becomes a piece", { skip }, async () => {
  const there = await desk(await folder());
  const page = await window_at(there.address);
  await page.getByText("There is no piece").waitFor();
  const voices = ["cantus", "altus", "quintus", "tenor", "bassus"];
  const files = await Promise.all(voices.map(async (voice) => ({ name: `${voice}.mei`, text: await readFile(join(madrigal, `${voice}.mei`), "utf8") })));
  const transfer = await page.evaluateHandle((files) => {
    const data = new DataTransfer();
    for (const { name, text } of files) data.items.add(new File([text], name));
    return data;
  }, files);
  await page.dispatchEvent("body", "dragenter", { dataTransfer: transfer });
  await page.dispatchEvent("body", "drop", { dataTransfer: transfer });
  await score(page);
  const heard = await page.$$eval(".pane-score [data-voice]", (groups) => [...new Set(groups.map((group) => group.dataset.voice))]);
  assert.equal(heard.length, 5, heard.join());
  await page.getByRole("button", { name: "Pieces" }).click();
  await page.locator(".pieces-table tbody tr").first().waitFor();
  assert.equal(await page.locator(".pieces-table tbody tr").count(), 1);
  await there.close();
});

test("a scan: its staves are found, written as lines, and moved by keys", { skip }, async () => {
  const there = await desk(await folder({ "duo.parts": await duo(), "cantus.pdf": join(madrigal, "facsimile/cantus.pdf") }));
  const page = await window_at(with_piece(there.address, "duo.parts"));
  await score(page);
  await page.waitForSelector(".page-view");
  if (!(await page.locator(".pane-facsimile").isVisible())) await page.getByRole("button", { name: "Show Facsimile" }).click();
  await page.waitForFunction(() => {
    const canvas = document.querySelector(".page-canvas");
    const pixels = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
    return pixels.some((value) => value > 0);
  });
  await page.getByRole("button", { name: "Find staves" }).click();
  await page.locator(".strip-found").first().waitFor({ timeout: 20_000 });
  const found = await page.locator(".strip-found").count();
  assert.ok(found >= 5, `${found} staves`);
  await page.getByRole("button", { name: "Write as lines" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".strip:not(.strip-found)").length > 0);
  await saved(page);
  const file = join(there.path, "duo.parts");
  const item = (text) => /^facsimile Cantus 1 cantus\.pdf 1 (\S+)/m.exec(text)?.[1];
  const before = Number(item(await readFile(file, "utf8")));
  assert.ok(before > 0);
  // The first line is under the cursor: its strip is lit, and held over its printed drawing.
  await page.locator(".cm-line", { hasText: "A4 B" }).click();
  await page.waitForSelector(".strip-lit");
  await page.waitForSelector(".held-strip canvas");
  await page.locator(".strip-lit").focus();
  for (let times = 0; times < 4; times++) await page.keyboard.press("ArrowRight");
  await page.waitForTimeout(700);
  await saved(page);
  const end = Date.now() + 5000;
  while (Number(item(await readFile(file, "utf8"))) === before && Date.now() < end) await page.waitForTimeout(50);
  assert.ok(Number(item(await readFile(file, "utf8"))) > before);
  await there.close();
});
