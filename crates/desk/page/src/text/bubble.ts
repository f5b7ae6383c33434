// A small word at the cursor: the value in force after it was moved, a choice to be made, why a note lasts so long.

import { EditorState, Extension, Prec, StateEffect, StateField } from "@codemirror/state";
import { EditorView, keymap, showTooltip, Tooltip } from "@codemirror/view";
import { words } from "../words";

export interface Option {
  label: string;
  take: () => void;
}
export type Bubble =
  | { kind: "word"; at: number; content: string | HTMLElement }
  /// `asked`: the arrows take one of two at once. Otherwise they move in the list, and Enter takes.
  | { kind: "choice"; at: number; options: Option[]; selected: number; asked: boolean };

export const show_bubble = StateEffect.define<Bubble | null>();

export const bubble = StateField.define<Bubble | null>({
  create: () => null,
  update(value, transaction) {
    for (const effect of transaction.effects) if (effect.is(show_bubble)) return effect.value;
    if (value && (transaction.docChanged || transaction.selection)) return null;
    return value;
  },
  provide: (field) => showTooltip.from(field, (value) => value && tooltip(value)),
});

function tooltip(value: Bubble): Tooltip {
  return { pos: value.at, above: true, arrow: false, create: () => ({ dom: drawn(value) }) };
}

function drawn(value: Bubble): HTMLElement {
  const dom = document.createElement("div");
  dom.className = `bubble bubble-${value.kind}`;
  if (value.kind === "word") {
    dom.append(value.content);
    return dom;
  }
  value.options.forEach((option, index) => {
    const line = document.createElement("button");
    line.type = "button";
    line.tabIndex = -1;
    line.className = !value.asked && index === value.selected ? "option selected" : "option";
    line.textContent = value.asked ? words.arrow_choice(index, value.options.length, option.label) : option.label;
    line.onmousedown = (event) => {
      event.preventDefault();
      option.take();
    };
    dom.append(line);
  });
  return dom;
}

/// What the bubble says, for those who do not see it.
export function spoken(value: Bubble): string {
  if (value.kind === "word") return typeof value.content === "string" ? value.content : value.content.textContent ?? "";
  if (!value.asked) return value.options[value.selected]?.label ?? "";
  return words.which(value.options.map((option, index) => words.arrow_choice(index, value.options.length, option.label)).join(", "));
}

function close(view: EditorView): boolean {
  if (!view.state.field(bubble)) return false;
  view.dispatch({ effects: show_bubble.of(null) });
  return true;
}

function arrow(step: -1 | 1) {
  return (view: EditorView) => {
    const value = view.state.field(bubble);
    if (value?.kind !== "choice") return false;
    if (value.asked && value.options.length === 2) {
      value.options[step < 0 ? 0 : 1]!.take();
      return true;
    }
    const count = value.options.length;
    view.dispatch({ effects: show_bubble.of({ ...value, asked: false, selected: (value.selected + step + count) % count }) });
    return true;
  };
}

function take(view: EditorView): boolean {
  const value = view.state.field(bubble);
  if (value?.kind !== "choice" || value.asked) return false;
  value.options[value.selected]?.take();
  return true;
}

export function bubbles(say: (text: string) => void): Extension {
  return [
    bubble,
    EditorView.updateListener.of((update) => {
      const value = update.state.field(bubble);
      if (value && value !== update.startState.field(bubble)) say(spoken(value));
    }),
    Prec.highest(keymap.of([
      { key: "ArrowUp", run: arrow(-1) },
      { key: "ArrowDown", run: arrow(1) },
      { key: "Enter", run: take },
      { key: "Escape", run: close },
    ])),
  ];
}

export const shows_choice = (state: EditorState) => state.field(bubble)?.kind === "choice";
