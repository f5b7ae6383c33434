// The pieces of the folder: a plain list with search, and the ways to begin one or bring one in.

import { get, post } from "./connection";
import { button, el, field } from "./dom";
import type { Listed } from "./protocol";
import { settings } from "./settings";
import { Notices } from "./notice";
import { words } from "./words";

export interface Chosen {
  open(path: string, example: string | null): void;
}

export class Pieces {
  readonly element: HTMLElement;
  private readonly notices = new Notices();
  private readonly title = el("h1", {}, words.pieces);
  private readonly search = el("input", { type: "search", "aria-label": words.search_pieces, placeholder: words.search_pieces, oninput: () => this.list() });
  private readonly body = el("tbody");
  private readonly table: HTMLElement;
  private readonly none = el("p", { class: "empty", role: "status" });
  private readonly begin = el("form", { class: "begin", hidden: true, id: "begin" });
  private readonly over = el("div", { class: "over", hidden: true }, words.bring_here);
  private pieces: Listed[] = [];
  private readonly listeners = new AbortController();

  constructor(private readonly chosen: Chosen) {
    const files = el("input", { type: "file", multiple: true, accept: ".mei,.musicxml,.xml,.mxl", hidden: true, onchange: () => void this.bring([...(files.files ?? [])]) });
    const head = (label: string, name: string) => el("th", { scope: "col", class: name }, label);
    this.table = el("table", { class: "pieces-table" },
      el("thead", {}, el("tr", {}, head(words.column_title, "title"), head(words.column_source, "source"), head(words.column_file, "file"), head(words.column_voices, "voices"), head(words.column_state, "state"))), this.body);
    const open_begin = button(words.new_piece, () => {
      this.begin.hidden = !this.begin.hidden;
      open_begin.setAttribute("aria-expanded", String(!this.begin.hidden));
      if (!this.begin.hidden) this.begin.querySelector("input")?.focus();
    }, { class: "chief", "aria-expanded": "false", "aria-controls": "begin" });
    this.form();
    this.element = el("div", { class: "pieces-screen" },
      this.notices.element,
      el("header", { class: "pieces-head" },
        el("p", { class: "program" }, words.program), this.title,
        el("div", { class: "pieces-tools" }, this.search, open_begin, button(words.bring, () => files.click()), button(words.settings, () => settings(null), { class: "plain" }), files)),
      this.begin,
      el("main", {}, this.none, this.table),
      el("p", { class: "hint" }, words.bring_hint), this.over);
    this.dropping();
    void this.load();
  }

  close(): void {
    this.listeners.abort();
  }

  private async load(): Promise<void> {
    try {
      const { folder, pieces } = await get<{ folder: string; pieces: Listed[] }>("/api/pieces");
      this.pieces = pieces;
      this.title.textContent = words.pieces_in(folder.split(/[\\/]/).filter(Boolean).pop() ?? folder);
      this.list();
    } catch (error) {
      this.notices.once(words.could_not((error as Error).message));
    }
  }

  private list(): void {
    const asked = this.search.value.toLowerCase().split(/\s+/).filter(Boolean);
    const shown = this.pieces.filter((piece) => {
      const all = `${piece.title ?? ""} ${piece.source ?? ""} ${piece.path} ${piece.example ?? ""}`.toLowerCase();
      return asked.every((word) => all.includes(word));
    });
    this.body.replaceChildren(...shown.map((piece) => this.row(piece)));
    this.table.hidden = shown.length === 0;
    this.none.textContent = shown.length ? "" : this.pieces.length ? words.none_found : words.no_pieces;
  }

  private row(piece: Listed): HTMLElement {
    const address = new URLSearchParams({ piece: piece.path, ...(piece.example ? { example: piece.example } : {}) });
    const state = [piece.errors && words.errors(piece.errors), piece.warnings && words.warnings(piece.warnings)].filter(Boolean).join(", ");
    return el("tr", {},
      el("th", { scope: "row", class: "title" }, el("a", { href: `#${address}`, onclick: (event: Event) => {
        event.preventDefault();
        this.chosen.open(piece.path, piece.example);
      } }, piece.title ?? piece.example ?? words.untitled)),
      el("td", { class: "source" }, piece.source ?? ""),
      el("td", { class: "file" }, piece.example ? `${piece.path}#${piece.example}` : piece.path),
      el("td", { class: "voices", "data-label": words.column_voices }, String(piece.voices)),
      el("td", { class: piece.errors ? "state with-errors" : "state" }, state || words.in_order));
  }

  private form(): void {
    const name = el("input", { required: true, name: "name", autocomplete: "off" });
    const voices = el("input", { type: "number", min: 1, max: 64, value: 2, required: true, name: "voices" });
    const clefs = el("input", { name: "clefs", placeholder: words.new_clefs_hint, autocomplete: "off" });
    this.begin.append(field(words.new_name, name), field(words.new_voices, voices), field(words.new_clefs, clefs), el("button", { class: "chief" }, words.begin));
    this.begin.addEventListener("submit", (event) => {
      event.preventDefault();
      const path = name.value.trim().endsWith(".parts") ? name.value.trim() : `${name.value.trim()}.parts`;
      const asked = { path, voices: Number(voices.value), ...(clefs.value.trim() ? { clefs: clefs.value.trim() } : {}) };
      post<{ path: string }>("/api/new", asked).then((made) => this.chosen.open(made.path, null), (error: Error) => this.notices.once(words.could_not(error.message)));
    });
  }

  private dropping(): void {
    let depth = 0;
    const on = (name: string, run: (event: DragEvent) => void) => document.addEventListener(name, run as EventListener, { signal: this.listeners.signal });
    on("dragenter", (event) => {
      event.preventDefault();
      depth += 1;
      this.over.hidden = false;
    });
    on("dragover", (event) => event.preventDefault());
    on("dragleave", () => {
      depth -= 1;
      this.over.hidden = depth > 0 ? false : true;
    });
    on("drop", (event) => {
      event.preventDefault();
      depth = 0;
      this.over.hidden = true;
      void this.bring([...(event.dataTransfer?.files ?? [])]);
    });
  }

  private async bring(files: File[]): Promise<void> {
    if (files.length === 0) return;
    this.notices.set("bring", words.bringing);
    try {
      const made = await post<{ path: string }>("/api/bring", { files: await packed(files) });
      this.chosen.open(made.path, null);
    } catch (error) {
      this.notices.once(words.could_not((error as Error).message));
    } finally {
      this.notices.set("bring", null);
    }
  }
}

/// Files as they are sent.
export async function packed(files: readonly File[]): Promise<{ name: string; base64: string }[]> {
  return Promise.all(files.map((file) => new Promise<{ name: string; base64: string }>((done, failed) => {
    const reader = new FileReader();
    reader.onload = () => done({ name: file.name, base64: (reader.result as string).replace(/^[^,]*,/, "") });
    reader.onerror = () => failed(reader.error ?? new Error(file.name));
    reader.readAsDataURL(file);
  })));
}
