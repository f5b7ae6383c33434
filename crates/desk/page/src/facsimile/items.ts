// Strips as they stand in the head of the text: `facsimile VOICE LINE FILE PAGE X Y W H ANGLE`.

import type { Box } from "./view";

export interface Item extends Box {
  voice: string;
  line: number;
  file: string;
  page: number;
}

export function written(item: Item): string {
  const file = /\s/.test(item.file) ? `"${item.file}"` : item.file;
  return `facsimile ${item.voice} ${item.line} ${file} ${item.page} ${item.x} ${item.y} ${item.w} ${item.h} ${item.angle}`;
}

/// Where new items are typed: after the last item of the head, before the blank line and the first voice; `from` is
/// where the example begins.
export function head_end(text: string, from: number): number {
  const opening = /^[ \t]*voice\s/m.exec(text.slice(from));
  const before = text.slice(from, opening ? from + opening.index : text.length);
  return from + before.trimEnd().length;
}
