// The keys, in one place. Two are the reader's choice. Tab is left alone: it leaves the text, as everywhere in a browser.

import { choices } from "./store";

export const keys = {
  pane_next: "F6",
  pane_before: "Shift-F6",
  finding_next: "F8",
  finding_before: "Shift-F8",
  choices: "Alt-Enter",
  explain: "F2",
  complete: "Ctrl-Space",
  play: "F9",
  to_score: "F7",
  leave: "Tab",
  large: "Shift-F7",
} as const;

export const value_keys = {
  longer: () => choices.get("key.longer", "Alt-,"),
  shorter: () => choices.get("key.shorter", "Alt-."),
  set(which: "longer" | "shorter", key: string): void {
    choices.set(`key.${which}`, key);
  },
};

/// The name of what was pressed, as `keys` writes it; null for a bare Shift and the like.
export function name_of(event: KeyboardEvent): string | null {
  if (["Shift", "Control", "Alt", "Meta", "Tab", "Escape", "Enter", "Backspace", "Dead", "Unidentified"].includes(event.key)) return null;
  const key = event.key === " " ? "Space" : event.key;
  const plain = key.length === 1;
  return [
    event.ctrlKey && "Ctrl", event.altKey && "Alt", event.metaKey && "Meta", event.shiftKey && !plain && "Shift", key,
  ].filter(Boolean).join("-");
}

/// Is this a key that types a sign by itself?
export const types_a_sign = (key: string) => key.length === 1;
