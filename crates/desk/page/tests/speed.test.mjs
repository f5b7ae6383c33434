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

/// Notes for every key: when the answer of the program came, and when the new picture stood on the screen.
const measure = () => {
  window.spans = [];
  let pressed = null;
  let answered = null;
  document.addEventListener("keydown", (event) => (pressed = event.timeStamp), true);
  window.answers = () => (answered = performance.now());
  new MutationObserver((changes) => {
    if (pressed === null || !changes.some(({ addedNodes }) => [...addedNodes].some((node) => node.classList?.contains("system")))) return;
    const [from, answer] = [pressed, answered];
    pressed = null;
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => window.spans.push({ all: performance.now() - from, page: performance.now() - answer });
      port2.postMessage(0);
    });
  }).observe(document.querySelector(".pane-score .picture"), { childList: true });
};

/// Before the page hears the program, the clock does.
const hear = () => {
  const set = Object.getOwnPropertyDescriptor(WebSocket.prototype, "onmessage").set;
  Object.defineProperty(WebSocket.prototype, "onmessage", {
    set(listener) {
      set.call(this, (message) => {
        if (message.data.startsWith('{"kind":"shown"')) window.answers?.();
        listener(message);
      });
    },
  });
};

/// What it costs to write the whole picture anew, which is what the page must not do.
const whole = async () => {
  const picture = document.querySelector(".pane-score .picture");
  const spans = [];
  const drawn = picture.innerHTML;
  const copy = picture.cloneNode(false);
  picture.after(copy);
  for (let time = 0; time < 9; time++) {
    await new Promise((done) => requestAnimationFrame(done));
    const from = performance.now();
    copy.innerHTML = drawn;
    await new Promise((done) => requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = done;
      port2.postMessage(0);
    }));
    spans.push(performance.now() - from);
    copy.replaceChildren();
  }
  copy.remove();
  return spans;
};

const part = (spans, share) => [...spans].sort((a, b) => a - b)[Math.min(spans.length - 1, Math.floor(spans.length * share))];

test("the picture follows the typing", async (context) => {
  const there = await desk(await folder({ "forty.parts": four_voices() }));
  const page = await window_at(null);
  await page.addInitScript(hear);
  await page.goto(with_piece(there.address, "forty.parts"));
  await score(page);
  await page.waitForTimeout(2500);
  await page.evaluate(measure);
  /// Types a sign and takes it away again, some signs before the end of the last line but one of the Altus.
  const typed = async (name, sign, left, times = 60) => {
    await page.locator(".cm-line", { hasText: "voice Tenor" }).first().click();
    for (const key of ["ArrowUp", "ArrowUp", "End", ...Array(left).fill("ArrowLeft")]) await page.keyboard.press(key);
    await page.waitForTimeout(300);
    await page.evaluate(() => (window.spans.length = 0));
    for (let time = 0; time < times; time++) {
      await page.keyboard.press(time % 2 ? "Backspace" : sign);
      await page.waitForTimeout(90);
    }
    await page.waitForTimeout(400);
    const spans = await page.evaluate(() => window.spans);
    assert.ok(spans.length > times / 2, `${name}: ${spans.length} pictures`);
    const said = (which) => {
      const all = spans.map((span) => span[which]);
      return `median ${part(all, 0.5).toFixed(1)} ms, 95 % ${part(all, 0.95).toFixed(1)} ms`;
    };
    context.diagnostic(`${name}: ${spans.length} pictures of ${times} keys; from the key ${said("all")}; from the answer ${said("page")}`);
    return part(spans.map(({ page }) => page), 0.5);
  };
  const one = await typed("a sharp, which changes one system", "#", 3);
  await typed("a dot, which moves all that follows", ".", 2);
  const anew = part(await page.evaluate(whole), 0.5);
  context.diagnostic(`the whole picture anew: median ${anew.toFixed(1)} ms`);
  assert.ok(one < anew, `one system ${one} ms, the whole picture ${anew} ms`);
  await there.close();
});
