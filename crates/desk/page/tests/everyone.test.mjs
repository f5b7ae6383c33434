// The page for everyone: what axe finds, the keyboard alone, and pictures of all screens (SHOTS=folder).

import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { createRequire } from "node:module";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, test } from "node:test";
import { existsSync } from "node:fs";
import { close_browser, desk, duo, folder, opendata, root, saved, score, text_of, window_at, with_piece } from "./desk.mjs";

after(close_browser);

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const shots = process.env.SHOTS;
if (shots) mkdirSync(shots, { recursive: true });

async function sound(page, name) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  const serious = violations.filter(({ impact }) => impact === "serious" || impact === "critical");
  assert.deepEqual(serious.map(({ id, nodes }) => `${name}: ${id} ${nodes.map(({ html }) => html.slice(0, 120)).join(" | ")}`), []);
}

const scan = join(opendata, "madrigals-1582/alberti_dalmio/facsimile/cantus.pdf");

for (const colorScheme of ["light", "dark"]) {
  for (const [width, height] of [[1440, 900], [800, 1000], [360, 740]]) {
    test(`every screen, ${colorScheme}, ${width} pixels wide`, async () => {
      const files = { "duo.parts": (await duo()).replace("sb D3 E F G", "sb D3 E F Q"), "four.parts": join(root, "fixtures/misprinted-value.parts") };
      if (existsSync(scan)) files["cantus.pdf"] = scan;
      const there = await desk(await folder(files));
      const page = await window_at(there.address, { viewport: { width, height }, colorScheme });
      const seen = async (name) => {
        await page.waitForTimeout(shots ? 400 : 100);
        if (shots) await page.screenshot({ path: join(shots, `${width}-${colorScheme}-${name}.png`) });
        await sound(page, `${name} ${width} ${colorScheme}`);
      };
      await page.locator(".pieces-table a").first().waitFor();
      await page.getByRole("button", { name: "New piece" }).click();
      await seen("pieces");
      await page.getByRole("link", { name: "Four voices" }).click();
      await score(page);
      if (width < 800) await page.locator(".tab", { hasText: "Text" }).click();
      await page.locator(".cm-line", { hasText: "voice" }).nth(1).click();
      await page.keyboard.press("ArrowDown");
      await page.waitForFunction(() => document.querySelector(".finding.slip"), null, { timeout: 20_000 });
      const pane = async (name) => {
        if (width < 800) await page.locator(".tab", { hasText: name }).click();
        else if ((await page.locator(".toggle", { hasText: name }).getAttribute("aria-pressed")) !== "true") await page.locator(".toggle", { hasText: name }).click();
      };
      await seen("desk");
      if (width < 800) for (const name of ["As printed", "Score", "Findings"]) {
        await pane(name);
        await seen(name.replace(" ", "-").toLowerCase());
      }
      await page.goBack();
      await page.getByRole("link", { name: /rising subject/ }).click();
      await page.waitForSelector(".finding.error", { state: "attached" });
      await pane("Facsimile");
      await page.waitForTimeout(600);
      if (existsSync(scan)) {
        await page.getByRole("button", { name: "Find staves" }).click();
        await page.locator(".strip-found").first().waitFor({ timeout: 20_000 });
      }
      await seen("facsimile");
      await pane("Study");
      await page.getByRole("button", { name: "Study the piece" }).click();
      await page.waitForSelector(".study-page", { timeout: 20_000 });
      await seen("study");
      await page.getByRole("button", { name: "Hear", exact: true }).click();
      await seen("hear");
      await page.getByRole("button", { name: "Settings" }).click();
      await seen("settings");
      await page.keyboard.press("Escape");
      assert.deepEqual(page.complaints, []);
      await there.close();
    });
  }
}

test("the check for everyone finds what is planted", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(there.address);
  await page.locator(".pieces-table a").first().waitFor();
  await page.evaluate(() => {
    const image = document.createElement("button");
    document.querySelector("main").append(image);
  });
  await assert.rejects(sound(page, "planted"), /button-name/);
  await there.close();
});

test("all by keyboard: from the list to a note, its text, and out again", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(there.address);
  await page.locator(".pieces-table a").first().waitFor();
  const on_link = () => page.evaluate(() => document.activeElement.matches(".pieces-table a"));
  for (let times = 0; times < 10 && !(await on_link()); times++) await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await score(page);
  await page.waitForFunction(() => document.activeElement.classList.contains("cm-content"));
  await page.keyboard.press("Control+End");
  await page.keyboard.type("; by keys");
  await saved(page);
  // To the score, two notes on, one voice down, and to its text.
  await page.keyboard.press("Control+Home");
  await page.keyboard.press("F7");
  await page.waitForFunction(() => document.activeElement.classList.contains("picture"));
  for (const key of ["ArrowRight", "ArrowRight", "ArrowDown", "Enter"]) await page.keyboard.press(key);
  await page.waitForFunction(() => document.activeElement.classList.contains("cm-content"));
  await page.waitForFunction(() => document.querySelector(".mark-lit")?.textContent === "F");
  // Tab leaves the text, and changes nothing in it.
  const before = await text_of(page);
  await page.keyboard.press("Tab");
  assert.ok(!(await page.evaluate(() => document.activeElement.classList.contains("cm-content"))));
  assert.equal(await text_of(page), before);
  // Round the panes and back.
  await page.locator(".cm-content").focus();
  const panes = new Set();
  for (let times = 0; times < 6; times++) {
    await page.keyboard.press("F6");
    panes.add(await page.evaluate(() => document.activeElement.closest("section.pane")?.className));
  }
  assert.ok(panes.size >= 3, [...panes].join());
  await there.close();
});
