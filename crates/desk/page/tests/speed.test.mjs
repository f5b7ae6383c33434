// From a keystroke to the new picture, with 40 bars of four voices.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { close_browser, desk, folder, score, window_at, with_piece } from "./desk.mjs";

after(close_browser);

/// Four voices of 160 minims, stepwise; invented by a sum that is the same every time.
export function four_voices() {
  const voices = [["Cantus", "C1", 4], ["Altus", "C3", 4], ["Tenor", "C4", 3], ["Bassus", "F4", 3]];
  const letters = "CDEFGAB";
  let seed = 7;
  const chance = (below) => (seed = (seed * 1103515245 + 12345) % 2147483648) % below;
  const lines = voices.map(([name, clef, octave]) => {
    let place = octave * 7 + (name === "Bassus" ? 0 : 3);
    const low = place - 4;
    const notes = [];
    for (let minims = 0; minims < 156;) {
      const [value, length] = [["sb", 2], ["mn", 1], ["mn", 1]][chance(3)];
      if (minims + length > 156) continue;
      place += place <= low ? 1 : place >= low + 8 ? -1 : chance(2) ? 1 : -1;
      notes.push(`${value} ${letters[place % 7]}${Math.floor(place / 7)}`);
      minims += length;
    }
    const rows = [];
    while (notes.length) rows.push(`  ${notes.splice(0, 16).join(" ")} ${notes.length ? "/" : "br D" + octave + " //"}`);
    return `voice ${name} clef ${clef}\n${rows.join("\n")}`;
  });
  return `title Forty bars\nsign C|\n\n${lines.join("\n")}\n`;
}

const measure = () => {
  window.spans = [];
  let pressed = null;
  document.addEventListener("keydown", (event) => (pressed = event.timeStamp), true);
  new MutationObserver((changes) => {
    if (pressed === null || !changes.some(({ addedNodes }) => [...addedNodes].some((node) => node.classList?.contains("system")))) return;
    const from = pressed;
    pressed = null;
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => window.spans.push(performance.now() - from);
      port2.postMessage(0);
    });
  }).observe(document.querySelector(".pane-score .picture"), { childList: true });
};

const part = (spans, share) => [...spans].sort((a, b) => a - b)[Math.min(spans.length - 1, Math.floor(spans.length * share))];

test("the picture follows the typing", async (context) => {
  const there = await desk(await folder({ "forty.parts": four_voices() }));
  const page = await window_at(with_piece(there.address, "forty.parts"));
  await score(page);
  await page.waitForTimeout(2500);
  await page.evaluate(measure);
  /// Types a sign and takes it away again, at the end of a line of the Tenor.
  const typed = async (name, sign, row, left, times = 60) => {
    await page.locator(".cm-line", { hasText: row }).first().click();
    await page.keyboard.press("ArrowUp");
    await page.keyboard.press("End");
    for (let step = 0; step < left; step++) await page.keyboard.press("ArrowLeft");
    await page.waitForTimeout(200);
    await page.evaluate(() => (window.spans.length = 0));
    for (let time = 0; time < times; time++) {
      await page.keyboard.press(time % 2 ? "Backspace" : sign);
      await page.waitForTimeout(80);
    }
    await page.waitForTimeout(300);
    const spans = await page.evaluate(() => window.spans);
    const [median, most] = [part(spans, 0.5), part(spans, 0.95)];
    context.diagnostic(`${name}: ${spans.length} pictures of ${times} keys, median ${median.toFixed(1)} ms, 95 % ${most.toFixed(1)} ms`);
    assert.ok(spans.length > times * 0.8, `${name}: every key has its picture`);
    return { median, most };
  };
  const one = await typed("a sharp, which changes one system", "#", "voice Tenor", 4);
  const all = await typed("a dot, which moves all that follows", ".", "voice Tenor", 3);
  const end = await typed("a dot at the end of a voice", ".", 99, 3);
  assert.ok(one && all && end);
  await there.close();
});
