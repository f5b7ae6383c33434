// The notes of a text, found by their place in the text, in a picture, or in time.

import type { Event } from "./protocol";
import type { Noted } from "./picture";
import type { Offsets } from "./text/offsets";

export interface Note extends Noted {
  voice_index: number;
  from: number;   // units of the text
  to: number;
  onset: number;  // minims
  until: number;
  what: string;
  start: number;  // bytes of the text, by which the program knows it
}

export class Notes {
  private readonly by_place: Note[];
  private readonly by_name = new Map<string, Note>();

  constructor(events: readonly Event[], names: readonly string[], offsets: Offsets) {
    this.by_place = events.map(([index, voice, start, end, onset, until, what]) => ({
      voice: names[voice] ?? "", voice_index: voice, index, from: offsets.unit(start), to: offsets.unit(end), onset, until, what, start,
    }));
    this.by_place.sort((a, b) => a.from - b.from);
    for (const note of this.by_place) this.by_name.set(`${note.index} ${note.voice}`, note);
  }

  /// The note at a place of the text, or just before it.
  at(place: number): Note | null {
    const index = this.after(place) - 1;
    const note = this.by_place[index];
    return note && place <= note.to ? note : null;
  }

  /// The note at a place, or the next in the text.
  at_or_next(place: number): Note | null {
    return this.at(place) ?? this.by_place[this.after(place)] ?? this.by_place.at(-1) ?? null;
  }

  within(from: number, to: number): Note[] {
    return this.by_place.filter((note) => note.from < to && note.to > from);
  }

  named(noted: Noted): Note | null {
    return this.by_name.get(`${noted.index} ${noted.voice}`) ?? null;
  }

  /// The next note of the same voice, or the one before.
  beside(note: Note, by: 1 | -1): Note | null {
    for (let index = this.by_place.indexOf(note) + by; this.by_place[index]; index += by) {
      if (this.by_place[index]!.voice === note.voice) return this.by_place[index]!;
    }
    return null;
  }

  /// What the voice below or above has at that time.
  across(note: Note, by: 1 | -1): Note | null {
    const voice = note.voice_index + by;
    return this.by_place.find((other) => other.voice_index === voice && other.until > note.onset && other.onset <= note.onset)
      ?? this.by_place.find((other) => other.voice_index === voice && other.until > note.onset) ?? null;
  }

  /// What sounds at a moment, in the highest voice that does.
  sounding(moment: number): Note | null {
    const there = this.by_place.filter(({ onset, until }) => onset <= moment && moment < until);
    return there.sort((a, b) => a.voice_index - b.voice_index)[0] ?? null;
  }

  first(): Note | null {
    return this.by_place[0] ?? null;
  }

  /// How many notes begin at or before a place.
  private after(place: number): number {
    let low = 0;
    let high = this.by_place.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.by_place[middle]!.from <= place) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}
