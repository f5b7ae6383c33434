// Nothing is lost: other windows, other programs, full disks, a program that is gone.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { after, test } from "node:test";
import { browser, close_browser, desk, duo, folder, saved, score, text_of, window_at, with_piece } from "./desk.mjs";

after(close_browser);

async function until(what, condition, wait = 20_000) {
  const end = Date.now() + wait;
  for (;;) {
    if (await condition()) return;
    if (Date.now() > end) assert.fail(`not in time: ${what}`);
    await new Promise((done) => setTimeout(done, 50));
  }
}
/// In the page: whether its store has a text with these words.
const stored = (words) => new Promise((done) => {
  const request = indexedDB.open("cartella-desk");
  request.onsuccess = () => {
    const all = request.result.transaction("texts").objectStore("texts").getAll();
    all.onsuccess = () => {
      request.result.close();
      done(all.result.some(({ text }) => text.includes(words)));
    };
  };
});
const type_at_end = async (page, text) => {
  await page.locator(".cm-content").press("Control+End");
  await page.keyboard.type(text);
};

test("a second window shows the piece live, and takes over the typing", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const context = await (await browser()).newContext({ viewport: { width: 1440, height: 900 } });
  const page = await window_at(with_piece(there.address, "duo.parts"), { context });
  await score(page);
  const opened = async (pane) => {
    const [second] = await Promise.all([context.waitForEvent("page"), page.getByRole("button", { name: `${pane} in a window of its own` }).click()]);
    return second;
  };
  const picture = await opened("Score");
  await score(picture);
  const before = await picture.locator(".pane-score [data-index]").count();
  await page.bringToFront();
  await page.locator(".cm-line", { hasText: "mn A3" }).click();
  await page.keyboard.press("Home");
  await page.keyboard.type("sb D3 ");
  await until("the note in the other window", async () => (await picture.locator(".pane-score [data-index]").count()) > before);
  const typing = await opened("Text");
  await typing.getByRole("button", { name: "Type here" }).click();
  await page.getByRole("button", { name: "Type here" }).waitFor();
  await typing.getByRole("button", { name: "Type here" }).waitFor({ state: "detached" });
  await type_at_end(typing, "; from the second window");
  await until("the text in the first", async () => (await text_of(page)).includes("from the second"));
  await saved(typing);
  await until("the file", async () => (await readFile(join(there.path, "duo.parts"), "utf8")).includes("from the second"));
  await type_at_end(page, "; not here");
  assert.ok(!(await text_of(page)).includes("not here"));
  await there.close();
});

test("a file that was changed elsewhere is merged", async () => {
  const text = await duo();
  const there = await desk(await folder({ "duo.parts": text }));
  const file = join(there.path, "duo.parts");
  const page = await window_at(with_piece(there.address, "duo.parts"));
  await score(page);
  await saved(page);
  await writeFile(file, text.replace("fol. 3r", "fol. 4v"));
  await type_at_end(page, "; typed here");
  const dialog = page.getByRole("dialog");
  await dialog.waitFor();
  assert.match(await readFile(file, "utf8"), /fol\. 4v/);
  assert.ok(!(await readFile(file, "utf8")).includes("typed here"), "nothing is written meanwhile");
  await dialog.getByRole("button", { name: "Take this place over" }).first().click();
  await dialog.getByRole("button", { name: "Keep the right side" }).click();
  await saved(page);
  await until("both in the file", async () => {
    const merged = await readFile(file, "utf8");
    return merged.includes("fol. 4v") && merged.includes("typed here");
  });
  await there.close();
});

test("line ends stay as they are in the file", async () => {
  const text = (await duo()).replaceAll("\n", "\r\n");
  const there = await desk(await folder({ "duo.parts": text }));
  const file = join(there.path, "duo.parts");
  const page = await window_at(with_piece(there.address, "duo.parts"));
  await score(page);
  await saved(page);
  assert.equal(await readFile(file, "utf8"), text, "to open a file changes nothing");
  // A note leads to its own place in the text.
  await page.locator(".pane-score [data-voice='Tenor'] [data-index='3']").first().click({ force: true });
  await page.waitForFunction(() => document.querySelector(".mark-lit")?.textContent === "F");
  await type_at_end(page, "; kept");
  await page.keyboard.press("Enter");
  await page.keyboard.type("; and more");
  await until("the file", async () => (await readFile(file, "utf8")) === `${text}; kept\r\n; and more`);
  await there.close();
});

test("what a full disk does not take is kept and offered", async (context) => {
  const path = await folder();
  try {
    execFileSync("mount", ["-t", "tmpfs", "-o", "size=64k", "tmpfs", path], { stdio: "ignore" });
  } catch {
    context.skip("a small disk cannot be made here");
    return;
  }
  try {
    await writeFile(join(path, "duo.parts"), await duo());
    await writeFile(join(path, "fill"), Buffer.alloc(4096));
    const there = await desk(path);
    const page = await window_at(with_piece(there.address, "duo.parts"));
    await score(page);
    await saved(page);
    for (let size = 14; size > 0; size--) await writeFile(join(path, `fill${size}`), Buffer.alloc(4096)).catch(() => {});
    await type_at_end(page, "; kept");
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Download the text" }).click()]);
    assert.match(await readFile(await download.path(), "utf8"), /; kept/);
    assert.ok((await readFile(join(path, "duo.parts"), "utf8")) === (await duo()), "the file is whole as it was");
    for (let size = 14; size > 0; size--) await rm(join(path, `fill${size}`), { force: true });
    await rm(join(path, "fill"));
    await type_at_end(page, " again");
    await until("the file", async () => (await readFile(join(path, "duo.parts"), "utf8")).includes("; kept again"));
    await until("the message is gone", async () => (await page.locator(".notice").count()) === 0);
    await there.kill();
  } finally {
    execFileSync("umount", ["-l", path]);
  }
});

test("the program is killed and comes back; typing goes on, and all is saved", async () => {
  const path = await folder({ "duo.parts": await duo() });
  const file = join(path, "duo.parts");
  let there = await desk(path);
  const context = await (await browser()).newContext({ viewport: { width: 1440, height: 900 } });
  const page = await window_at(with_piece(there.address, "duo.parts"), { context });
  await score(page);
  await type_at_end(page, "; one");
  await there.kill();
  await page.getByText("The program does not answer").waitFor();
  await page.keyboard.type(" two");
  assert.match(await page.locator(".desk-head .state").textContent(), /kept in this browser|being saved/);
  there = await desk(path, there.port);
  await window_at(there.address, { context });
  await until("the file", async () => (await readFile(file, "utf8")).includes("; one two"));
  await page.bringToFront();
  await saved(page);
  await until("the message is gone", async () => (await page.locator(".notice").count()) === 0);
  await there.close();
});

test("what was typed before the window was closed is there when the piece is opened again", async () => {
  const path = await folder({ "duo.parts": await duo() });
  const file = join(path, "duo.parts");
  let there = await desk(path);
  const context = await (await browser()).newContext({ viewport: { width: 1440, height: 900 } });
  const page = await window_at(with_piece(there.address, "duo.parts"), { context });
  await score(page);
  await saved(page);
  await there.kill();
  await type_at_end(page, "; last words");
  await until("the store of the browser", () => page.evaluate(stored, "last words"));
  await page.close();
  assert.ok(!(await readFile(file, "utf8")).includes("last words"));
  there = await desk(path, there.port);
  const again = await window_at(with_piece(there.address, "duo.parts"), { context });
  await until("the file", async () => (await readFile(file, "utf8")).includes("; last words"));
  assert.match(await text_of(again), /; last words/);
  assert.equal(await again.getByRole("dialog").count(), 0);
  await there.close();
});
