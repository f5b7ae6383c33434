// What is wrong or doubtful, and what may be a slip, in one list that is read out when it changes.

import { button, el, later, write } from "./dom";
import type { Finding, Suggestion } from "./protocol";
import { SIGNS } from "./text/marks";
import { words } from "./words";

export interface Acting {
  go(from: number, to: number): void;
  /// Applies the edits of a finding's fix or choice.
  change(edits: { start: number; end: number; text: string }[]): void;
  light(suggestion: Suggestion | null): void;
  fix(suggestion: Suggestion, manner: "retyped" | "emended"): void;
  refuse(suggestion: Suggestion): void;
}

export class Findings {
  readonly element = el("div", { class: "findings" });
  readonly counted = el("p", { class: "counted", "aria-live": "polite", role: "status" });
  private readonly list = el("ul", { class: "finding-list" });
  private findings: readonly Finding[] = [];
  private suggestions: readonly Suggestion[] = [];
  private at = -1;
  /// The count is read out when typing pauses, not at every key.
  private readonly count = later(700, () => this.tell());

  constructor(private readonly acting: Acting) {
    this.element.append(this.list);
    this.count.ask();
  }

  set(findings: readonly Finding[]): void {
    if (JSON.stringify(findings) === JSON.stringify(this.findings)) return;
    this.findings = findings;
    this.draw();
  }

  suggest(suggestions: readonly Suggestion[]): void {
    if (suggestions.length === 0 && this.suggestions.length === 0) return;
    this.suggestions = suggestions;
    this.draw();
  }

  get all(): readonly Finding[] {
    return this.findings;
  }

  /// The next place, or the one before; they go round.
  step(by: 1 | -1): void {
    const lines = [...this.list.children] as HTMLElement[];
    if (lines.length === 0) return;
    this.at = (this.at + by + lines.length) % lines.length;
    lines[this.at]!.querySelector<HTMLElement>(".place")?.click();
  }

  private draw(): void {
    const focus = [...this.list.querySelectorAll("button")].indexOf(document.activeElement as HTMLButtonElement);
    this.list.replaceChildren(...this.findings.map((finding) => this.finding(finding)), ...this.suggestions.map((one) => this.suggestion(one)));
    if (focus >= 0) ([...this.list.querySelectorAll("button")][focus] ?? this.list.querySelector("button"))?.focus();
    this.at = Math.min(this.at, this.list.children.length - 1);
    this.count.ask();
  }

  private tell(): void {
    const number = (severity: string) => this.findings.filter((finding) => finding.severity === severity).length;
    write(this.counted, words.counted(number("error"), number("warning"), this.suggestions.length));
  }

  private finding(finding: Finding): HTMLElement {
    const { fix, choices } = finding;
    return el("li", { class: `finding ${finding.severity}` },
      el("span", { class: `sign sign-${finding.severity}`, "aria-hidden": "true" }, SIGNS[finding.severity] ?? ""),
      button(words.line_column(finding.line, finding.column), () => this.acting.go(finding.start, finding.end), { class: "place", "aria-label": `${words.severity[finding.severity]}, ${words.line_column(finding.line, finding.column)}` }),
      el("div", { class: "said" },
        el("span", { class: "severity" }, `${words.severity[finding.severity]} `),
        finding.message,
        finding.help && el("span", { class: "help" }, ` ${finding.help}`)),
      el("div", { class: "acts" },
        fix && button(fix.label, () => this.acting.change(fix.edits)),
        ...choices.map((choice) => button(choice.label, () => this.acting.change(choice.edits)))));
  }

  private suggestion(suggestion: Suggestion): HTMLElement {
    const lit = () => this.acting.light(suggestion);
    const out = () => this.acting.light(null);
    return el("li", { class: "finding slip", onmouseenter: lit, onmouseleave: out, onfocusin: lit, onfocusout: out },
      el("span", { class: "sign sign-slip", "aria-hidden": "true" }, SIGNS["slip"]!),
      button(words.printed_read(suggestion.printed, suggestion.read), () => this.acting.go(suggestion.start, suggestion.end), { class: "place" }),
      el("div", { class: "said" },
        el("span", { class: "severity" }, `${words.slip} `),
        el("span", { class: "share" }, words.confidence(suggestion.confidence)),
        " ", suggestion.reason),
      el("div", { class: "acts" },
        button(words.correct, () => this.acting.fix(suggestion, "retyped"), { title: words.correct_hint }),
        button(words.emend, () => this.acting.fix(suggestion, "emended"), { title: words.emend_hint }),
        button(words.refuse, () => this.acting.refuse(suggestion), { title: words.refuse_hint })));
  }
}
