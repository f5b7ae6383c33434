// What must be said at the top of the page, until it is no longer so; and what is said once to those who listen.

import { button, el } from "./dom";
import { words } from "./words";

export class Notices {
  readonly element = el("div", { class: "notices", role: "status" });
  private readonly spoken = el("div", { class: "unseen", role: "status", "aria-live": "polite" });
  private readonly there = new Map<string, HTMLElement>();

  constructor() {
    this.element.append(this.spoken);
  }

  /// Says `text` under `name`; null takes it away.
  set(name: string, text: string | null, ...tools: HTMLElement[]): void {
    const before = this.there.get(name);
    if (before && before.dataset["text"] === text) return;
    before?.remove();
    this.there.delete(name);
    if (text === null) return;
    const notice = el("div", { class: "notice", "data-text": text }, el("p", {}, text), ...tools);
    this.there.set(name, notice);
    this.element.append(notice);
  }

  /// A message that the reader closes.
  once(text: string): void {
    this.set("once", text, button(words.dismiss, () => this.set("once", null), { class: "plain" }));
  }

  say(text: string): void {
    this.spoken.textContent = text;
  }
}
