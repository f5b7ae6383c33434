// The box round a line of the source, moved, sized and turned by pointer or by keys.

import { el } from "../dom";
import { words } from "../words";
import type { Box, PageView } from "./view";

const CORNERS = [["nw", -1, -1], ["ne", 1, -1], ["sw", -1, 1], ["se", 1, 1]] as const;
const SMALLEST = 8;

export interface Stripped {
  changed(box: Box): void;
  removed(): void;
  chosen(): void;
  /// The pointer has let it go where it was: while it holds a strip, none is drawn anew.
  let_go(): void;
}

/// The class of a strip that the pointer holds.
export const HELD = "strip-held";

/// Makes the element of a strip. `changed` is called when a movement has ended.
export function strip(view: PageView, start: Box, label: string, lit: boolean, stripped: Stripped): HTMLElement {
  let box = { ...start };
  const element = el("div", { class: lit ? "strip strip-lit" : "strip", tabindex: 0, role: "group", "aria-roledescription": "strip", "aria-label": `${label}. ${words.strip_help}` },
    el("span", { class: "strip-name", "aria-hidden": "true" }, label));
  const place = () => {
    Object.assign(element.style, { left: `${box.x}px`, top: `${box.y}px`, width: `${box.w}px`, height: `${box.h}px`, transform: `rotate(${box.angle}deg)` });
  };
  const ended = () => {
    box = rounded(box);
    place();
    stripped.changed(box);
  };

  const follow = (event: PointerEvent, move: (dx: number, dy: number, from: Box) => Box) => {
    event.preventDefault();
    event.stopPropagation();
    element.classList.add(HELD);
    const from = { ...box };
    const at = view.place(event);
    const target = event.currentTarget as HTMLElement;
    target.setPointerCapture(event.pointerId);
    let was_moved = false;
    const moved = (next: PointerEvent) => {
      const to = view.place(next);
      if (!was_moved && Math.hypot(to.x - at.x, to.y - at.y) < 2) return;
      was_moved = true;
      box = move(to.x - at.x, to.y - at.y, from);
      place();
    };
    const up = () => {
      target.removeEventListener("pointermove", moved);
      target.removeEventListener("pointerup", up);
      target.removeEventListener("pointercancel", up);
      element.focus();
      element.classList.remove(HELD);
      if (was_moved) return ended();
      stripped.chosen();
      stripped.let_go();
    };
    target.addEventListener("pointermove", moved);
    target.addEventListener("pointerup", up);
    target.addEventListener("pointercancel", up);
  };

  element.addEventListener("pointerdown", (event) => follow(event, (dx, dy, from) => ({ ...from, x: from.x + dx, y: from.y + dy })));
  for (const [name, across, down] of CORNERS) {
    const handle = el("span", { class: `handle handle-${name}`, "aria-hidden": "true" });
    handle.addEventListener("pointerdown", (event) => follow(event, (dx, dy, from) => sized(from, across, down, dx, dy)));
    element.append(handle);
  }

  let timer: number | undefined;
  element.addEventListener("keydown", (event) => {
    const step = (event.shiftKey ? 10 : 1) * view.unit;
    const turn = event.shiftKey ? 1 : 0.1;
    const arrows: Record<string, [number, number]> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    const arrow = arrows[event.key];
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      return stripped.removed();
    }
    if (event.key === "Enter") return stripped.chosen();
    if (arrow) box = event.altKey ? sized(box, 1, 1, arrow[0], arrow[1]) : { ...box, x: box.x + arrow[0], y: box.y + arrow[1] };
    else if (event.key === "[" || event.key === "{") box = { ...box, angle: box.angle - turn };
    else if (event.key === "]" || event.key === "}") box = { ...box, angle: box.angle + turn };
    else return;
    event.preventDefault();
    place();
    window.clearTimeout(timer);
    timer = window.setTimeout(ended, 500);
  });
  element.addEventListener("focus", () => stripped.chosen());
  place();
  return element;
}

/// The corner `across`, `down` moved by so much; the opposite one stays. (A turned box is sized along its own sides.)
function sized(box: Box, across: -1 | 1, down: -1 | 1, dx: number, dy: number): Box {
  const turn = (-box.angle * Math.PI) / 180;
  const along = dx * Math.cos(turn) - dy * Math.sin(turn);
  const aside = dx * Math.sin(turn) + dy * Math.cos(turn);
  const w = Math.max(SMALLEST, box.w + across * along);
  const h = Math.max(SMALLEST, box.h + down * aside);
  const [mx, my] = [((w - box.w) / 2) * across, ((h - box.h) / 2) * down];
  const [cx, cy] = [mx * Math.cos(-turn) - my * Math.sin(-turn), mx * Math.sin(-turn) + my * Math.cos(-turn)];
  return { x: box.x + box.w / 2 + cx - w / 2, y: box.y + box.h / 2 + cy - h / 2, w, h, angle: box.angle };
}

function rounded(box: Box): Box {
  const to = (value: number, parts: number) => Math.round(value * parts) / parts;
  return { x: Math.max(0, to(box.x, 4)), y: Math.max(0, to(box.y, 4)), w: to(box.w, 4), h: to(box.h, 4), angle: to(box.angle, 100) };
}
