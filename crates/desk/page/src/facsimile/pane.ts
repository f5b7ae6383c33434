// The pane with the source: a page of a picture, the strips of its lines, and the tools to find and lay them.

import { get, picture } from "../connection";
import { button, choose, el, field, later } from "../dom";
import type { Shown } from "../protocol";
import { words } from "../words";
import { Item, written } from "./items";
import { HELD, strip } from "./strip";
import { Box, PageView } from "./view";

type Strip = Shown["strips"][number];
interface Staves {
  strips: (Box & { empty: boolean })[];
}

export interface Sourced {
  /// The item of a strip is typed anew; null deletes it.
  rewrite(strip: Strip, item: string | null): void;
  /// New items for the head.
  write(items: string[]): void;
  go(strip: Strip): void;
  could_not(error: unknown): void;
  say(text: string): void;
}

export class Facsimile {
  readonly element: HTMLElement;
  readonly tools = el("div", { class: "facsimile-tools" });
  private readonly view = new PageView(words.picture_view);
  private readonly files = el("select", { "aria-label": words.picture, onchange: () => void this.open(this.files.value, 1) });
  private readonly empty = el("p", { class: "empty" }, words.no_pictures);
  private readonly number = el("span", { class: "page-number" });
  private readonly laying = el("div", { class: "laying", hidden: true });
  private readonly page_tools: HTMLElement;
  private pictures: string[] = [];
  private file = "";
  private page = 1;
  private pages = 1;
  private opening = 0;
  private strips: readonly Strip[] = [];
  private voices: readonly { name: string; lines: number }[] = [];
  private found: (Box & { empty: boolean })[] = [];
  private line: { voice: string; line: number } | null = null;
  /// The strip of the line, for the pane of the printed voice.
  private readonly held = later(60, () => this.hold());
  private holder: HTMLElement | null = null;

  constructor(private readonly folder: string, private readonly sourced: Sourced) {
    this.page_tools = el("span", { class: "page-tools" },
      button("‹", () => this.turn(-1), { class: "plain", "aria-label": words.previous_page }), this.number,
      button("›", () => this.turn(1), { class: "plain", "aria-label": words.next_page }));
    this.tools.append(this.files, this.page_tools,
      button("−", () => this.view.zoom(0.8), { class: "plain", "aria-label": words.zoom_out }),
      button("+", () => this.view.zoom(1.25), { class: "plain", "aria-label": words.zoom_in }),
      button(words.zoom_fit, () => this.view.fit(), { class: "plain" }),
      button(words.to_line, () => void this.to_line(), { class: "plain" }),
      button(words.find_strips, () => void this.find(), { class: "plain" }));
    this.element = el("div", { class: "facsimile" }, this.empty, this.laying, this.view.element);
    this.offer([]);
  }

  /// The pictures that lie beside the piece.
  offer(pictures: string[]): void {
    this.pictures = pictures;
    const none = pictures.length === 0;
    this.empty.hidden = !none;
    this.view.element.hidden = none;
    this.tools.hidden = none;
    this.files.replaceChildren(...pictures.map((path) => el("option", { value: path }, this.name(path))));
  }

  /// Opens a page when the pane is seen for the first time.
  seen(): void {
    if (this.file || this.pictures.length === 0) return;
    const first = this.strip_of_line() ?? this.strips[0];
    void this.open(first ? this.path(first.file) : this.pictures[0]!, first?.page ?? 1);
  }

  /// What the text says of its pictures.
  show(strips: readonly Strip[], voices: readonly { name: string; lines: number }[]): void {
    const changed = JSON.stringify(strips) !== JSON.stringify(this.strips);
    this.strips = strips;
    this.voices = voices;
    if (changed) {
      this.draw();
      this.held.ask();
    }
  }

  /// The line of the source under the cursor: its strip is lit.
  at(voice: string, line: number | null, holder: HTMLElement): void {
    this.holder = holder;
    const next = line === null ? null : { voice, line };
    if (JSON.stringify(next) !== JSON.stringify(this.line)) {
      this.line = next;
      this.draw();
      const strip = this.strip_of_line();
      if (strip && this.file && this.path(strip.file) === this.file && strip.page === this.page) this.view.show(strip);
      else if (strip && this.file && this.element.offsetParent) void this.to_line();
    }
    this.held.ask();
  }

  private name(path: string): string {
    return this.folder && path.startsWith(`${this.folder}/`) ? path.slice(this.folder.length + 1) : path;
  }

  private path(file: string): string {
    return this.folder ? `${this.folder}/${file}` : file;
  }

  private strip_of_line(): Strip | undefined {
    const line = this.line;
    return line ? this.strips.find((strip) => strip.voice === line.voice && strip.line === line.line) ?? this.strips.find((strip) => strip.voice === "*" && strip.line === line.line) : undefined;
  }

  private async open(path: string, page: number): Promise<void> {
    const turn = (this.opening += 1);
    this.element.setAttribute("aria-busy", "true");
    try {
      const answer = await picture({ path, page });
      if (turn !== this.opening) return;
      await this.view.load(answer.picture);
      this.view.unit = answer.unit;
      this.pages = answer.pages;
      this.file = path;
      this.page = page;
      this.files.value = path;
      this.found = [];
      this.number.textContent = words.page(page);
      this.page_tools.hidden = this.pages < 2;
      this.draw();
      this.held.ask();
    } catch (error) {
      this.sourced.could_not(error);
    } finally {
      if (turn === this.opening) this.element.removeAttribute("aria-busy");
    }
  }

  private turn(by: number): void {
    const page = this.page + by;
    if (page >= 1 && page <= this.pages) void this.open(this.file, page);
  }

  private async to_line(): Promise<void> {
    const strip = this.strip_of_line();
    if (!strip) return;
    if (this.path(strip.file) !== this.file || strip.page !== this.page) await this.open(this.path(strip.file), strip.page);
    this.view.show(strip);
  }

  private async find(): Promise<void> {
    if (!this.file) return;
    this.element.setAttribute("aria-busy", "true");
    try {
      const staves = await get<Staves>("/api/staves", { path: this.file, page: this.page });
      this.found = staves.strips.filter((one) => !one.empty && !this.here().some((laid) => overlap(laid, one) > 0.5));
      this.sourced.say(words.found_strips(this.found.length));
      this.draw();
      this.laying.querySelector("select")?.focus();
    } catch (error) {
      this.sourced.could_not(error);
    } finally {
      this.element.removeAttribute("aria-busy");
    }
  }

  private here(): Strip[] {
    return this.strips.filter((strip) => this.path(strip.file) === this.file && strip.page === this.page);
  }

  private draw(): void {
    if (this.view.layer.querySelector(`.${HELD}`)) return;
    const lit = this.strip_of_line();
    const focused = document.activeElement instanceof HTMLElement && this.view.layer.contains(document.activeElement) ? document.activeElement.dataset["key"] : null;
    const laid = this.here().map((one) => {
      const label = words.strip(one.voice === "*" ? words.all_voices : one.voice, one.line);
      const element = strip(this.view, one, label, one === lit, {
        changed: (box) => this.sourced.rewrite(one, written({ ...one, ...box })),
        removed: () => this.sourced.rewrite(one, null),
        chosen: () => this.sourced.go(one),
        let_go: () => this.draw(),
      });
      element.dataset["key"] = `${one.voice} ${one.line}`;
      return element;
    });
    const found = this.found.map((one, index) => {
      const element = strip(this.view, one, words.found_strip(index + 1), false, {
        changed: (box) => Object.assign(one, box),
        removed: () => {
          this.found.splice(index, 1);
          this.draw();
        },
        chosen: () => {},
        let_go: () => this.draw(),
      });
      element.classList.add("strip-found");
      element.dataset["key"] = `found ${index}`;
      return element;
    });
    this.view.layer.replaceChildren(...laid, ...found);
    if (focused) ([...this.view.layer.children] as HTMLElement[]).find((element) => element.dataset["key"] === focused)?.focus();
    this.lay_tools();
  }

  /// Which lines the found staves are: of one voice, line after line, or of all voices in turn.
  private lay_tools(): void {
    const count = this.found.length;
    if (count === 0) {
      this.laying.hidden = true;
      this.laying.replaceChildren();
      return;
    }
    this.laying.hidden = false;
    const before = this.laying.querySelector<HTMLElement>(".lay-count");
    if (before) {
      before.textContent = words.found_strips(count);
      return;
    }
    const names = Object.fromEntries([["", words.all_voices], ...this.voices.map(({ name }) => [name, name] as const)]);
    const start = this.line?.voice ?? this.voices[0]?.name ?? "";
    const voice = choose(names, start, () => (first.value = String(this.next_line(voice.value))));
    const first = el("input", { type: "number", min: 1, value: this.next_line(start) });
    this.laying.append(
      el("span", { class: "lay-count" }, words.found_strips(count)),
      field(words.lay_voice, voice), field(words.lay_from, first),
      button(words.lay, () => this.lay(voice.value, Math.max(1, Number(first.value) || 1)), { class: "chief" }),
      button(words.drop_found, () => {
        this.found = [];
        this.draw();
      }));
  }

  private next_line(voice: string): number {
    return 1 + Math.max(0, ...this.strips.filter((strip) => voice === "" || strip.voice === voice).map(({ line }) => line));
  }

  private lay(voice: string, first: number): void {
    const names = voice ? [voice] : this.voices.map(({ name }) => name);
    const items: Item[] = this.found.map((box, index) => ({
      voice: names[index % names.length] ?? "*", line: first + Math.floor(index / Math.max(1, names.length)),
      file: this.name(this.file), page: this.page, x: box.x, y: box.y, w: box.w, h: box.h, angle: box.angle,
    }));
    const taken = (item: Item) => this.strips.some((strip) => strip.voice === item.voice && strip.line === item.line);
    this.found = [];
    this.sourced.write(items.filter((item) => !taken(item)).map(written));
    this.draw();
  }

  /// Draws the strip of the line beside its printed form.
  private hold(): void {
    const strip = this.strip_of_line();
    if (!this.holder) return;
    if (!strip || !this.view.there || this.path(strip.file) !== this.file || strip.page !== this.page) {
      this.holder.replaceChildren();
      return;
    }
    const canvas = (this.holder.querySelector("canvas") ?? el("canvas", { role: "img" }));
    canvas.setAttribute("aria-label", words.strip(strip.voice, strip.line));
    if (!canvas.parentElement) this.holder.append(canvas);
    this.view.cut(strip, canvas, Math.max(100, this.holder.clientWidth) * (window.devicePixelRatio || 1));
  }
}

/// How much of the smaller box two boxes share.
function overlap(a: Box, b: Box): number {
  const w = Math.min(a.x + a.w, b.x + b.w) - Math.max(a.x, b.x);
  const h = Math.min(a.y + a.h, b.y + b.h) - Math.max(a.y, b.y);
  return w <= 0 || h <= 0 ? 0 : (w * h) / Math.min(a.w * a.h, b.w * b.h);
}
