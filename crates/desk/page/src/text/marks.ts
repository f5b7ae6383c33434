// What is marked in the text: findings, suggestions, and the notes that are lit in all panes. Places move with the text
// until the program has answered.

import { EditorState, RangeSetBuilder, StateEffect, StateEffectType, StateField } from "@codemirror/state";
import { Decoration, DecorationSet, EditorView, GutterMarker, gutter } from "@codemirror/view";
import { words } from "../words";

export interface Marked {
  from: number;
  to: number;
  kind: "error" | "warning" | "note" | "slip";
}
export interface Lit {
  from: number;
  to: number;
  kind: "lit" | "sounding";
}

const set_marked = StateEffect.define<DecorationSet>();
const set_lit = StateEffect.define<DecorationSet>();

/// Marks these places and no others; nothing is done where they are marked so already.
export function mark(view: EditorView, places: Marked[]): void {
  put(view, marked, set_marked, places);
}
export function light(view: EditorView, places: Lit[]): void {
  put(view, lit, set_lit, places);
}

function put(view: EditorView, field: StateField<DecorationSet>, effect: StateEffectType<DecorationSet>, places: (Marked | Lit)[]): void {
  const next = set(places, view.state);
  if (!same(view.state.field(field), next)) view.dispatch({ effects: effect.of(next) });
}

function same(one: DecorationSet, other: DecorationSet): boolean {
  const [a, b] = [one.iter(), other.iter()];
  while (a.value && b.value) {
    if (a.from !== b.from || a.to !== b.to || !a.value.eq(b.value)) return false;
    a.next();
    b.next();
  }
  return a.value === b.value;
}

function set(places: readonly { from: number; to: number; kind: string }[], state: EditorState): DecorationSet {
  const length = state.doc.length;
  const ranges = places
    .map(({ from, to, kind }) => ({ from: Math.min(from, length), to: Math.min(Math.max(to, from), length), kind }))
    .filter(({ from, to }) => to > from)
    .map(({ from, to, kind }) => Decoration.mark({ class: `mark-${kind}` }).range(from, to));
  return Decoration.set(ranges, true);
}

const held = (effect: StateEffectType<DecorationSet>) => StateField.define<DecorationSet>({
  create: () => Decoration.none,
  update(value, transaction) {
    for (const one of transaction.effects) if (one.is(effect)) return one.value;
    return value.map(transaction.changes);
  },
  provide: (field) => EditorView.decorations.from(field),
});
export const marked = held(set_marked);
export const lit = held(set_lit);

/// A sign in the margin, so that severity is told by shape too.
class Sign extends GutterMarker {
  constructor(private readonly kind: string) {
    super();
  }
  override eq(other: Sign): boolean {
    return other.kind === this.kind;
  }
  override toDOM(): Node {
    const sign = document.createElement("span");
    sign.className = `sign sign-${this.kind}`;
    sign.textContent = SIGNS[this.kind] ?? "";
    sign.title = words.severity[this.kind] ?? words.slip;
    return sign;
  }
}
export const SIGNS: Record<string, string> = { error: "×", warning: "?", note: "·", slip: "≈" };
const RANK = ["error", "warning", "slip", "note"];
const signs = Object.fromEntries(RANK.map((kind) => [kind, new Sign(kind)]));

export const margin = gutter({
  class: "margin",
  markers(view) {
    const worst = new Map<number, string>();
    view.state.field(marked).between(0, view.state.doc.length, (from, _to, value) => {
      const kind = (value.spec.class as string).replace("mark-", "");
      const line = view.state.doc.lineAt(from).from;
      const before = worst.get(line);
      if (!before || RANK.indexOf(kind) < RANK.indexOf(before)) worst.set(line, kind);
    });
    const builder = new RangeSetBuilder<GutterMarker>();
    for (const [line, kind] of [...worst].sort(([a], [b]) => a - b)) builder.add(line, line, signs[kind]!);
    return builder.finish();
  },
  initialSpacer: () => signs["error"]!,
});
