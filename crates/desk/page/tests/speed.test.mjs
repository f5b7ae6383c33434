// From a keystroke to the new picture, with 40 bars of four voices.

import assert from "node:assert/strict";
import { availableParallelism, loadavg } from "node:os";
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
  let pressed = null;
  let answered = null;
  let told = null;
  document.addEventListener("keydown", (event) => (pressed = event.timeStamp), true);
  window.answers = () => (answered = performance.now());
  /// The picture of the next key.
  window.next = () => new Promise((done, failed) => {
    told = done;
    setTimeout(failed, 20_000, new Error("no picture comes for the key"));
  });
  new MutationObserver((changes) => {
    if (pressed === null || !changes.some(({ addedNodes }) => [...addedNodes].some((node) => node.classList?.contains("system")))) return;
    const [from, answer] = [pressed, answered];
    pressed = null;
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => told?.({ all: performance.now() - from, page: performance.now() - answer });
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

/// Writes the whole picture anew, which is what the page must not do for a key.
const whole = async () => {
  const picture = document.querySelector(".pane-score .picture");
  const copy = picture.cloneNode(false);
  picture.after(copy);
  copy.innerHTML = picture.innerHTML;
  await new Promise((done) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = done;
    port2.postMessage(0);
  }));
  copy.remove();
};

const part = (spans, share) => [...spans].sort((a, b) => a - b)[Math.min(spans.length - 1, Math.floor(spans.length * share))];

/// Milliseconds of the processor that the page has used; how busy the machine is changes little about them.
async function processor(page) {
  const session = await page.context().newCDPSession(page);
  await session.send("Performance.enable", { timeDomain: "threadTicks" });
  return async () => {
    const { metrics } = await session.send("Performance.getMetrics");
    return 1000 * metrics.find(({ name }) => name === "TaskDuration").value;
  };
}

async function opened(text) {
  const there = await desk(await folder({ "piece.parts": text }));
  const page = await window_at(null);
  await page.addInitScript(hear);
  await page.goto(with_piece(there.address, "piece.parts"));
  await score(page);
  await page.waitForTimeout(2500);
  await page.evaluate(measure);
  const used = await processor(page);
  /// Types a sign and takes it away again, some signs before the end of the last line but one of the voice over `below`.
  const typed = async (name, below, sign, left, times = 60) => {
    await page.locator(".cm-line", { hasText: below }).first().click();
    for (const key of ["ArrowUp", "ArrowUp", "End", ...Array(left).fill("ArrowLeft")]) await page.keyboard.press(key);
    await page.waitForTimeout(500);
    const spans = [];
    const before = await used();
    for (let time = 0; time < times; time++) {
      const seen = page.evaluate(() => window.next());
      await page.keyboard.press(time % 2 ? "Backspace" : sign);
      spans.push(await seen);
      await page.waitForTimeout(60);
    }
    const each = (await used() - before) / times;
    const said = (which) => {
      const all = spans.map((span) => span[which]);
      return `median ${part(all, 0.5).toFixed(1)} ms, 95 % ${part(all, 0.95).toFixed(1)} ms`;
    };
    return { each, said: `${name}: from the key ${said("all")}; from the answer ${said("page")}; ${each.toFixed(1)} ms of the processor for the page` };
  };
  return { there, page, used, typed };
}

const load = () => `load ${loadavg()[0].toFixed(1)} on ${availableParallelism()} processors`;

test("the picture follows the typing", async (context) => {
  const { there, page, used, typed } = await opened(four_voices());
  const one = await typed("a sharp, which changes one system", "voice Tenor", "#", 3);
  const moved = await typed("a dot, which moves all that follows", "voice Tenor", ".", 2);
  const before = await used();
  for (let time = 0; time < 20; time++) await page.evaluate(whole);
  const anew = (await used() - before) / 20;
  for (const said of [one.said, moved.said, `the whole picture anew: ${anew.toFixed(1)} ms of the processor`, load()]) context.diagnostic(said);
  assert.ok(one.each < anew, `one system ${one.each} ms, the whole picture ${anew} ms`);
  await there.close();
});
