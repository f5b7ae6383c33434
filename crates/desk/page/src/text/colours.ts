// The text in its parts: head items, what opens a voice, values, comments, words in quotes. Shown by weight and slant as
// well as by colour. Which words are which comes from the program's glossary.

import { HighlightStyle, StreamLanguage, syntaxHighlighting } from "@codemirror/language";
import type { Extension } from "@codemirror/state";
import { tags } from "@lezer/highlight";
import type { Word } from "../protocol";

/// Head items whose text is free: nothing in it is a word of the language.
export const FREE = ["title", "composer", "source", "editor", "note"];
const OPENS = ["voice", "more", "example"];

export function colours(glossary: readonly Word[]): Extension {
  const values = new Set(glossary.filter(({ kind }) => kind === "value").map(({ word }) => word));
  const known = new Set(glossary.map(({ word }) => word));
  const language = StreamLanguage.define<{ name: boolean; music: boolean }>({
    startState: () => ({ name: false, music: false }),
    token(stream, state) {
      if (stream.eatSpace()) return null;
      const start = /^\s*$/.test(stream.string.slice(0, stream.start));
      if (stream.peek() === ";") {
        stream.skipToEnd();
        return "comment";
      }
      if (stream.match(/^"[^"]*"?/)) return "string";
      const word = (stream.match(/^\S+/) as RegExpMatchArray)[0];
      if (state.name) {
        state.name = false;
        return "heading";
      }
      if (start && OPENS.includes(word)) {
        state.name = true;
        state.music = word !== "example";
        return "keyword";
      }
      if (start && !state.music && known.has(word)) {
        if (FREE.includes(word)) stream.skipToEnd();
        return "meta";
      }
      if (values.has(word)) return "atom";
      return /^[/|:(){}[\]<>\\?]+$/.test(word) ? "bracket" : null;
    },
  });
  const style = HighlightStyle.define([
    { tag: tags.comment, class: "tok-comment" },
    { tag: tags.string, class: "tok-words" },
    { tag: tags.keyword, class: "tok-opens" },
    { tag: tags.heading, class: "tok-name" },
    { tag: tags.meta, class: "tok-head" },
    { tag: tags.atom, class: "tok-value" },
    { tag: tags.bracket, class: "tok-group" },
  ]);
  return [language, syntaxHighlighting(style)];
}
