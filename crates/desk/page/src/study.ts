// What the piece does: the page of the study, made when asked for. A click on one of its notes plays the place.

import { post } from "./connection";
import { button, drawing, el } from "./dom";
import { words } from "./words";

export interface Studied {
  text(): { text: string; example: string | null };
  play(voice: string, index: number): void;
  could_not(error: unknown): void;
}

export class Study {
  readonly element = el("div", { class: "study" }, el("p", { class: "empty" }, words.study_empty));
  readonly tools = el("span", {});
  private readonly old = el("span", { class: "old", hidden: true }, words.study_old);
  private of: string | null = null;

  constructor(private readonly studied: Studied) {
    this.tools.append(button(words.study_make, () => void this.make(), { class: "plain" }), this.old);
  }

  /// The text is another now.
  changed(text: string): void {
    this.old.hidden = this.of === null || this.of === text;
  }

  private async make(): Promise<void> {
    const asked = this.studied.text();
    this.element.setAttribute("aria-busy", "true");
    try {
      const { page, svg } = await post<{ page: string; svg: string[] }>("/api/study", asked);
      this.of = asked.text;
      this.old.hidden = true;
      this.element.replaceChildren(el("pre", { class: "study-page", tabindex: 0, "aria-label": words.study }, page), ...svg.map((one) => this.drawn(one)));
    } catch (error) {
      this.studied.could_not(error);
    } finally {
      this.element.removeAttribute("aria-busy");
    }
  }

  private drawn(svg: string): HTMLElement {
    const picture = drawing(svg);
    picture.removeAttribute("width");
    picture.removeAttribute("height");
    return el("div", { class: "system study-picture", onclick: (event: MouseEvent) => {
      const note = (event.target as Element).closest("[data-index]");
      const voice = note?.closest("[data-voice]")?.getAttribute("data-voice");
      if (voice) this.studied.play(voice, Number(note!.getAttribute("data-index")));
    } }, picture);
  }
}
