// Words that can be typed, from the program's glossary. Notes are single letters, so the list opens by itself only where a
// longer word begins, and never takes Enter from someone who typed the word out.

import { autocompletion, CompletionContext, CompletionResult } from "@codemirror/autocomplete";
import type { Extension } from "@codemirror/state";
import type { Word } from "../protocol";
import { FREE } from "./colours";

const SHORTEST = 2;

export function completion(glossary: () => readonly Word[]): Extension {
  const source = (context: CompletionContext): CompletionResult | null => {
    const token = context.matchBefore(/[^\s]*/);
    if (!token) return null;
    const before = context.state.sliceDoc(context.state.doc.lineAt(context.pos).from, token.from);
    if (/(^|\s);/.test(before) || FREE.includes(/^\s*(\S+)\s/.exec(before)?.[1] ?? "")) return null;
    if (!context.explicit) {
      const begun = glossary().some(({ word }) => word.startsWith(token.text) && word.length > token.text.length + 1);
      if (token.text.length < SHORTEST || !/^[a-z]+$/.test(token.text) || !begun) return null;
    }
    return {
      from: token.from,
      options: glossary().map(({ word, kind, help }) => ({ label: word, detail: kind === "value" ? help : kind, info: help, type: kind })),
      validFor: /^[^\s]*$/,
    };
  };
  return autocompletion({ override: [source], icons: false, selectOnOpen: false, activateOnTypingDelay: 200, maxRenderedOptions: 60 });
}
