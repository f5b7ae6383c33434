// The desk: one piece in its panes. Here the panes meet; each knows only itself.

import { get, post, post_for } from "./connection";
import { button, el, field, later, offer, painted, write } from "./dom";
import { Facsimile } from "./facsimile/pane";
import { head_end } from "./facsimile/items";
import { Findings } from "./findings";
import { keys } from "./keys";
import { merge } from "./merge";
import { Midi } from "./midi";
import { Note, Notes } from "./notes";
import { Notices } from "./notice";
import { Name, Panes } from "./panes";
import { Noted, Picture } from "./picture";
import { packed } from "./pieces";
import { Piece, State } from "./piece";
import type { Finding, Refused, Shown, Suggestion, System, Word } from "./protocol";
import { settings } from "./settings";
import { SoundPanel } from "./sound/panel";
import { choices, fingerprint } from "./store";
import { Study } from "./study";
import { TextEditor } from "./text/editor";
import type { Marked } from "./text/marks";
import { Offsets } from "./text/offsets";
import { words } from "./words";

const MILLIMETRES = 25.4 / 96;
const NARROWEST = 80;
/// Typing has paused.
const PAUSE = 1500;
/// A slip that is less likely than this is not worth an interruption.
const LEAST_LIKELY = 0.1;

type Edit = { start: number; end: number; text: string };

export class Desk {
  readonly element: HTMLElement;
  private readonly notices = new Notices();
  private readonly panes: Panes;
  private readonly editor: TextEditor;
  private readonly score = new Picture((noted) => this.picked(noted));
  private readonly printed = new Picture((noted) => this.picked(noted));
  private readonly holder = el("div", { class: "held-strip" });
  private readonly no_line = el("p", { class: "empty" }, words.printed_empty);
  private readonly facsimile: Facsimile;
  private readonly findings: Findings;
  private readonly sound: SoundPanel;
  private readonly study: Study;
  private readonly midi = new Midi((key) => this.piece.key(key, this.editor.cursor));
  private readonly piece: Piece;
  private readonly title = el("h1", {});
  private readonly state = el("span", { class: "state", role: "status" });
  private readonly sizes = new ResizeObserver(() => this.shape());
  private readonly listeners = new AbortController();
  private readonly others = new BroadcastChannel("cartella-cursor");
  private readonly pause = later(PAUSE, () => this.piece.mend());

  private shown: Shown | null = null;
  /// What the places of `shown` mean in the text as it is; null once the text has changed.
  private places: Offsets | null = null;
  /// What was told, and is known when its picture is painted.
  private coming: { shown: Shown; places: Offsets | null } | null = null;
  private notes: Notes | null = null;
  private suggestions: Suggestion[] = [];
  private refused: Refused[] = [];
  private chosen: Note | null = null;
  private typed_last = false;
  private heard_from_afar = false;
  private width = 180;
  /// The score has the marks of a study.
  private marked = false;
  private size = Number(choices.get("score-size", "1"));

  constructor(private readonly path: string, private readonly example: string | null, only: Name | null, nonce: string, leave: () => void) {
    this.panes = new Panes(only, (name) => this.pane_changed(name), (name) => void this.elsewhere(name));
    const folder = path.split("/").slice(0, -1).join("/");

    this.editor = new TextEditor(this.panes.body("text"), nonce, {
      typed: (text, cursor) => this.typed(text, cursor),
      moved: (cursor) => this.moved(cursor),
      explain: (at) => this.explain(at),
      say: (text) => this.notices.say(text),
      bindings: [
        { key: keys.choices, run: () => this.choices() },
        { key: keys.to_score, run: () => this.to_score() },
      ],
    });
    this.findings = new Findings({
      go: (from, to) => this.go(from, to),
      change: (edits) => this.change(edits),
      light: (suggestion) => this.light_suggestion(suggestion),
      fix: (suggestion, manner) => this.piece.fix(suggestion.rank, manner),
      refuse: (suggestion) => void this.refuse(suggestion),
    });
    this.facsimile = new Facsimile(folder, {
      rewrite: (strip, item) => this.change([{ start: strip.start, end: strip.end, text: item ?? "" }]),
      write: (items) => this.head_items(items),
      go: (strip) => this.go_to_line(strip.voice, strip.line),
      could_not: (error) => this.could_not(error),
      say: (text) => this.notices.say(text),
    });
    const asked = () => ({ text: this.editor.text, example });
    this.sound = new SoundPanel({
      text: asked, passage: (which) => this.passage(which), sounds: (notes) => this.sounds(notes), could_not: (error) => this.could_not(error),
    });
    this.study = new Study({
      asked: () => ({ ...asked(), width: this.width }), marked: () => this.show_marks(),
      play: (voice, index) => this.play_from({ voice, index }), play_from: (moment) => this.play_moment(moment),
      could_not: (error) => this.could_not(error) });

    this.panes.body("score").append(this.score.element);
    this.panes.body("score").append(el("p", { class: "unseen" }, words.score_help));
    this.panes.body("printed").append(this.holder, this.printed.element, this.no_line);
    this.panes.body("facsimile").append(this.facsimile.element);
    this.panes.tools("facsimile").append(this.facsimile.tools);
    this.panes.body("study").append(this.study.element);
    this.panes.tools("study").append(this.study.tools);
    this.panes.body("findings").append(this.findings.element);
    this.panes.tools("findings").append(this.findings.counted);
    this.panes.tools("score").append(
      button("−", () => this.resize(1 / 1.15), { class: "plain", "aria-label": words.zoom_out }),
      button("+", () => this.resize(1.15), { class: "plain", "aria-label": words.zoom_in }));
    for (const [name, picture] of [["score", this.score], ["printed", this.printed]] as const) {
      picture.element.tabIndex = 0;
      picture.element.setAttribute("role", "group");
      picture.element.setAttribute("aria-label", `${words[name]}. ${words.score_help}`);
      picture.element.addEventListener("keydown", (event) => this.walk(event));
    }

    this.title.textContent = path;
    this.element = el("div", { class: only ? "desk-screen solo" : "desk-screen" },
      el("header", { class: "desk-head" },
        !only && button(words.back_to_pieces, leave, { class: "plain back" }),
        this.title, this.state,
        el("div", { class: "desk-tools" }, this.panes.toggles, this.sound.open, this.printing(), button(words.settings, () => settings(this.midi), { class: "plain" }))),
      this.notices.element, this.sound.element, this.panes.element, this.panes.tabs);

    this.piece = new Piece(path, example, {
      put: (text, how) => this.put(text, how),
      shown: (shown, places) => this.show(shown, places),
      voice: (voice) => {
        this.know();
        this.show_voice(voice);
        this.light_cursor(false);
      },
      mended: (suggestions, places) => places && this.mended(suggestions),
      keyed: (text, cursor) => this.type_letter(text, cursor),
      state: (state, message) => this.tell(state, message),
      conflict: (disk, mine) => void merge(disk, mine, nonce, (text) => {
        this.editor.put(text, "told");
        this.piece.merged(text);
      }),
      typing: (here) => this.typing(here, only),
    });

    this.sizes.observe(this.panes.body("score"));
    document.addEventListener("keydown", (event) => this.key(event), { signal: this.listeners.signal });
    document.addEventListener("dragover", (event) => event.preventDefault(), { signal: this.listeners.signal });
    document.addEventListener("drop", (event) => void this.dropped(event), { signal: this.listeners.signal });
    this.others.onmessage = (message: MessageEvent<{ path: string; cursor: number }>) => this.follow(message.data);
    get<Word[]>("/api/words").then((glossary) => this.editor.know(glossary), () => {});
    get<{ refused?: Refused[]; pictures?: string[] }>("/api/piece", { path }).then((piece) => {
      this.refused = piece.refused ?? [];
      this.facsimile.offer(piece.pictures ?? []);
      if (piece.pictures?.length && choices.get("panes", "") === "" && !only && window.innerWidth >= 1100) this.panes.show("facsimile");
      else this.pane_changed("facsimile");
    }, () => {});
  }

  close(): void {
    this.coming = null;
    this.sound.stop();
    this.listeners.abort();
    this.sizes.disconnect();
    this.others.close();
    this.pause.drop();
    this.piece.close();
    this.editor.close();
  }

  focus(): void {
    this.editor.view.focus();
  }

  // What is typed, and what comes of it.

  private typed(text: string, cursor: number): void {
    this.lose_places();
    this.typed_last = true;
    this.piece.typed(text, cursor);
    this.suggest([]);
    this.study.changed(text);
    this.pause.ask();
  }

  private put(text: string, how: "opened" | "peer" | "fixed"): void {
    this.lose_places();
    this.editor.put(text, how === "fixed" ? "typed" : "told");
    this.suggest([]);
    this.study.changed(this.editor.text);
    if (how === "opened") this.pause.ask();
  }

  private moved(cursor: number): void {
    this.piece.moved(cursor);
    this.typed_last = false;
    if (!this.heard_from_afar) this.others.postMessage({ path: this.path, cursor });
    this.light_cursor(true);
  }

  /// The cursor of another window on the same piece.
  private follow(far: { path: string; cursor: number }): void {
    if (far.path !== this.path || document.hasFocus()) return;
    this.heard_from_afar = true;
    const at = Math.min(far.cursor, this.editor.text.length);
    this.editor.view.dispatch({ selection: { anchor: at }, scrollIntoView: true });
    this.heard_from_afar = false;
  }

  /// The picture is what one waits for: all else that is known of the text follows when it stands on the screen.
  private show(shown: Shown, places: Offsets | null): void {
    const failed = shown.failed !== null && shown.failed !== undefined;
    this.score.dim(failed);
    this.notices.set("failed", failed ? words.failed(shown.failed!) : null);
    if (!failed) this.draw(shown.systems);
    const waiting = this.coming !== null;
    this.coming = { shown, places };
    if (!waiting) painted(() => this.know());
  }

  private know(): void {
    if (!this.coming) return;
    const { shown, places } = this.coming;
    this.coming = null;
    if (shown.voice) this.show_voice(shown.voice, shown);
    this.shown = shown;
    if (!places) return;
    this.places = places;
    this.notes = new Notes(shown.events, this.names(), places);
    this.chosen = this.chosen && this.notes.named(this.chosen);
    this.findings.set(shown.findings);
    this.count_tab();
    this.mark();
    this.sound.know(this.names());
    this.facsimile.show(shown.strips ?? [], shown.voices ?? []);
    this.head();
    this.light_cursor(false);
    this.ask_which();
  }

  /// The text has changed: the places in it that are known, or about to be, are no longer true.
  private lose_places(): void {
    this.places = null;
    if (this.coming) this.coming.places = null;
  }

  /// The marks of the study stand in the score while its page is open and the text is the one that was studied.
  private show_marks(): void {
    if (this.panes.visible("study") && this.study.systems) this.draw([]);
    else if (this.marked) this.piece.again();
  }

  private draw(systems: readonly System[]): void {
    const marked = this.panes.visible("study") ? this.study.systems : null;
    this.marked = marked !== null;
    // What is not held any more, since marks stood in its place, is asked for.
    if (!this.score.set(marked ?? systems)) this.piece.again();
  }

  private show_voice(voice: NonNullable<Shown["voice"]>, shown = this.shown): void {
    const name = shown?.voices?.[voice.index]?.name;
    this.panes.title("printed", name ? words.printed_of(name) : words.printed);
    this.no_line.hidden = true;
    this.printed.set([{ hash: fingerprint(voice.svg), svg: voice.svg, width: 0, height: 0 }]);
    if (voice.line !== null && name) this.facsimile.at(name, voice.line, this.holder);
  }

  private names(): string[] {
    return (this.shown?.voices ?? []).map(({ name }) => name);
  }

  private head(): void {
    const from = this.example_start();
    const head = this.editor.text.slice(from);
    const title = /^[ \t]*title[ \t]+(.+)$/m.exec(head)?.[1]?.trim();
    write(this.title, title || (this.example ? `${this.path}#${this.example}` : this.path));
    const named = `${this.title.textContent} · ${words.program}`;
    if (document.title !== named) document.title = named;
  }

  private example_start(): number {
    if (!this.example) return 0;
    const opening = new RegExp(`^[ \\t]*example[ \\t]+${this.example.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}[ \\t]*$`, "m").exec(this.editor.text);
    return opening ? opening.index + opening[0].length : 0;
  }

  private mark(): void {
    const places = this.places;
    if (!places || !this.shown) return;
    const findings = this.shown.findings.map((finding): Marked => ({ from: places.unit(finding.start), to: Math.max(places.unit(finding.end), places.unit(finding.start) + 1), kind: finding.severity }));
    const slips = this.suggestions.map((one): Marked => ({ from: places.unit(one.start), to: Math.max(places.unit(one.end), places.unit(one.start) + 1), kind: "slip" }));
    this.editor.mark([...findings, ...slips]);
  }

  /// The note at the cursor is lit in all pictures.
  private light_cursor(follow: boolean): void {
    // Who walks among the notes of a picture has a place there, whatever the text says.
    const walking = document.activeElement?.classList.contains("picture") ?? false;
    const note = this.places && !(walking && this.chosen) ? this.notes?.at(this.editor.cursor) ?? null : this.chosen;
    this.chosen = note;
    const lit = note ? [note] : [];
    this.score.light("lit", lit, follow);
    this.printed.light("lit", lit, follow);
    this.editor.light(note && this.places ? [{ from: note.from, to: note.to, kind: "lit" }] : []);
  }

  // Findings and their fixes.

  private change(edits: readonly Edit[]): void {
    const places = this.places;
    if (!places) return;
    const here = edits.map(({ start, end, text }) => ({ from: places.unit(start), to: places.unit(end), insert: text }));
    const cursor = this.editor.cursor;
    const after = here.filter(({ to }) => to <= cursor).reduce((sum, { from, to, insert }) => sum + insert.length - (to - from), cursor);
    this.editor.change(here, after);
  }

  /// An octave is asked for at the cursor: the arrows choose.
  private ask_which(): void {
    if (!this.typed_last || this.editor.completing || !this.editor.view.hasFocus) return;
    const finding = this.at_cursor().find(({ choices }) => choices.length >= 2);
    if (!finding) return;
    this.editor.bubble({ kind: "choice", at: this.editor.cursor, asked: true, selected: 0, options: this.options(finding) });
  }

  private options(finding: Finding): { label: string; take: () => void }[] {
    return [finding.fix, ...finding.choices].flatMap((one) => (one ? [{ label: one.label, take: () => this.change(one.edits) }] : []));
  }

  private at_cursor(): Finding[] {
    const places = this.places;
    const at = this.editor.cursor;
    if (!places || !this.shown) return [];
    return this.shown.findings.filter((finding) => places.unit(finding.start) <= at && at <= places.unit(finding.end) + 1);
  }

  private choices(): boolean {
    const options = this.at_cursor().flatMap((finding) => this.options(finding));
    if (options.length === 0) return false;
    this.editor.bubble({ kind: "choice", at: this.editor.cursor, asked: false, selected: 0, options });
    return true;
  }

  private async explain(at: number): Promise<HTMLElement | null> {
    const places = this.places;
    if (!places || !this.shown) return null;
    const note = this.notes?.at(at);
    const why = note && await this.piece.why(note.voice_index, note.start);
    if (places !== this.places) return null;
    const found = this.shown.findings.filter((finding) => places.unit(finding.start) <= at && at <= places.unit(finding.end));
    if (!note && found.length === 0) return null;
    return el("div", {},
      note && el("p", { class: "why" }, words.why(note.what, why ?? null)),
      ...found.map((finding) => el("div", { class: `told ${finding.severity}` },
        el("p", {}, el("span", { class: "severity" }, `${words.severity[finding.severity]} `), finding.message, finding.help ? ` ${finding.help}` : ""),
        el("div", { class: "acts" }, ...this.options(finding).map(({ label, take }) => button(label, take))))));
  }

  private mended(suggestions: Suggestion[]): void {
    const refused = (one: Suggestion) => this.refused.some((other) =>
      other.voice === this.names()[one.voice] && other.event === one.event && other.printed === one.printed && other.read === one.read);
    this.suggest(suggestions.filter((one) => one.confidence >= LEAST_LIKELY && !refused(one)));
  }

  private suggest(suggestions: Suggestion[]): void {
    if (suggestions.length === 0 && this.suggestions.length === 0) return;
    this.suggestions = suggestions;
    this.findings.suggest(suggestions);
    this.mark();
    this.count_tab();
    this.light_suggestion(null);
  }

  private light_suggestion(one: Suggestion | null): void {
    const notes = (one ? [one] : this.suggestions).map(({ voice, event }) => ({ voice: this.names()[voice] ?? "", index: event }));
    this.score.light("slip", notes, one !== null);
    this.printed.light("slip", notes, one !== null);
  }

  private async refuse(suggestion: Suggestion): Promise<void> {
    const { voice, event, printed, read } = suggestion;
    this.refused = [...this.refused, { voice: this.names()[voice] ?? "", event, printed, read }];
    this.suggest(this.suggestions.filter((one) => one !== suggestion));
    this.notices.say(words.refused);
    await post("/api/refuse", { path: this.path, refused: this.refused }).catch((error) => this.could_not(error));
  }

  private count_tab(): void {
    const count = (this.shown?.findings.length ?? 0) + this.suggestions.length;
    this.panes.tab("findings", count ? `${words.findings} (${count})` : words.findings);
  }

  // From a picture to the text, and back.

  private picked(noted: Noted): void {
    const note = this.notes?.named(noted);
    if (note) this.go_to(note);
  }

  private go_to(note: Note): void {
    this.notices.say(`${note.voice}: ${note.what}`);
    if (!this.panes.visible("text")) {
      this.choose(note);
      this.others.postMessage({ path: this.path, cursor: note.to });
      return;
    }
    this.editor.go(note.to);
  }

  private choose(note: Note): void {
    this.chosen = note;
    this.score.light("lit", [note], true);
    this.printed.light("lit", [note], true);
    this.editor.light([{ from: note.from, to: note.to, kind: "lit" }]);
    this.notices.say(`${note.voice}: ${note.what}`);
  }

  private to_score(): boolean {
    if (!this.panes.visible("score")) this.panes.show("score");
    this.score.element.focus();
    const note = this.notes?.at_or_next(this.editor.cursor);
    if (note) this.choose(note);
    return true;
  }

  /// Arrow keys in a picture.
  private walk(event: KeyboardEvent): void {
    const notes = this.notes;
    if (!notes || event.ctrlKey || event.altKey || event.metaKey) return;
    const from = this.chosen ?? notes.first();
    if (!from) return;
    const steps: Record<string, () => Note | null> = {
      ArrowRight: () => notes.beside(from, 1), ArrowLeft: () => notes.beside(from, -1),
      ArrowDown: () => notes.across(from, 1), ArrowUp: () => notes.across(from, -1),
    };
    const step = steps[event.key];
    if (step) {
      event.preventDefault();
      this.choose((this.chosen ? step() : from) ?? from);
    } else if (event.key === "Enter") {
      event.preventDefault();
      if (!this.panes.visible("text")) this.panes.show("text");
      this.editor.go(from.to);
    }
  }

  private go(start: number, end: number): void {
    const places = this.places ?? this.piece.places;
    if (!this.panes.visible("text")) this.panes.show("text");
    this.editor.go(places.unit(start), places.unit(end));
  }

  /// The text of a line of the source: the line of the voice that its notes stand in.
  private go_to_line(voice: string, line: number): void {
    const place = (this.shown?.voices ?? []).find(({ name }) => name === voice);
    if (!place || !this.places) return;
    const [from, to] = [this.places.unit(place.start), this.places.unit(place.end)];
    let at = from;
    let left = line - 1;
    for (const token of this.editor.text.slice(from, to).matchAll(/(?<=\s)\/{1,2}(?=\s|$)/g)) {
      if (left === 0) break;
      left -= 1;
      at = from + token.index + token[0].length;
    }
    const note = this.notes?.at_or_next(at + 1);
    this.editor.view.dispatch({ selection: { anchor: note?.from ?? at }, scrollIntoView: true });
  }

  private head_items(items: string[]): void {
    if (items.length === 0) return;
    const at = head_end(this.editor.text, this.example_start());
    this.editor.change([{ from: at, to: at, insert: `${at > 0 ? "\n" : ""}${items.join("\n")}` }]);
  }

  // Sound.

  private passage(which: string): { from?: number; to?: number } {
    if (which === "start" || !this.notes) return {};
    const { from, to } = this.editor.selection;
    const within = which === "selection" && to > from ? this.notes.within(from, to) : [];
    if (within.length) return { from: Math.min(...within.map(({ onset }) => onset)), to: Math.max(...within.map(({ until }) => until)) };
    const note = this.notes.at_or_next(this.editor.cursor);
    return note ? { from: note.onset } : {};
  }

  private play_moment(moment: number): void {
    const note = this.notes?.sounding(moment);
    if (note) this.choose(note);
    this.sound.stop();
    this.sound.show(true);
    void this.sound.play({ from: moment });
  }

  private play_from(noted: Noted): void {
    const note = this.notes?.named(noted);
    if (!note) return;
    this.sound.stop();
    this.sound.show(true);
    void this.sound.play({ from: note.onset });
  }

  private sounds(notes: Noted[]): void {
    this.score.light("sounding", notes, true);
    this.printed.light("sounding", notes, true);
    const places = notes.flatMap((noted) => this.notes?.named(noted) ?? []);
    this.editor.light(places.map(({ from, to }) => ({ from, to, kind: "sounding" as const })));
  }

  private type_letter(text: string, cursor: number): void {
    const before = this.editor.text.slice(Math.max(0, cursor - 1), cursor);
    this.editor.type(`${/^\s?$/.test(before) ? "" : " "}${text} `, cursor);
  }

  // Windows, panes, files.

  private typing(here: boolean, only: Name | null): void {
    this.editor.lock(!here);
    const told = !here && (only === null || only === "text");
    this.notices.set("typing", told ? words.typed_elsewhere : null, button(words.type_here, () => this.piece.type_here(), { class: "chief" }));
  }

  private tell(state: State, message: string | null): void {
    const said = { saved: words.saved, saving: words.saving, unsaved: words.unsaved, gone: words.kept }[state];
    write(this.state, said);
    this.state.dataset["state"] = state;
    this.notices.set("gone", state === "gone" ? message : null);
    if (state === "saved") this.notices.set("unsaved", null);
    if (state === "unsaved") {
      this.notices.set("unsaved", words.not_saved(message ?? ""),
        button(words.download, () => offer(words.download_name(this.path), new Blob([this.piece.current], { type: "text/plain" })), { class: "chief" }));
    }
  }

  private could_not(error: unknown): void {
    this.notices.once(words.could_not(error instanceof Error ? error.message : String(error)));
  }

  private pane_changed(name: Name): void {
    if (this.panes.visible("facsimile")) this.facsimile.seen();
    this.shape();
    this.show_marks();
    if (name === "text" && this.panes.visible("text")) this.editor.view.requestMeasure();
  }

  private shape(): void {
    const body = this.panes.body("score");
    if (body.clientWidth <= 0) return;
    this.width = Math.max(NARROWEST, (body.clientWidth * MILLIMETRES) / this.size);
    this.piece.shape(this.width, () => this.score.hashes);
    this.study.sized();
  }

  private resize(by: number): void {
    this.size = Math.min(Math.max(this.size * by, 0.5), 2.5);
    choices.set("score-size", String(this.size));
    this.shape();
  }

  private async elsewhere(name: Name): Promise<void> {
    try {
      const { code } = await post<{ code: string }>("/api/code", {});
      const address = new URLSearchParams({ code, piece: this.path, ...(this.example ? { example: this.example } : {}), pane: name });
      window.open(`/#${address}`, "_blank", "noopener");
    } catch (error) {
      this.could_not(error);
    }
  }

  private printing(): HTMLElement {
    const paper = el("select", {}, el("option", { value: "a4" }, "A4"), el("option", { value: "letter" }, "Letter"));
    const make = async (what: "score" | "proof" | "study") => {
      menu.open = false;
      try {
        const answer = await post_for("/api/print", { text: this.editor.text, example: this.example, what, paper: paper.value });
        const stem = words.download_name(this.path).replace(/\.parts$/, "");
        offer(what === "score" ? `${stem}.pdf` : `${stem}-${what}.pdf`, await answer.blob());
      } catch (error) {
        this.could_not(error);
      }
    };
    const menu = el("details", { class: "menu" }, el("summary", {}, words.print),
      el("div", { class: "menu-body" },
        button(words.print_score, () => void make("score")), button(words.print_proof, () => void make("proof")), button(words.print_study, () => void make("study")),
        field(words.paper, paper)));
    const close = (event: Event) => {
      if (event instanceof KeyboardEvent ? event.key === "Escape" : !menu.contains(event.target as Node)) menu.open = false;
    };
    document.addEventListener("pointerdown", close, { signal: this.listeners.signal });
    menu.addEventListener("keydown", close);
    return menu;
  }

  private async dropped(event: DragEvent): Promise<void> {
    event.preventDefault();
    const files = [...(event.dataTransfer?.files ?? [])];
    if (files.length === 0) return;
    try {
      await post("/api/bring", { files: await packed(files), beside: this.path });
      const { pictures } = await get<{ pictures: string[] }>("/api/piece", { path: this.path });
      this.facsimile.offer(pictures);
      this.panes.show("facsimile");
    } catch (error) {
      this.could_not(error);
    }
  }

  private key(event: KeyboardEvent): void {
    const name = [event.ctrlKey && "Ctrl", event.altKey && "Alt", event.shiftKey && "Shift", event.key].filter(Boolean).join("-");
    const acts: Record<string, () => void> = {
      [keys.pane_next]: () => this.panes.step(1), [keys.pane_before]: () => this.panes.step(-1),
      [keys.finding_next]: () => this.findings.step(1), [keys.finding_before]: () => this.findings.step(-1),
      [keys.play]: () => this.sound.toggle("cursor"), [keys.large]: () => this.panes.enlarge_current(),
      [keys.to_score]: () => this.to_score(),
    };
    const act = acts[name];
    if (!act || event.defaultPrevented || document.querySelector("dialog[open]")) return;
    event.preventDefault();
    act();
  }
}
