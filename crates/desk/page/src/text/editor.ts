// The text. It reports what is typed and where the cursor is, and shows what it is told; it asks nobody.

import { closeCompletion, completionStatus, startCompletion } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyKeymap } from "@codemirror/commands";
import { search, searchKeymap } from "@codemirror/search";
import { Annotation, Compartment, EditorState, Prec, Transaction } from "@codemirror/state";
import { drawSelection, EditorView, highlightActiveLine, hoverTooltip, keymap, KeyBinding, lineNumbers } from "@codemirror/view";
import { keys, name_of, types_a_sign, value_keys } from "../keys";
import type { Word } from "../protocol";
import { words } from "../words";
import { Bubble, bubbles, show_bubble } from "./bubble";
import { colours } from "./colours";
import { completion } from "./completion";
import { light, lit, Lit, margin, mark, marked, Marked } from "./marks";
import { in_music, move_value } from "./values";

export interface Writing {
  typed(text: string, cursor: number): void;
  moved(cursor: number): void;
  /// What there is to say about a place; null for nothing.
  explain(at: number): Promise<HTMLElement | null>;
  say(text: string): void;
  bindings: KeyBinding[];
}

/// Marks a change that did not come from here.
const told = Annotation.define<boolean>();

export class TextEditor {
  readonly view: EditorView;
  private readonly fixed = new Compartment();
  private readonly coloured = new Compartment();
  private glossary: readonly Word[] = [];

  constructor(parent: HTMLElement, nonce: string, private readonly writing: Writing) {
    this.view = new EditorView({
      parent,
      state: EditorState.create({ doc: "", extensions: [
        EditorView.cspNonce.of(nonce),
        EditorView.contentAttributes.of({ "aria-label": words.text_label, tabindex: "0", spellcheck: "false", autocapitalize: "off", autocorrect: "off" }),
        EditorView.lineWrapping,
        lineNumbers(), margin, highlightActiveLine(), drawSelection(), history(), search({ top: true }),
        marked, lit, bubbles((text) => writing.say(text)),
        completion(() => this.glossary),
        this.coloured.of([]),
        this.fixed.of([]),
        hoverTooltip(async (_view, at) => {
          const dom = await writing.explain(at);
          return dom && { pos: at, above: true, create: () => ({ dom: framed(dom) }) };
        }, { hoverTime: 400 }),
        Prec.high(EditorView.domEventHandlers({ keydown: (event) => this.value_key(event) })),
        Prec.high(keymap.of([
          { key: keys.explain, run: () => (void this.explain(), true) },
          { key: keys.complete, run: startCompletion },
          ...writing.bindings,
        ])),
        keymap.of([...historyKeymap, ...searchKeymap, ...defaultKeymap]),
        EditorView.updateListener.of((update) => {
          const cursor = update.state.selection.main.head;
          if (update.docChanged) {
            if (!update.transactions.some((transaction) => transaction.annotation(told))) writing.typed(update.state.doc.toString(), cursor);
          } else if (update.selectionSet) writing.moved(cursor);
        }),
      ] }),
    });
  }

  get text(): string {
    return this.view.state.doc.toString();
  }

  get cursor(): number {
    return this.view.state.selection.main.head;
  }

  get selection(): { from: number; to: number } {
    return this.view.state.selection.main;
  }

  know(glossary: readonly Word[]): void {
    this.glossary = glossary;
    this.view.dispatch({ effects: this.coloured.reconfigure(colours(glossary)) });
  }

  /// Another text. Only what differs is replaced, so that the cursor and all places stay. `typed`: as if it were typed here.
  put(other: string, how: "opened" | "told" | "typed"): void {
    const old = this.text;
    const text = other.replaceAll(/\r\n?/g, "\n");
    if (old === text) return;
    let from = 0;
    const most = Math.min(old.length, text.length);
    while (from < most && old[from] === text[from]) from += 1;
    let same = 0;
    while (same < most - from && old[old.length - 1 - same] === text[text.length - 1 - same]) same += 1;
    this.view.dispatch({
      changes: { from, to: old.length - same, insert: text.slice(from, text.length - same) },
      annotations: how === "typed" ? [] : [told.of(true), Transaction.addToHistory.of(false)],
    });
  }

  /// Changes of the text, as one step that can be undone.
  change(edits: { from: number; to: number; insert: string }[], cursor?: number): void {
    if (this.view.state.readOnly) return;
    this.view.dispatch({ changes: edits, ...(cursor === undefined ? {} : { selection: { anchor: cursor } }), userEvent: "input", scrollIntoView: true });
  }

  type(text: string, at: number): void {
    this.change([{ from: at, to: at, insert: text }], at + text.length);
  }

  go(from: number, to = from): void {
    const length = this.view.state.doc.length;
    this.view.dispatch({
      selection: { anchor: Math.min(from, length), head: Math.min(to, length) },
      effects: EditorView.scrollIntoView(Math.min(from, length), { y: "center" }),
    });
    this.view.focus();
  }

  lock(locked: boolean): void {
    this.view.dispatch({ effects: this.fixed.reconfigure(locked ? [EditorState.readOnly.of(true)] : []) });
  }

  mark(places: Marked[]): void {
    mark(this.view, places);
  }

  light(places: Lit[]): void {
    light(this.view, places);
  }

  bubble(value: Bubble | null): void {
    this.view.dispatch({ effects: show_bubble.of(value) });
  }

  get completing(): boolean {
    return completionStatus(this.view.state) === "active";
  }

  close(): void {
    closeCompletion(this.view);
    this.view.destroy();
  }

  private async explain(): Promise<void> {
    const at = this.cursor;
    const content = await this.writing.explain(at);
    if (content && at === this.cursor) this.bubble({ kind: "word", at, content });
  }

  private value_key(event: KeyboardEvent): boolean {
    const name = name_of(event);
    const degree = name === value_keys.longer() ? -1 : name === value_keys.shorter() ? 1 : 0;
    if (!name || degree === 0 || this.view.state.readOnly) return false;
    if (types_a_sign(name) && !in_music(this.view.state, this.cursor)) return false;
    const values = this.glossary.filter(({ kind }) => kind === "value");
    const moved = move_value(this.view.state, degree, values.map(({ word }) => word));
    if (!moved) return false;
    event.preventDefault();
    if (moved.change.changes) this.view.dispatch({ ...moved.change, userEvent: "input", scrollIntoView: true });
    const help = values.find(({ word }) => word === moved.word)?.help ?? "";
    const name_of_value = help.split(/[.:,;]/)[0]!.trim() || moved.word;
    this.bubble({ kind: "word", at: this.cursor, content: words.value_in_force(name_of_value) });
    return true;
  }
}

function framed(content: HTMLElement): HTMLElement {
  content.classList.add("bubble");
  return content;
}
