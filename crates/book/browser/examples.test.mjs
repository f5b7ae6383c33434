// An example in the site: its views are linked, its notes say what is known of them, it is played.

import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { close, demo, folder, run, window_at } from "./site.mjs";

const BOOK = `# A book {permission="By leave of the chapter of Valdeluz"}

## The first

![A duo](duo.parts){report number=XII folio=14v}[^a]

See [](duo.parts).

[^a]: Tenor:2 The Tenor leaps here.
`;
const DUO = `voice Cantus clef C1
  sb _ A4 D5 < mn C | mn B > mn B /
  A4 G F A C sb D mn C[#] lg D //
voice Tenor clef C4
  sb D3 A mn G F E D /
  sb F3 D mn A F sb E lg D //
`;

/// A book whose source has a picture, drawn by the program itself.
async function book() {
  const path = await folder({ "book.md": BOOK, "duo.parts": DUO });
  run(path, "proof", "duo.parts", "-o", "scan.png", "--dpi", "120");
  run(path, "proof", "duo.parts", "--strips", "--facsimile", "scan.png", "--write");
  run(path, "book", ".", "--site", "site");
  return join(path, "site");
}

let site;
before(async () => (site = await book()));
after(close);

/// The views in which something is lit, and what is said.
const seen = (figure) =>
  figure.evaluate((one) => ({
    lit: [...one.querySelectorAll(".lit")]
      .filter((sign) => sign.getClientRects().length > 0)
      .map((sign) => {
        const view = sign.closest("details, .layout").className.split(" ")[0];
        return `${view} ${sign.parentElement.dataset.voice} ${sign.dataset.index}`;
      }),
    said: one.querySelector(".said").textContent,
  }));

/// Touches a note in a view, where a reader would.
async function touch(figure, view, voice, index) {
  const sign = figure.locator(`${view}:visible [data-voice="${voice}"] > [data-index="${index}"]`).first();
  await sign.scrollIntoViewIfNeeded();
  const box = await sign.boundingBox();
  await figure.page().mouse.click(box.x + box.width / 2, box.y + box.height / 2);
}

test("its number and place in the source stand beside those of the book", async () => {
  const tab = await window_at(site, "the-first.html");
  const caption = tab.locator("figure.example figcaption");
  assert.match(await caption.textContent(), /^Example 1\.1\. A duo1? ?\(XII, fol\. 14v in the source\)/);
  assert.equal(await tab.locator("main > p a", { hasText: "Example\u00a01.1" }).count(), 1);
  await tab.goto(tab.url().replace("the-first.html", "index.html"));
  assert.match(await tab.locator("ol.examples li").textContent(), /1\.1 A duo \(XII, fol\. 14v in the source\)/);
  assert.deepEqual(tab.complaints, []);
});

test("a note that is touched lights in all views, with its notes and the rule of its length", async () => {
  const tab = await window_at(site, "the-first.html");
  const figure = tab.locator("figure.example");
  await figure.locator("summary").first().waitFor();
  for (const summary of await figure.locator("summary").all()) await summary.click();
  assert.equal(await figure.locator("details.facsimile image").count() > 0, true);
  assert.match(await figure.locator("details.facsimile .source").textContent(), /By leave of the chapter of Valdeluz/);
  for (const view of [".layout", "details.copy", "details.facsimile"]) {
    // The emended note, which has a critical note.
    await touch(figure, view, "Cantus", 4);
    const emended = await seen(figure);
    assert.deepEqual([...new Set(emended.lit)].sort(), ["copy Cantus 4", "facsimile Cantus 4", "layout Cantus 4"], view);
    assert.match(emended.said, /lasts .* · a: .*emended to minim B4/, view);
    // The note at which a footnote points.
    await touch(figure, view, "Tenor", 2);
    const pointed = await seen(figure);
    assert.deepEqual([...new Set(pointed.lit)].sort(), ["copy Tenor 2", "facsimile Tenor 2", "layout Tenor 2"], view);
    assert.match(pointed.said, /lasts .* · 1: The Tenor leaps here\./, view);
  }
  // Links of notes lead to them.
  await figure.locator(".critical a").first().click();
  assert.ok((await seen(figure)).lit.includes("layout Cantus 4"));
  await tab.locator("section.notes a[data-voice]").first().click();
  assert.ok((await seen(figure)).lit.includes("copy Tenor 2"));
  assert.deepEqual(tab.complaints, []);
});

/// Whether a time has passed in which every view shows what sounds.
const sounding = (tab) =>
  tab.waitForFunction(() => {
    const views = [...document.querySelectorAll("figure.example .sounding")].map((sign) => sign.closest("details, .layout").className);
    return views.some((view) => view.includes("layout")) && views.some((view) => view.includes("copy"));
  });
const silent = (tab) => tab.waitForFunction(() => !document.querySelector(".sounding"));

test("without a recording it is played by the browser, until it is stopped or over", async () => {
  const tab = await window_at(site, "the-first.html");
  const button = tab.locator("figure.example button.play");
  await button.click();
  await sounding(tab);
  assert.equal(await button.getAttribute("aria-pressed"), "true");
  assert.equal(await button.textContent(), "Stop");
  await button.click();
  await silent(tab);
  assert.deepEqual([await button.getAttribute("aria-pressed"), await button.textContent()], ["false", "Play"]);
  assert.deepEqual(tab.complaints, []);
});

test("a recording is played, and what sounds is lit; one at a time", async () => {
  const tab = await window_at(await demo(), "of-the-close.html");
  const play = (place) => tab.evaluate((place) => document.querySelectorAll("figure.example audio")[place].play(), place);
  await play(0);
  await sounding(tab);
  await tab.waitForFunction(() => document.querySelector("figure.example audio").currentTime > 0.2);
  await play(1);
  await tab.waitForFunction(() => document.querySelector("figure.example audio").paused);
  await tab.waitForFunction(() => document.querySelectorAll("figure.example")[1].querySelector(".sounding"));
  await tab.evaluate(() => document.querySelectorAll("audio").forEach((audio) => audio.pause()));
  await silent(tab);
  assert.deepEqual(tab.complaints, []);
});

/// `score F -o F.html`: figures for somebody's own page.
test("forty figures on a page share one script, and each has its own address", async () => {
  const path = await folder({ "duo.parts": DUO });
  run(path, "score", "duo.parts", "-o", "duo.html");
  const { readFile, writeFile } = await import("node:fs/promises");
  const html = await readFile(join(path, "duo.html"), "utf8");
  const part = (pattern) => pattern.exec(html)[0];
  const figure = part(/<svg class="drawings"[\s\S]*<\/figure>/);
  const all = Array.from({ length: 40 }, (_, place) => figure.replaceAll("example-duo", `example-duo-${place}`)).join("\n");
  const page = `<!DOCTYPE html><html lang="en"><head><title>Mine</title>${part(/<style>[\s\S]*?<\/style>/)}</head>
    <body><main>${all}</main>${part(/<script>[\s\S]*?<\/script>/)}</body></html>`;
  await writeFile(join(path, "mine.html"), page);
  const tab = await window_at(path, "mine.html#example-duo-33");
  const figures = tab.locator("figure.example");
  assert.equal(await figures.count(), 40);
  await touch(tab.locator("#example-duo-33"), ".layout", "Cantus", 3);
  assert.match((await seen(tab.locator("#example-duo-33"))).said, /lasts/);
  assert.deepEqual((await seen(tab.locator("#example-duo-3"))).lit, []);
  assert.deepEqual(tab.complaints, []);
});
