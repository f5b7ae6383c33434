// The value in force at a place of the text, and the key that moves it one degree. Which words are values, and their order
// from long to short, comes from the program's glossary.

import type { EditorState, TransactionSpec } from "@codemirror/state";

interface Token {
  from: number;
  to: number;
  word: string;
}

/// The last value typed before `until`, not counting comments and what was supplied in brackets.
export function value_before(state: EditorState, until: number, values: readonly string[]): Token | null {
  let depth = 0;
  for (let line = state.doc.lineAt(until); ; line = state.doc.line(line.number - 1)) {
    const text = line.text.slice(0, Math.max(0, until - line.from)).replace(/(^|\s);.*$/, "");
    const tokens = [...text.matchAll(/\S+/g)].reverse();
    for (const token of tokens) {
      if (token[0] === "]") depth += 1;
      else if (token[0] === "[") depth = Math.max(0, depth - 1);
      else if (depth === 0 && values.includes(token[0])) {
        const from = line.from + token.index;
        return { from, to: from + token[0].length, word: token[0] };
      }
    }
    if (/^\s*(voice|more|example)\s/.test(line.text) || line.number === 1) return null;
  }
}

/// Is the cursor where music is typed: not in the head, a comment or words in quotes?
export function in_music(state: EditorState, at: number): boolean {
  const line = state.doc.lineAt(at);
  const before = line.text.slice(0, at - line.from);
  if (/(^|\s);/.test(before) || (before.match(/"/g)?.length ?? 0) % 2 === 1) return false;
  if (/^\s*(voice|more|example)\b/.test(line.text)) return false;
  for (let number = line.number - 1; number >= 1; number--) {
    const text = state.doc.line(number).text;
    if (/^\s*(voice|more)\s/.test(text)) return true;
    if (/^\s*example\s/.test(text)) return false;
  }
  return false;
}

/// One degree longer (-1) or shorter (1): the value just typed is changed, or a new one begins at the cursor.
export function move_value(state: EditorState, degree: -1 | 1, values: readonly string[]): { word: string; change: TransactionSpec } | null {
  const at = state.selection.main.head;
  if (!in_music(state, at)) return null;
  const force = value_before(state, at, values);
  if (!force) return null;
  const word = values[values.indexOf(force.word) + degree];
  if (!word) return { word: force.word, change: {} };
  const between = state.sliceDoc(force.to, at);
  if (/^[ \t]*$/.test(between)) {
    // No note has it yet. If it is what was in force before, the word is not needed.
    const before = value_before(state, force.from, values);
    const insert = before?.word === word ? "" : between ? word : `${word} `;
    const to = insert === "" ? at : force.to;
    return { word, change: { changes: { from: force.from, to, insert }, selection: { anchor: insert === "" ? force.from : at - (force.to - force.from) + insert.length } } };
  }
  const gap = /\s$/.test(state.sliceDoc(Math.max(0, at - 1), at)) ? "" : " ";
  const insert = `${gap}${word} `;
  return { word, change: { changes: { from: at, insert }, selection: { anchor: at + insert.length } } };
}
