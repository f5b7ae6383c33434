// What the piece does: the page of the study, made when asked for, and its marks in the score while the page is open. Each
// place that it names, and each note that it draws, is played with a click.

import { post } from "./connection";
import { button, drawing, el, later, write } from "./dom";
import type { Said, Studied, System } from "./protocol";
import { words } from "./words";

interface Asked {
  text: string;
  example: string | null;
  width: number;
}

export interface Studying {
  /// The text as it is, and how wide the score is.
  asked(): Asked;
  play(voice: string, index: number): void;
  /// Goes to what sounds at a moment, in minims, and plays from there.
  play_from(moment: number): void;
  /// The marks have come, or are no longer true.
  marked(): void;
  could_not(error: unknown): void;
}

export class Study {
  readonly element = el("div", { class: "study" }, el("p", { class: "empty" }, words.study_empty));
  readonly tools = el("span", {});
  private readonly old = el("span", { class: "old", role: "status" });
  private of: Asked | null = null;
  private drawn: System[] = [];
  private asking = 0;
  // What was studied is drawn anew, whatever the text may be by then.
  private readonly resized = later(300, () => this.of && void this.make({ ...this.of, width: this.studying.asked().width }));

  constructor(private readonly studying: Studying) {
    this.tools.append(button(words.study_make, () => void this.make(this.studying.asked()), { class: "plain" }), this.old);
  }

  /// The systems of the score with the marks of the study, as long as the text is the one that was studied.
  get systems(): System[] | null {
    return this.of && this.of.text === this.studying.asked().text && this.drawn.length ? this.drawn : null;
  }

  /// The text is another now.
  changed(text: string): void {
    write(this.old, this.of === null || this.of.text === text ? "" : words.study_old);
    // It may be the one that was studied again, at another width.
    this.sized();
  }

  /// The score is another size now: its marks are drawn anew.
  sized(): void {
    if (this.systems && Math.abs(this.of!.width - this.studying.asked().width) >= 1) this.resized.ask();
  }

  private async make(asked: Asked): Promise<void> {
    const number = ++this.asking;
    this.resized.drop();
    this.element.setAttribute("aria-busy", "true");
    try {
      const studied = await post<Studied>("/api/study", asked);
      // Another has been asked for since.
      if (number !== this.asking) return;
      this.of = asked;
      this.drawn = studied.systems;
      this.changed(this.studying.asked().text);
      this.element.replaceChildren(this.page(studied), ...studied.drawn.map((one) => this.picture(one)));
      this.studying.marked();
    } catch (error) {
      if (number === this.asking) this.studying.could_not(error);
    } finally {
      if (number === this.asking) this.element.removeAttribute("aria-busy");
    }
  }

  private page({ title, facts, parts }: Studied): HTMLElement {
    return el("div", { class: "study-page" },
      title && el("h3", {}, title), el("p", { class: "facts" }, facts.join(" · ")),
      ...parts.map(({ heading, columns, rows }) => el("section", {}, el("h4", {}, heading),
        ...(columns.length ? [this.table(columns, rows)] : rows.map((row) => el("p", {}, ...this.said(row.flat())))))));
  }

  private table(columns: string[], rows: Said[][][]): HTMLElement {
    const used = columns.map((name, column) => name !== "" || rows.some((row) => row[column]?.length));
    const filled = <T>(cells: T[]) => cells.filter((_, column) => used[column]);
    return el("table", {},
      el("thead", {}, el("tr", {}, ...filled(columns).map((name) => (name ? el("th", { scope: "col" }, name) : el("td", {}))))),
      el("tbody", {}, ...rows.map((row) => el("tr", {}, ...filled(row).map((cell) => el("td", {}, ...this.said(cell)))))));
  }

  private said(all: Said[]): (Node | string)[] {
    return all.map(({ text, at }) => (at === null ? text
      : button(text, () => this.studying.play_from(at), { class: "moment", title: words.study_play })));
  }

  private picture(svg: string): HTMLElement {
    const picture = drawing(svg);
    picture.removeAttribute("width");
    picture.removeAttribute("height");
    return el("div", { class: "system study-picture", onclick: (event: MouseEvent) => {
      const note = (event.target as Element).closest("[data-index]");
      const voice = note?.closest("[data-voice]")?.getAttribute("data-voice");
      if (voice) this.studying.play(voice, Number(note!.getAttribute("data-index")));
    } }, picture);
  }
}
