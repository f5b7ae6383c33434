// Drawn systems, and the notes in them: which is where, which was clicked, which are lit. A system is replaced only if its
// hash has changed; all others stay in the document as they are.

import { drawing, el, still } from "./dom";
import type { System } from "./protocol";

/// A note or rest: the name of its voice and its number in it.
export interface Noted {
  voice: string;
  index: number;
}
export type Light = "lit" | "sounding" | "slip" | "error" | "warning";

interface Drawn {
  hash: string;
  frame: HTMLElement;
  notes: Map<string, Element[]>;
}

const key = (voice: string, index: number | string) => `${index} ${voice}`;

export class Picture {
  readonly element = el("div", { class: "picture" });
  private drawn: Drawn[] = [];
  private readonly lights = new Map<Light, Noted[]>();

  constructor(picked: (noted: Noted, event: MouseEvent) => void) {
    this.element.addEventListener("click", (event) => {
      const noted = under(event.target as Element) ?? this.nearest(event);
      if (noted) picked(noted, event);
    });
  }

  get hashes(): string[] {
    return this.drawn.map(({ hash }) => hash);
  }

  /// Shows these systems. One without a drawing is one that stands here already; false, and nothing is changed, if not.
  set(systems: readonly System[]): boolean {
    if (!systems.every(({ svg, hash }) => svg || this.drawn.some((drawn) => drawn.hash === hash))) return false;
    const old = new Map<string, Drawn[]>();
    for (const drawn of this.drawn) old.set(drawn.hash, [...(old.get(drawn.hash) ?? []), drawn]);
    const held = new Map(this.drawn.map((drawn) => [drawn.hash, drawn]));
    let fresh = false;
    this.drawn = systems.flatMap((system) => {
      const there = old.get(system.hash)?.shift();
      if (there) return [there];
      const twin = held.get(system.hash);
      fresh = true;
      const made = made_of(system, system.svg ? drawing(system.svg) : (twin!.frame.firstElementChild!.cloneNode(true) as SVGSVGElement));
      return [made];
    });
    for (const rest of old.values()) for (const drawn of rest) {
      drawn.frame.remove();
      fresh = true;
    }
    let next = this.element.firstElementChild;
    for (const { frame } of this.drawn) {
      if (frame === next) next = next.nextElementSibling;
      else this.element.insertBefore(frame, next);
    }
    if (fresh) for (const kind of this.lights.keys()) this.draw(kind);
    return true;
  }

  dim(dimmed: boolean): void {
    this.element.classList.toggle("dimmed", dimmed);
  }

  /// Lights these notes, and puts out those that were lit in the same way.
  light(kind: Light, notes: Noted[], follow = false): void {
    const before = this.lights.get(kind) ?? [];
    const same = before.length === notes.length && before.every(({ voice, index }, at) => voice === notes[at]!.voice && index === notes[at]!.index);
    if (same && !follow) return;
    this.lights.set(kind, notes);
    const first = this.draw(kind);
    if (follow && first) bring(first, this.element);
  }

  private draw(kind: Light): HTMLElement | null {
    for (const box of this.element.querySelectorAll(`.light-${kind}`)) box.remove();
    let first: HTMLElement | null = null;
    for (const { voice, index } of this.lights.get(kind) ?? []) {
      for (const { frame, notes } of this.drawn) {
        for (const note of notes.get(key(voice, index)) ?? []) {
          const box = boxed(note, frame, kind);
          if (!box) continue;
          frame.append(box);
          first ??= box;
        }
      }
    }
    return first;
  }

  /// The note next to a click that hit none.
  private nearest(event: MouseEvent): Noted | null {
    let best: { noted: Noted; far: number } | null = null;
    const frame = (event.target as Element).closest(".system");
    for (const note of frame?.querySelectorAll("[data-index]") ?? []) {
      const { left, right, top, bottom } = note.getBoundingClientRect();
      const far = Math.hypot(Math.max(left - event.clientX, 0, event.clientX - right), Math.max(top - event.clientY, 0, event.clientY - bottom));
      const noted = under(note);
      if (noted && far < (best?.far ?? 24)) best = { noted, far };
    }
    return best?.noted ?? null;
  }
}

function made_of(system: System, svg: SVGSVGElement): Drawn {
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  svg.setAttribute("aria-hidden", "true");
  svg.removeAttribute("role");
  const frame = el("div", { class: "system", "data-hash": system.hash }, svg);
  const notes = new Map<string, Element[]>();
  for (const note of svg.querySelectorAll("[data-index]")) {
    const noted = under(note);
    if (!noted) continue;
    const name = key(noted.voice, noted.index);
    const there = notes.get(name);
    if (there) there.push(note);
    else notes.set(name, [note]);
  }
  return { hash: system.hash, frame, notes };
}

function under(element: Element): Noted | null {
  const note = element.closest("[data-index]");
  const voice = note?.closest("[data-voice]")?.getAttribute("data-voice");
  const index = Number(note?.getAttribute("data-index"));
  return voice && index > 0 ? { voice, index } : null;
}

/// A frame round a note, placed in parts of its system, so that it stays right when the system is scaled.
function boxed(note: Element, frame: HTMLElement, kind: Light): HTMLElement | null {
  const place = places.get(note) ?? measured(note, frame);
  if (!place) return null;
  const box = el("div", { class: `light light-${kind}` });
  Object.assign(box.style, place);
  return box;
}

type Place = Record<"left" | "top" | "width" | "height", string>;
/// To measure a note makes the browser lay the page out at once, so it is done once.
const places = new WeakMap<Element, Place>();

function measured(note: Element, frame: HTMLElement): Place | null {
  const outer = frame.getBoundingClientRect();
  const inner = note.getBoundingClientRect();
  if (outer.width === 0 || outer.height === 0) return null;
  const margin = 3;
  const part = (value: number, whole: number) => `${(100 * value) / whole}%`;
  const place = {
    left: part(inner.left - outer.left - margin, outer.width),
    top: part(inner.top - outer.top - margin, outer.height),
    width: part(inner.width + 2 * margin, outer.width),
    height: part(inner.height + 2 * margin, outer.height),
  };
  places.set(note, place);
  return place;
}

/// Scrolls a box into sight, if it is not.
function bring(box: HTMLElement, inside: HTMLElement): void {
  const pane = inside.closest(".pane-body")?.getBoundingClientRect();
  const place = box.getBoundingClientRect();
  if (!pane || (place.top >= pane.top && place.bottom <= pane.bottom && place.left >= pane.left && place.right <= pane.right)) return;
  box.scrollIntoView({ block: "center", inline: "nearest", behavior: still() ? "auto" : "smooth" });
}
