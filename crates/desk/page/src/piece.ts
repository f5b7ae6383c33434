// One open piece: what is typed goes to the browser's store, then to the program; what the program tells goes to the panes.
// It knows no document and no editor.

import { Listening, Socket } from "./connection";
import type { Shown, Suggestion, Told } from "./protocol";
import { fingerprint, forget, keep, kept } from "./store";
import { Offsets } from "./text/offsets";

export type State = "saved" | "saving" | "unsaved" | "gone";

export interface Watching {
  /// The text is to be this: when opened, when another window types, when a suggestion was followed.
  put(text: string, how: "opened" | "peer" | "fixed"): void;
  /// What a text shows; `offsets` is null if the text has changed since, so that its places are no longer true.
  shown(shown: Shown, offsets: Offsets | null): void;
  voice(voice: NonNullable<Shown["voice"]>): void;
  mended(suggestions: Suggestion[], offsets: Offsets | null): void;
  keyed(text: string, cursor: number): void;
  state(state: State, message: string | null): void;
  /// The file was changed elsewhere: both texts are to be merged, then `merged` is called.
  conflict(disk: string, mine: string): void;
  typing(here: boolean): void;
}

/// A message that got no answer for so long is not waited for.
const PATIENCE = 1500;

export class Piece {
  private readonly window = crypto.randomUUID();
  private readonly socket: Socket;
  /// As it stands in the file, with its line ends; the editor has plain ones.
  private text: string | null = null;
  private line_end = "\n";
  private offsets = new Offsets("");
  private revision = 0;
  private base = "";
  private trail: string[] = [];
  private dirty = false;
  private here = true;
  private cursor = 0;
  private width = 180;
  private have: () => string[] = () => [];
  private disk: string | null = null;   // hash of the other text, while both are being merged
  /// The revision that the program is at work on; the next text waits for it, so that the newest is always next.
  private asked: number | null = null;
  private asked_at = 0;
  private behind = false;
  /// Who waits for the reason of a note's length.
  private reasons: { voice: number; start: number; told: (why: string | null) => void }[] = [];

  constructor(readonly path: string, readonly example: string | null, private readonly watching: Watching) {
    const listening: Listening = {
      told: (told) => void this.told(told),
      there: () => void this.socket.send({ kind: "open", path, example, window: this.window }),
      gone: (why) => {
        this.asked = null;
        this.forget_reasons();
        this.watching.state("gone", why);
      },
    };
    this.socket = new Socket(listening);
  }

  get current(): string {
    return this.text ?? "";
  }

  get places(): Offsets {
    return this.offsets;
  }

  get at(): number {
    return this.revision;
  }

  close(): void {
    this.socket.close();
  }

  /// How wide the score is to be, in millimetres, and which systems the page holds.
  shape(width: number, have: () => string[]): void {
    this.have = have;
    if (Math.abs(width - this.width) < 1) return;
    this.width = width;
    this.ask();
  }

  /// Shows the text again as it is.
  again(): void {
    this.ask();
  }

  typed(typed: string, cursor: number): void {
    const text = this.line_end === "\n" ? typed : typed.replaceAll(/\r?\n/g, this.line_end);
    if (text === this.text) return;
    this.take(text, cursor);
    this.revision += 1;
    this.dirty = true;
    this.trail.push(fingerprint(text));
    void this.keep();
    this.watching.state("saving", null);
    this.ask();
  }

  moved(cursor: number): void {
    this.cursor = cursor;
    if (!this.behind) this.socket.send({ kind: "cursor", path: this.path, cursor: this.offsets.byte(cursor) });
  }

  type_here(): void {
    this.socket.send({ kind: "type_here", path: this.path, window: this.window });
  }

  mend(): void {
    if (this.here && this.asked === null) this.socket.send({ kind: "mend", path: this.path, revision: this.revision });
  }

  fix(suggestion: number, manner: "retyped" | "emended"): void {
    this.socket.send({ kind: "fix", path: this.path, revision: this.revision, suggestion, manner });
  }

  key(key: number, cursor: number): void {
    this.socket.send({ kind: "key", path: this.path, revision: this.revision, cursor: this.offsets.byte(cursor), key });
  }

  /// Why a note lasts as long as it does; null if the text changes, or the program goes, before it is told.
  why(voice: number, start: number): Promise<string | null> {
    return new Promise((told) => {
      const sent = this.socket.send({ kind: "why", path: this.path, revision: this.revision, voice, start });
      if (sent) this.reasons.push({ voice, start, told });
      else told(null);
    });
  }

  private forget_reasons(): void {
    for (const { told } of this.reasons.splice(0)) told(null);
  }

  /// Both texts were merged: `text` grows from the file as it is now.
  merged(text: string): void {
    if (this.disk === null) return;
    this.base = this.disk;
    this.disk = null;
    this.trail = [];
    this.text = null;
    this.typed(text, this.cursor);
  }

  private take(text: string, cursor: number): void {
    this.text = text;
    this.line_end = /\r\n|\n/.exec(text)?.[0] ?? this.line_end;
    this.cursor = cursor;
    this.offsets = new Offsets(text);
    this.forget_reasons();
  }

  private keep(): Promise<void> {
    return keep({ path: this.path, text: this.current, base: this.base, trail: this.trail, at: Date.now() })
      .catch((error) => console.error("kept only in this window:", error));
  }

  /// Asks what the text shows; a text of ours is also saved by it.
  private ask(): void {
    if (this.text === null || this.disk !== null) return;
    if (this.asked !== null && performance.now() - this.asked_at < PATIENCE) {
      this.behind = true;
      return;
    }
    this.behind = false;
    const sent = this.socket.send({
      kind: "text", path: this.path, revision: this.revision, base: this.base, text: this.text,
      cursor: this.offsets.byte(this.cursor), width: Math.round(this.width), have: this.have(),
    });
    if (!sent) return;
    this.asked = this.revision;
    this.asked_at = performance.now();
    window.setTimeout(() => this.behind && this.ask(), PATIENCE + 50);
  }

  private async told(told: Told): Promise<void> {
    if (told.path !== this.path) return;
    const now = "revision" in told && told.revision === this.revision;
    switch (told.kind) {
      case "opened":
        return this.opened(told);
      case "shown":
        if (this.asked !== null && told.revision >= this.asked) this.asked = null;
        this.watching.shown(told, now ? this.offsets : null);
        if (this.behind) this.ask();
        return;
      case "voice":
        if (now) this.watching.voice({ index: told.voice, svg: told.svg, line: told.line });
        return;
      case "saved":
        this.base = told.hash;
        if (now) {
          this.watching.state("saved", null);
          // The record in the store may be that of another window: only what was typed here is let go here.
          if (!this.dirty) return;
          this.dirty = false;
          this.trail = [];
          await forget(this.path);
        } else if (this.dirty) await this.keep();
        return;
      case "changed_on_disk":
        this.asked = null;
        if (told.text === this.text || !this.dirty) this.follow(told.text, told.hash);
        else this.part(told.text, told.hash);
        return;
      case "not_saved":
        this.watching.state("unsaved", told.message);
        return;
      case "mended":
        this.watching.mended(told.suggestions, now ? this.offsets : null);
        return;
      case "fixed":
        if (now) this.watching.put(told.text, "fixed");
        return;
      case "keyed":
        if (now) this.watching.keyed(told.text, this.offsets.unit(told.cursor));
        return;
      case "why":
        this.reasons = this.reasons.filter(({ voice, start, told: tell }) => {
          const mine = now && voice === told.voice && start === told.start;
          if (mine) tell(told.why);
          return !mine;
        });
        return;
      case "typing":
        this.here = told.window === "" || told.window === this.window;
        this.watching.typing(this.here);
        return;
      case "peer":
        if (this.here && this.dirty) return;
        this.take(told.text, Math.min(this.cursor, told.text.length));
        this.revision = told.revision;
        this.watching.put(told.text, "peer");
        this.ask();
    }
  }

  /// The file as it is now, at the start or when the program is back. What was typed and not saved is never given up.
  private async opened(told: Extract<Told, { kind: "opened" }>): Promise<void> {
    this.here = told.typing === "" || told.typing === this.window;
    this.watching.typing(this.here);
    this.asked = null;
    const record = await kept(this.path).catch(() => undefined);
    const first = this.text === null;
    const mine = this.dirty ? this.text : first && record ? record.text : null;
    const base = this.dirty ? this.base : record?.base;
    const trail = this.dirty ? this.trail : record?.trail ?? [];
    this.revision = Math.max(this.revision, told.revision);
    if (mine === null || !this.here) {
      this.follow(told.text, told.hash);
    } else if (mine === told.text || base === told.hash || trail.includes(fingerprint(told.text))) {
      this.base = told.hash;
      this.text = null;
      if (first) this.watching.put(mine, "opened");
      this.typed(mine, Math.min(this.cursor, mine.length));
    } else {
      if (first) {
        this.take(mine, 0);
        this.watching.put(mine, "opened");
      }
      this.dirty = true;
      this.part(told.text, told.hash);
    }
  }

  /// The text of the file is taken as it is.
  private follow(text: string, hash: string): void {
    const changed = text !== this.text;
    const had = this.dirty;
    this.base = hash;
    this.dirty = false;
    this.trail = [];
    if (changed) {
      this.take(text, Math.min(this.cursor, text.length));
      this.watching.put(text, "opened");
    }
    if (this.here && had) void forget(this.path);
    this.watching.state("saved", null);
    this.ask();
  }

  /// The file and what was typed went apart.
  private part(text: string, hash: string): void {
    this.disk = hash;
    this.watching.conflict(text, this.current);
  }
}
