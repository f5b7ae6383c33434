// What needs no browser: places in a text, values, samples, head items.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { source } from "./built.mjs";

const { Offsets } = await source("text/offsets.ts");
const { EditorState, move_value, in_music } = await source("../tests/typing.ts");
const { WaveReader } = await source("sound/wave.ts");
const { head_end, written } = await source("facsimile/items.ts");
const { fingerprint } = await source("store.ts");

test("places are bytes of UTF-8 for the program, as Node counts them", () => {
  for (const text of ["", "mn A4", "title Où va\nmn A", "𝄞 clef", "é𝄞ü→x"]) {
    const offsets = new Offsets(text);
    for (let unit = 0; unit <= text.length; unit++) {
      const inside = unit > 0 && /[\ud800-\udbff]/.test(text[unit - 1]) && /[\udc00-\udfff]/.test(text[unit] ?? "");
      if (inside) continue;
      const byte = Buffer.byteLength(text.slice(0, unit));
      assert.equal(offsets.byte(unit), byte, `${text} ${unit}`);
      assert.equal(offsets.unit(byte), unit, `${text} byte ${byte}`);
    }
  }
});

test("a line end of two bytes is one unit", () => {
  const text = "é\r\nmn A\r\n𝄞\r";
  const offsets = new Offsets(text);
  const shown = text.replaceAll("\r\n", "\n");
  for (let unit = 0; unit <= shown.length; unit++) {
    if (unit > 0 && /[\ud800-\udbff]/.test(shown[unit - 1])) continue;
    const byte = Buffer.byteLength(shown.slice(0, unit).replaceAll("\n", "\r\n"));
    assert.equal(offsets.byte(unit), byte, `unit ${unit}`);
    assert.equal(offsets.unit(byte), unit, `byte ${byte}`);
  }
  assert.equal(offsets.byte(99), Buffer.byteLength(text));
});

test("a place outside the text is its end", () => {
  assert.equal(new Offsets("é").byte(9), 2);
  assert.equal(new Offsets("é").unit(9), 1);
});

const VALUES = ["mx", "lg", "br", "sb", "mn", "sm", "fu", "sf"];

/// The text after the key, `|` for the cursor; and the value that is named.
function moved(text, degree) {
  const at = text.indexOf("|");
  const doc = text.replace("|", "");
  const state = EditorState.create({ doc, selection: { anchor: at } });
  const done = move_value(state, degree, VALUES);
  if (!done) return null;
  const after = state.update(done.change).state;
  const head = after.selection.main.head;
  const typed = after.doc.toString();
  return [`${typed.slice(0, head)}|${typed.slice(head)}`, done.word];
}
const voice = (text) => `voice Cantus clef C1\n${text}`;

test("a shorter value begins at the cursor", () => {
  assert.deepEqual(moved(voice("mn A B|"), 1), [voice("mn A B sm |"), "sm"]);
  assert.deepEqual(moved(voice("mn A B |"), -1), [voice("mn A B sb |"), "sb"]);
});
test("a value that no note has yet is changed", () => {
  assert.deepEqual(moved(voice("mn A sm |"), 1), [voice("mn A fu |"), "fu"]);
  assert.deepEqual(moved(voice("mn|"), 1), [voice("sm |"), "sm"]);
});
test("back to the value in force, the word is not needed", () => {
  assert.deepEqual(moved(voice("mn A sm |"), -1), [voice("mn A |"), "mn"]);
});
test("the longest stays the longest", () => {
  assert.deepEqual(moved(voice("mx A |"), -1), [voice("mx A |"), "mx"]);
});
test("values in comments and in what is supplied do not count", () => {
  assert.deepEqual(moved(voice("mn A ; sb\n B|"), 1)?.[1], "sm");
  assert.deepEqual(moved(voice("mn A [ fu B C ] D|"), 1)?.[1], "sm");
});
test("outside the music the keys do nothing", () => {
  assert.equal(moved("title a|", 1), null);
  assert.equal(moved(voice('mn A "words|'), 1), null);
  assert.equal(in_music(EditorState.create({ doc: voice("mn A ") }), 26), true);
});

test("samples are whole, however the stream is cut", () => {
  const samples = [0, 1, -1, 32767, -32768, 12345];
  const wave = Buffer.alloc(44 + samples.length * 2);
  wave.write("RIFF", 0);
  wave.write("WAVEfmt ", 8);
  wave.writeUInt32LE(16, 16);
  wave.writeUInt16LE(1, 20);
  wave.writeUInt16LE(2, 22);
  wave.writeUInt32LE(48000, 24);
  wave.writeUInt16LE(16, 34);
  wave.write("data", 36);
  samples.forEach((sample, index) => wave.writeInt16LE(sample, 44 + 2 * index));
  for (let cut = 1; cut < wave.length; cut++) {
    const reader = new WaveReader();
    const got = [[], []];
    for (let at = 0; at < wave.length; at += cut) {
      reader.take(new Uint8Array(wave.subarray(at, at + cut))).forEach((channel, index) => got[index].push(...channel));
    }
    assert.deepEqual(got, [[0, -1 / 32768, -1], [1 / 32768, 32767 / 32768, 12345 / 32768]], `cut ${cut}`);
    assert.equal(reader.format.rate, 48000);
  }
});

test("strips are typed at the end of the head", () => {
  const text = "title A\nsign C|\n\nvoice Cantus clef C1\n";
  assert.equal(head_end(text, 0), text.indexOf("\n\n"));
  assert.equal(head_end("voice A clef C1\n", 0), 0);
  const item = { voice: "Tenor", line: 2, file: "fol 3.png", page: 1, x: 1, y: 2.5, w: 30, h: 4, angle: -0.5 };
  assert.equal(written(item), 'facsimile Tenor 2 "fol 3.png" 1 1 2.5 30 4 -0.5');
});

test("every key stands in the documentation", async () => {
  const { keys } = await source("keys.ts");
  const page = await readFile(new URL("../../../../docs/desk.md", import.meta.url), "utf8");
  for (const key of [...Object.values(keys), "Alt-,", "Alt-."]) assert.ok(page.includes(key), key);
});

test("texts that differ in one place have other fingerprints", () => {
  const text = "mn A B C D ".repeat(50);
  const seen = new Set([fingerprint(text)]);
  for (let at = 0; at < text.length; at++) seen.add(fingerprint(`${text.slice(0, at)}x${text.slice(at + 1)}`));
  assert.equal(seen.size, text.length + 1);
});
