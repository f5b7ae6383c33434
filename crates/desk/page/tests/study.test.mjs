// The study: its page, its marks in the score, and its places played.

import assert from "node:assert/strict";
import { join } from "node:path";
import { after, test } from "node:test";
import { close_browser, desk, folder, root, score, window_at, with_piece } from "./desk.mjs";

after(close_browser);

const PIECE = "misprinted-value.parts";

/// What the score draws beside notes and staves: colours of its own.
const marks = (page) => page.locator('.pane-score .system path[fill^="#"]').count();
async function until(page, what, condition) {
  const end = Date.now() + 20_000;
  while (!(await condition())) {
    if (Date.now() > end) assert.fail(`not in time: ${what}`);
    await page.waitForTimeout(50);
  }
}

test("the marks of the study stand in the score while its page is open and true", async () => {
  const there = await desk(await folder({ [PIECE]: join(root, "fixtures", PIECE) }));
  const page = await window_at(with_piece(there.address, PIECE));
  await score(page);
  assert.equal(await marks(page), 0);
  await page.getByRole("button", { name: "Show Study" }).click();
  await page.getByRole("button", { name: "Study the piece" }).click();
  await page.waitForSelector(".study-page", { timeout: 20_000 });
  await until(page, "the marks", async () => (await marks(page)) > 0);
  const notes = await page.locator(".pane-score [data-index]").count();

  // Without the page no marks, with it again.
  await page.getByRole("button", { name: "Hide Study" }).click();
  await until(page, "the score without marks", async () => (await marks(page)) === 0);
  assert.equal(await page.locator(".pane-score [data-index]").count(), notes);
  await page.getByRole("button", { name: "Show Study" }).click();
  await until(page, "the marks again", async () => (await marks(page)) > 0);

  // Another text was not studied; the same again was.
  await page.locator(".cm-content").press("Control+Home");
  await page.keyboard.type("; ");
  await page.getByText("The text has changed since.").waitFor();
  await until(page, "no marks on another text", async () => (await marks(page)) === 0);
  assert.equal(await page.locator(".pane-score [data-index]").count(), notes);
  for (let time = 0; time < 2; time++) await page.keyboard.press("Backspace");
  await until(page, "marks on the same text", async () => (await marks(page)) > 0);
  assert.deepEqual(page.complaints, []);
  await there.close();
});

test("marks that are drawn for another width stay those of the text that was studied", async () => {
  const there = await desk(await folder({ [PIECE]: join(root, "fixtures", PIECE) }));
  const page = await window_at(with_piece(there.address, PIECE));
  await score(page);
  await page.getByRole("button", { name: "Show Study" }).click();
  await page.getByRole("button", { name: "Study the piece" }).click();
  await until(page, "the marks", async () => (await marks(page)) > 0);

  // Typed while the score takes its new width.
  const drawn = page.waitForResponse((answer) => answer.url().endsWith("/api/study"));
  await page.getByRole("button", { name: "Closer" }).click();
  await page.locator(".cm-content").press("Control+Home");
  await page.keyboard.type("; ");
  await drawn;
  await until(page, "no marks on another text", async () => (await marks(page)) === 0);
  await page.getByText("The text has changed since.").waitFor();
  for (let time = 0; time < 2; time++) await page.keyboard.press("Backspace");
  await until(page, "marks on the same text", async () => (await marks(page)) > 0);
  assert.deepEqual(page.complaints, []);
  await there.close();
});

test("a place of the study is gone to, and played from there", async () => {
  const there = await desk(await folder({ [PIECE]: join(root, "fixtures", PIECE) }));
  const page = await window_at(with_piece(there.address, PIECE));
  const asked = [];
  page.on("request", (request) => {
    if (request.url().endsWith("/api/sound")) asked.push(request.postDataJSON());
  });
  await score(page);
  await page.getByRole("button", { name: "Show Study" }).click();
  await page.getByRole("button", { name: "Study the piece" }).click();
  await page.waitForSelector(".study-page", { timeout: 20_000 });
  const third = page.locator(".study-page .moment", { hasText: /^3$/ }).first();
  await third.click();
  await until(page, "the sound from bar 3", async () => asked.length > 0);
  assert.equal(asked[0].from, 8);
  await page.locator(".pane-score .light-lit").first().waitFor();
  // A note that the study draws is played too.
  await page.locator(".study-picture [data-index]").first().click({ force: true });
  await until(page, "the sound of a note", async () => asked.length > 1);
  await there.close();
});
