// From a keystroke to the new picture, with 40 bars of four voices, and with five voices of 170 minims.

import assert from "node:assert/strict";
import { availableParallelism, loadavg } from "node:os";
import { after, test } from "node:test";
import { close_browser, desk, folder, score, window_at, with_piece } from "./desk.mjs";

after(close_browser);

/// Voices of so many minims, stepwise; invented by a sum that is the same every time.
function invented(voices, length) {
  const letters = "CDEFGAB";
  let seed = 7;
  const chance = (below) => (seed = (seed * 1103515245 + 12345) % 2147483648) % below;
  const lines = voices.map(([name, clef, octave]) => {
    let place = octave * 7 + (name === "Bassus" ? 0 : 3);
    const low = place - 4;
    const notes = [];
    for (let minims = 0; minims < length - 4;) {
      const [value, lasts] = [["sb", 2], ["mn", 1], ["mn", 1]][chance(3)];
      if (minims + lasts > length - 4) continue;
      place += place <= low ? 1 : place >= low + 8 ? -1 : chance(2) ? 1 : -1;
      notes.push(`${value} ${letters[place % 7]}${Math.floor(place / 7)}`);
      minims += lasts;
    }
    const rows = [];
    while (notes.length) rows.push(`  ${notes.splice(0, 16).join(" ")} ${notes.length ? "/" : "br D" + octave + " //"}`);
    return `voice ${name} clef ${clef}\n${rows.join("\n")}`;
  });
  return `title In ${voices.length} voices\nsign C|\n\n${lines.join("\n")}\n`;
}

const FOUR = [["Cantus", "C1", 4], ["Altus", "C3", 4], ["Tenor", "C4", 3], ["Bassus", "F4", 3]];
const FIVE = [...FOUR.slice(0, 3), ["Quintus", "C4", 3], ...FOUR.slice(3)];

/// Notes for every key: how many systems are new, when the answer of the program came, and when the new picture stood on the screen.
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
    const handled = performance.now() - answered;
    const fresh = changes.flatMap(({ addedNodes }) => [...addedNodes]).filter((node) => node.classList?.contains("system")).length;
    if (pressed === null || fresh === 0) return;
    const [from, answer] = [pressed, answered];
    pressed = null;
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => told?.({ fresh, handled, all: performance.now() - from, page: performance.now() - answer });
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

/// Writes the whole picture anew and lays it out, which is what the page must not do for a key.
const whole = () => {
  const picture = document.querySelector(".pane-score .picture");
  const drawn = picture.innerHTML;
  const copy = picture.cloneNode(false);
  picture.after(copy);
  const from = performance.now();
  copy.innerHTML = drawn;
  copy.getBoundingClientRect();
  const took = performance.now() - from;
  copy.remove();
  return took;
};

/// Where the last note is typed in the last line but one of the voice over a line; its sign stands before the octave.
const place = ([below, sign]) => {
  const all = [...document.querySelectorAll(".cm-line")];
  const line = all[all.findIndex((one) => one.textContent.startsWith(below)) - 2];
  const walker = document.createTreeWalker(line, NodeFilter.SHOW_TEXT);
  let left = /\s*\/\s*$/.exec(line.textContent).index - (sign === "#" ? 1 : 0);
  while (walker.nextNode() && walker.currentNode.length < left) left -= walker.currentNode.length;
  const range = document.createRange();
  range.setStart(walker.currentNode, left - 1);
  range.setEnd(walker.currentNode, left);
  const { right, top, bottom } = range.getBoundingClientRect();
  return { x: right, y: (top + bottom) / 2 };
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
  /// Types a sign and takes it away again, after the last note of the last line but one of the voice over `below`.
  const typed = async (name, below, sign, times = 60) => {
    await page.locator(".cm-line", { hasText: below }).first().click();
    const { x, y } = await page.evaluate(place, [below, sign]);
    await page.mouse.click(x, y);
    await page.waitForTimeout(500);
    const spans = [];
    const before = await used();
    for (let time = 0; time < times; time++) {
      const seen = page.evaluate(() => window.next());
      // A key is held for some hundredths of a second, here until its picture has come: until the frame after it is let go,
      // the browser holds back what the program answers.
      const key = time % 2 ? "Backspace" : sign;
      await page.keyboard.down(key);
      spans.push(await seen);
      await page.keyboard.up(key);
      // At all moments between two frames alike.
      await page.waitForTimeout(60 + ((time * 7) % 17));
    }
    const each = (await used() - before) / times;
    const said = (which) => {
      const all = spans.map((span) => span[which]);
      return `median ${part(all, 0.5).toFixed(1)} ms, 95 % ${part(all, 0.95).toFixed(1)} ms`;
    };
    const fresh = Math.max(...spans.map((span) => span.fresh));
    const handled = part(spans.map((span) => span.handled), 0.5);
    return { fresh, handled, said: `${name}: from the key ${said("all")}; from the answer ${said("page")}, ${handled.toFixed(1)} ms of it at once; ${each.toFixed(1)} ms of the processor for the page` };
  };
  return { there, page, typed };
}

const load = () => `load ${loadavg()[0].toFixed(1)} on ${availableParallelism()} processors`;

/// How many signs the drawings have, and how many of them refer to a drawing elsewhere: each such takes the browser several
/// times as long.
const referred = () => ({
  all: document.querySelectorAll("svg [data-index] > *").length,
  referred: document.querySelectorAll("svg use").length,
});

test("the picture follows the typing", async (context) => {
  const { there, page, typed } = await opened(invented(FOUR, 160));
  const one = await typed("a sharp, which changes one system", "voice Tenor", "#");
  const moved = await typed("a dot, which moves all that follows", "voice Tenor", ".");
  const spans = [];
  for (let time = 0; time < 15; time++) spans.push(await page.evaluate(whole));
  const anew = part(spans, 0.5);
  for (const said of [one.said, moved.said, `the whole picture anew: median ${anew.toFixed(1)} ms`, load()]) context.diagnostic(said);
  assert.equal(one.fresh, 1, "a sharp changes one system, and no other is replaced");
  assert.ok(one.handled < anew, `one system ${one.handled} ms, the whole picture ${anew} ms`);
  const signs = await page.evaluate(referred);
  assert.ok(signs.all > 200, `${signs.all} signs`);
  assert.equal(signs.referred, 0);
  await there.close();
});

test("five voices of 170 minims", async (context) => {
  const { there, typed } = await opened(invented(FIVE, 170));
  const one = await typed("five voices, a sharp", "voice Quintus", "#", 40);
  for (const said of [one.said, load()]) context.diagnostic(said);
  assert.equal(one.fresh, 1);
  await there.close();
});
