// What the browser plays is what the command renders, sample for sample.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, test } from "node:test";
import { source } from "./built.mjs";
import { close_browser, desk, duo, folder, program, score, window_at, with_piece } from "./desk.mjs";

after(close_browser);

const { WaveReader } = await source("sound/wave.ts");

/// Everything that is handed to the loudspeaker, with its time.
const listen = () => {
  window.heard = [];
  const start = AudioBufferSourceNode.prototype.start;
  AudioBufferSourceNode.prototype.start = function (when) {
    if (this.context instanceof AudioContext) window.heard.push({ when, buffer: this.buffer });
    return start.call(this, when);
  };
};

async function rendered(file, options) {
  execFileSync(program, ["score", file, "-o", `${file}.wav`, ...options], { stdio: "ignore" });
  const reader = new WaveReader();
  const channels = reader.take(new Uint8Array(await readFile(`${file}.wav`)));
  return { channels, rate: reader.format.rate };
}

/// The difference between what the page played, mixed by an offline context, and the samples of the command.
async function difference(page, { channels, rate }) {
  const length = channels[0].length;
  await page.waitForFunction(({ length, rate }) => {
    const last = window.heard.at(-1);
    return last && last.when + last.buffer.duration - window.heard[0].when > (length - 2) / rate;
  }, { length, rate }, { timeout: 20_000 });
  const samples = channels.map((channel) => Buffer.from(channel.buffer, channel.byteOffset, channel.byteLength).toString("base64"));
  return page.evaluate(async ({ samples, length, rate }) => {
    const offline = new OfflineAudioContext(samples.length, length, rate);
    const first = Math.min(...window.heard.map(({ when }) => when));
    for (const { when, buffer } of window.heard) {
      const node = offline.createBufferSource();
      node.buffer = buffer;
      node.connect(offline.destination);
      node.start(Math.round((when - first) * rate) / rate);
    }
    const heard = await offline.startRendering();
    let most = 0;
    samples.forEach((base64, index) => {
      const wanted = new Float32Array(Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0)).buffer);
      heard.getChannelData(index).forEach((sample, at) => (most = Math.max(most, Math.abs(sample - wanted[at]))));
    });
    return most;
  }, { samples, length, rate });
}

test("the duo is heard as the command renders it; the cursor runs along", async () => {
  const there = await desk(await folder({ "duo.parts": await duo() }));
  const page = await window_at(null);
  await page.addInitScript(listen);
  await page.goto(with_piece(there.address, "duo.parts"));
  await score(page);
  await page.getByRole("button", { name: "Hear", exact: true }).click();
  await page.getByLabel("Passage").selectOption("start");
  await page.getByRole("button", { name: "Play" }).click();
  const whole = await rendered(join(there.path, "duo.parts"), []);
  assert.ok((await difference(page, whole)) < 1e-4);
  await page.waitForSelector(".pane-score .light-sounding");
  await page.waitForSelector(".cm-content .mark-sounding");
  await page.getByRole("button", { name: "Stop" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".light-sounding").length === 0);

  // One voice alone, faster, otherwise tuned.
  await page.evaluate(() => (window.heard.length = 0));
  await page.getByLabel("Cantus").selectOption("silent");
  await page.getByLabel("Minims a minute").fill("120");
  await page.getByLabel("Temperament").selectOption("pythagorean");
  await page.getByRole("button", { name: "Play" }).click();
  const alone = await rendered(join(there.path, "duo.parts"), ["--mute", "Cantus", "--tempo", "mn=120", "--temperament", "pythagorean"]);
  assert.ok((await difference(page, alone)) < 1e-4);
  assert.ok((await difference(page, whole).catch(() => 1)) > 1e-3, "the check hears a difference");
  await there.close();
});
