// What is heard and how: from the cursor or a passage, which voices, how fast, how tuned. And a cursor that runs along.

import { post, post_for } from "../connection";
import { button, choose, el, field } from "../dom";
import type { Noted } from "../picture";
import { choices } from "../store";
import { words } from "../words";
import { Player } from "./player";

export interface Sounding {
  /// The text, its example, and the passage in minims that is to be heard.
  text(): { text: string; example: string | null };
  passage(which: string): { from?: number; to?: number };
  sounds(notes: Noted[]): void;
  could_not(error: unknown): void;
}
interface Times {
  notes: { voice: string; index: number | null; start: number; end: number; silent: boolean }[];
}

/// How often the notes that sound are looked up; ears and eyes do not ask for more.
const FRAME = 1000 / 30;

export class SoundPanel {
  readonly element: HTMLElement;
  readonly open: HTMLButtonElement;
  private readonly player = new Player();
  private readonly play_button: HTMLButtonElement;
  private readonly voices = el("div", { class: "voices-heard", role: "group", "aria-label": words.voices_heard });
  private readonly heard = new Map<string, "" | "alone" | "silent">();
  private readonly passage: HTMLSelectElement;
  private readonly tempo = el("input", { type: "number", min: 10, max: 400, step: 1, value: choices.get("tempo", "60") });
  private readonly pitch = el("input", { type: "number", min: 300, max: 600, step: 1, value: choices.get("pitch", "440") });
  private temperament = choices.get("temperament", "");
  private instrument = choices.get("instrument", "");

  constructor(private readonly sounding: Sounding) {
    this.play_button = button(words.play, () => this.toggle(), { class: "chief" });
    this.passage = choose({ cursor: words.from_cursor, selection: words.from_selection, start: words.from_start }, "cursor", () => {});
    const loop = el("input", { type: "checkbox", onchange: () => (this.player.loop = loop.checked) });
    const volume = el("input", { type: "range", min: 0, max: 1, step: 0.05, value: choices.get("volume", "0.5"), oninput: () => {
      choices.set("volume", volume.value);
      this.player.loudness(Number(volume.value));
    } });
    this.player.volume = Number(volume.value);
    this.tempo.onchange = () => choices.set("tempo", this.tempo.value);
    this.pitch.onchange = () => choices.set("pitch", this.pitch.value);
    this.element = el("section", { class: "sound", hidden: true, id: "sound", "aria-label": words.hear },
      el("div", { class: "sound-row" },
        this.play_button, field(words.passage, this.passage), el("label", { class: "field check" }, loop, el("span", {}, words.loop)),
        field(words.tempo, this.tempo),
        field(words.temperament, choose(words.temperaments, this.temperament, (value) => choices.set("temperament", (this.temperament = value)))),
        field(words.pitch, this.pitch),
        field(words.instrument, choose(words.instruments, this.instrument, (value) => choices.set("instrument", (this.instrument = value)))),
        field(words.volume, volume)),
      this.voices,
      el("p", { class: "quiet" }, words.quiet));
    this.open = button(words.hear, () => this.show(Boolean(this.element.hidden)), { "aria-expanded": "false", "aria-controls": "sound" });
  }

  show(shown: boolean): void {
    this.element.hidden = !shown;
    this.open.setAttribute("aria-expanded", String(shown));
    if (shown) this.play_button.focus();
  }

  /// The voices there are, each to be heard with all, alone, or not at all.
  know(names: readonly string[]): void {
    if (names.join(" ") === [...this.heard.keys()].join(" ") && this.voices.childElementCount) return;
    for (const name of [...this.heard.keys()]) if (!names.includes(name)) this.heard.delete(name);
    this.voices.replaceChildren(...names.map((name) => {
      if (!this.heard.has(name)) this.heard.set(name, "");
      return field(name, choose({ "": words.with_all, alone: words.alone, silent: words.silent }, this.heard.get(name)!, (value) => this.heard.set(name, value as "alone" | "silent")));
    }));
  }

  toggle(which?: string): void {
    if (this.player.playing) this.stop();
    else void this.play(this.sounding.passage(which ?? this.passage.value));
  }

  stop(): void {
    this.player.stop();
    this.sounding.sounds([]);
    this.play_button.textContent = words.play;
  }

  async play(passage: { from?: number; to?: number }): Promise<void> {
    const named = (how: string) => [...this.heard].filter(([, value]) => value === how).map(([name]) => name);
    const asked = {
      ...this.sounding.text(), ...passage,
      ...(named("alone").length ? { only: named("alone") } : {}),
      ...(named("silent").length ? { without: named("silent") } : {}),
      tempo: `mn=${Number(this.tempo.value) || 60}`, pitch: Number(this.pitch.value) || 440,
      ...(this.temperament ? { temperament: this.temperament } : {}),
      ...(this.instrument ? { instrument: this.instrument } : {}),
    };
    this.play_button.textContent = words.stop;
    let times: Times | null = null;
    post<Times>("/api/times", asked).then((answer) => (times = answer), () => {});
    let last = 0;
    let shown = "";
    const run = (at: number) => {
      if (!this.player.playing) return;
      requestAnimationFrame(run);
      const now = this.player.now;
      if (now === null || times === null || at - last < FRAME) return;
      last = at;
      const sounding = times.notes.filter((note) => note.index !== null && note.start <= now && now < note.end && !note.silent);
      const name = sounding.map(({ voice, index }) => `${voice} ${index}`).join();
      if (name === shown) return;
      shown = name;
      this.sounding.sounds(sounding.map(({ voice, index }) => ({ voice, index: index! })));
    };
    try {
      const playing = this.player.play((signal) => post_for("/api/sound", asked, signal));
      requestAnimationFrame(run);
      await playing;
    } catch (error) {
      this.sounding.could_not(error);
    }
    if (!this.player.playing) this.stop();
  }
}
