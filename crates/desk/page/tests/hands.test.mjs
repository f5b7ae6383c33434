// What is done with the pointer, and what is heard of a selection: strips moved and sized, pictures dropped, a passage in a
// loop, the list searched; and less movement for those who ask for it.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, test } from "node:test";
import { close_browser, desk, duo, folder, program, root, saved, score, window_at, with_piece } from "./desk.mjs";

after(close_browser);

async function until(page, what, condition) {
  const end = Date.now() + 15_000;
  while (!(await condition())) {
    if (Date.now() > end) assert.fail(`not in time: ${what}`);
    await page.waitForTimeout(50);
  }
}

/// The duo as a picture of music, by the program.
async function pictures() {
  const there = await folder({ "duo.parts": await duo() });
  for (const kind of ["png", "pdf"]) execFileSync(program, ["score", "duo.parts", "-o", `scan.${kind}`], { cwd: there, stdio: "ignore" });
  return there;
}

async function drop(page, files) {
  const coded = await Promise.all(files.map(async ([name, type, path]) => ({ name, type, base64: (await readFile(path)).toString("base64") })));
  const transfer = await page.evaluateHandle((files) => {
    const data = new DataTransfer();
    for (const { name, type, base64 } of files) data.items.add(new File([Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0))], name, { type }));
    return data;
  }, coded);
  await page.dispatchEvent("body", "drop", { dataTransfer: transfer });
}

/// A JPEG of the page itself: the browser can write one.
const jpeg = async (page, path) => page.screenshot({ path, type: "jpeg", quality: 80 });

test("pictures of three kinds are dropped beside a piece, and a text that is none is refused", async () => {
  const drawn = await pictures();
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(with_piece(there.address, "duo.parts"));
  await score(page);
  await jpeg(page, join(drawn, "photo.jpg"));
  await drop(page, [["Scan One.png", "image/png", join(drawn, "scan.png")], ["scan two.pdf", "application/pdf", join(drawn, "scan.pdf")], ["photo.jpg", "image/jpeg", join(drawn, "photo.jpg")]]);
  await until(page, "three pictures", async () => (await page.locator(".pane-facsimile select").first().locator("option").count()) === 3);
  const names = await page.locator(".pane-facsimile select").first().locator("option").allTextContents();
  assert.deepEqual(names.sort(), ["photo.jpg", "scan-one.png", "scan-two.pdf"]);
  for (const name of names) {
    await page.getByLabel("Picture", { exact: true }).selectOption(name);
    await page.waitForFunction(() => !document.querySelector(".facsimile").hasAttribute("aria-busy"));
    await page.waitForFunction(() => {
      const canvas = document.querySelector(".page-canvas");
      return canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data.some((value) => value > 0);
    });
  }
  await drop(page, [["letter.txt", "text/plain", join(drawn, "duo.parts")]]);
  await page.getByText("is no picture").waitFor();
  assert.deepEqual(page.complaints, []);
  await there.close();
});

test("a strip is moved and sized by the pointer, and its line says where it stands", async () => {
  const drawn = await pictures();
  const text = (await duo()).replace(/^\n/m, "facsimile Cantus 1 scan.png 1 60 60 300 90 0\n\n");
  const there = await desk(await folder({ "duo.parts": text, "scan.png": join(drawn, "scan.png") }));
  const page = await window_at(with_piece(there.address, "duo.parts"));
  await score(page);
  await page.waitForSelector(".page-view");
  if (!(await page.locator(".pane-facsimile").isVisible())) await page.getByRole("button", { name: "Show Facsimile" }).click();
  const strip = page.locator(".strip").first();
  await strip.waitFor();
  const item = async () => /^facsimile Cantus 1 scan\.png 1 (\S+) (\S+) (\S+) (\S+)/m.exec(await readFile(join(there.path, "duo.parts"), "utf8")).slice(1).map(Number);
  const drag = async (from, by) => {
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    for (let part = 1; part <= 4; part++) await page.mouse.move(from.x + (by.x * part) / 4, from.y + (by.y * part) / 4);
    await page.mouse.up();
  };
  const middle = (box) => ({ x: box.x + box.width / 2, y: box.y + box.height / 2 });
  const [x, y, w, h] = await item();
  await drag(middle(await strip.boundingBox()), { x: 30, y: 20 });
  await until(page, "the place in the file", async () => (await item())[0] > x);
  const moved = await item();
  assert.ok(moved[1] > y && moved[2] === w && moved[3] === h, `${moved}`);
  await saved(page);
  await strip.hover();
  await drag(middle(await page.locator(".strip .handle-se").first().boundingBox()), { x: 24, y: 12 });
  await until(page, "the size in the file", async () => (await item())[2] > w);
  const sized = await item();
  assert.ok(Math.abs(sized[0] - moved[0]) < 1 && Math.abs(sized[1] - moved[1]) < 1 && sized[3] > h, `${sized} after ${moved}`);
  await there.close();
});

test("what is selected is played, and in a loop again and again", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(null);
  await page.addInitScript(() => {
    window.heard = [];
    const start = AudioBufferSourceNode.prototype.start;
    AudioBufferSourceNode.prototype.start = function (when) {
      if (this.context instanceof AudioContext) window.heard.push({ when, until: when + this.buffer.duration });
      return start.call(this, when);
    };
  });
  const asked = [];
  page.on("request", (request) => {
    if (request.url().endsWith("/api/sound")) asked.push(request.postDataJSON());
  });
  await page.goto(with_piece(there.address, "duo.parts"));
  await score(page);
  await page.getByRole("button", { name: "Hear", exact: true }).click();
  await page.getByLabel("Minims a minute").fill("400");
  // Two notes of the Tenor.
  await page.locator(".cm-line", { hasText: "sb D3 E F G" }).click();
  await page.keyboard.press("Home");
  for (let time = 0; time < 7; time++) await page.keyboard.press("Shift+ArrowRight");
  await page.waitForFunction(() => getSelection().toString().includes("D3"));
  await page.getByLabel("Passage").selectOption("selection");
  await page.getByLabel("Again and again").check();
  await page.getByRole("button", { name: "Play" }).click();
  await until(page, "a request", async () => asked.length > 0);
  assert.ok(asked[0].to > asked[0].from, JSON.stringify(asked[0]));
  const length = (60 / 400) * (asked[0].to - asked[0].from);
  // It goes on for longer than the passage lasts, with its reverberation.
  await until(page, "the passage three times", async () =>
    page.evaluate((length) => window.heard.length > 0 && window.heard.at(-1).until - window.heard[0].when > 3 * length + 6, length));
  await page.getByRole("button", { name: "Stop" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".light-sounding").length === 0);
  await there.close();
});

test("the list is searched by title, source and file", async () => {
  const fixture = (name) => join(root, "fixtures", name);
  const there = await desk(await folder({ "duo.parts": await duo(), "four.parts": fixture("misprinted-value.parts"), "high.parts": fixture("high-clefs.parts") }));
  const page = await window_at(there.address);
  const rows = page.locator(".pieces-table tbody tr");
  await until(page, "all pieces", async () => (await rows.count()) === 3);
  const search = page.getByLabel("Search titles, sources and files");
  for (const [words, file] of [["rising", "duo.parts"], ["FOL. 27R", "four.parts"], ["high.pa", "high.parts"]]) {
    await search.fill(words);
    await until(page, words, async () => (await rows.count()) === 1 && (await rows.first().textContent()).includes(file));
  }
  await search.fill("no such piece");
  await page.getByText("No piece has these words.").waitFor();
  await search.fill("");
  await until(page, "all again", async () => (await rows.count()) === 3);
  await there.close();
});

test("who asks for less movement gets none", async () => {
  const there = await desk(await folder({ "four.parts": join(root, "fixtures/misprinted-value.parts") }));
  const scrolls = () => {
    window.scrolls = [];
    const into = Element.prototype.scrollIntoView;
    Element.prototype.scrollIntoView = function (how) {
      window.scrolls.push(how?.behavior);
      return into.call(this, how);
    };
  };
  for (const [reducedMotion, behavior] of [["reduce", "auto"], ["no-preference", "smooth"]]) {
    const page = await window_at(null, { reducedMotion, viewport: { width: 1000, height: 420 } });
    await page.addInitScript(scrolls);
    await page.goto(there.address.replace(/code=.*/, `code=${await code(there)}&piece=four.parts`));
    await score(page);
    const moving = await page.evaluate(() => [...document.querySelectorAll("*")].filter((one) => parseFloat(getComputedStyle(one).transitionDuration) > 0).length);
    assert.equal(moving > 0, reducedMotion !== "reduce", `${moving} with ${reducedMotion}`);
    // A note out of sight is brought into it.
    await page.locator(".cm-content").press("Control+End");
    await page.keyboard.press("F7");
    await until(page, "the note is brought into sight", async () => (await page.evaluate(() => window.scrolls.length)) > 0);
    assert.ok((await page.evaluate(() => window.scrolls)).every((one) => one === behavior));
  }
  await there.close();
});

/// The first window takes the code of the address; later ones get one of their own.
let first_token = null;
async function code(there) {
  const { origin, hash } = new URL(there.address);
  const post = (path, body) => fetch(`${origin}${path}`, {
    method: "POST", headers: { "content-type": "application/json", origin, ...(first_token ? { authorization: `Bearer ${first_token}` } : {}) }, body: JSON.stringify(body),
  }).then((answer) => answer.json());
  first_token ??= (await post("/api/token", { code: new URLSearchParams(hash.slice(1)).get("code") })).token;
  return (await post("/api/code", {})).code;
}
