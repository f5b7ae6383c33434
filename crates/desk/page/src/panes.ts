// The panes of the desk: shown, hidden, made large, one at a time on a narrow screen.

import { button, el, write } from "./dom";
import { choices } from "./store";
import { words } from "./words";

export const PANES = ["facsimile", "study", "text", "printed", "score", "findings"] as const;
export type Name = (typeof PANES)[number];

const COLUMNS: Record<string, Name[]> = { source: ["facsimile", "study"], typing: ["text"], music: ["printed", "score"], below: ["findings"] };
const AT_FIRST = "text printed score findings";
const NARROW = "(max-width: 799px)";

export class Panes {
  readonly element = el("main", { class: "panes" });
  readonly toggles = el("div", { class: "toggles", role: "group", "aria-label": words.panes });
  readonly tabs = el("nav", { class: "tabs", "aria-label": words.panes });
  private readonly made = new Map<Name, { section: HTMLElement; body: HTMLElement; tools: HTMLElement; title: HTMLElement; large: HTMLButtonElement; toggle: HTMLButtonElement; tab: HTMLButtonElement }>();
  private shown: Set<Name>;
  private one: Name = "text";
  private big: Name | null = null;
  private readonly narrow = window.matchMedia(NARROW);

  /// `only`: this window shows one pane and no other. `changed` is called when a pane was shown, hidden or sized.
  constructor(private readonly only: Name | null, private readonly changed: (name: Name) => void, elsewhere: (name: Name) => void) {
    const kept = choices.get("panes", AT_FIRST).split(" ").filter((name): name is Name => (PANES as readonly string[]).includes(name));
    this.shown = new Set(only ? [only] : kept);
    for (const [column, names] of Object.entries(COLUMNS)) {
      this.element.append(el("div", { class: `column column-${column}` }, ...names.map((name) => this.pane(name, elsewhere))));
    }
    this.narrow.addEventListener("change", () => this.lay());
    this.lay();
  }

  private pane(name: Name, elsewhere: (name: Name) => void): HTMLElement {
    const label = words[name];
    const title = el("h2", { id: `pane-${name}` }, label);
    const tools = el("div", { class: "tools" });
    const large = button(words.large, () => this.enlarge(this.big === name ? null : name), { class: "plain only-wide", "aria-label": words.large_pane(label), "aria-pressed": "false" });
    const body = el("div", { class: "pane-body" });
    const section = el("section", { class: `pane pane-${name}`, "aria-labelledby": `pane-${name}` },
      el("header", {}, title, tools,
        el("span", { class: "pane-buttons only-wide" },
          !this.only && button(words.window, () => elsewhere(name), { class: "plain", "aria-label": words.window_pane(label) }),
          !this.only && large,
          !this.only && button(words.hide, () => this.hide(name), { class: "plain", "aria-label": words.hide_pane(label) }))),
      body);
    const toggle = button(label, () => (this.visible(name) ? this.hide(name) : this.show(name)), { class: "toggle", "aria-label": words.show_pane(label) });
    const tab = button(label, () => this.show(name), { class: "tab" });
    this.toggles.append(toggle);
    this.tabs.append(tab);
    this.made.set(name, { section, body, tools, title, large, toggle, tab });
    return section;
  }

  body(name: Name): HTMLElement {
    return this.made.get(name)!.body;
  }

  tools(name: Name): HTMLElement {
    return this.made.get(name)!.tools;
  }

  title(name: Name, title: string): void {
    write(this.made.get(name)!.title, title);
  }

  tab(name: Name, label: string): void {
    write(this.made.get(name)!.tab, label);
  }

  visible(name: Name): boolean {
    if (this.only) return this.only === name;
    if (this.narrow.matches) return this.one === name;
    return this.big ? this.big === name : this.shown.has(name);
  }

  show(name: Name): void {
    if (this.big && this.big !== name) this.big = null;
    this.one = name;
    this.shown.add(name);
    this.keep();
    this.lay();
    this.changed(name);
  }

  hide(name: Name): void {
    this.shown.delete(name);
    if (this.big === name) this.big = null;
    this.keep();
    this.lay();
    this.changed(name);
    if (!this.narrow.matches) this.made.get(name)!.toggle.focus();
  }

  enlarge(name: Name | null): void {
    this.big = name;
    if (name) this.shown.add(name);
    this.lay();
    this.changed(name ?? "score");
  }

  /// The pane that holds the focus made large, or back.
  enlarge_current(): void {
    const current = this.current();
    this.enlarge(this.big ? null : current);
    if (current) this.focus(current);
  }

  /// To the next pane that can be seen.
  step(by: 1 | -1): void {
    const names = this.narrow.matches && !this.only ? [...PANES] : PANES.filter((name) => this.visible(name));
    const at = names.indexOf(this.current() ?? this.one);
    const name = names[(at + by + names.length) % names.length];
    if (!name) return;
    if (this.narrow.matches && !this.only) this.show(name);
    this.focus(name);
  }

  focus(name: Name): void {
    const { body, section } = this.made.get(name)!;
    const inside = body.querySelector<HTMLElement>(".cm-content, [tabindex='0'], button, select, input") ?? section.querySelector<HTMLElement>("button");
    inside?.focus();
  }

  private current(): Name | null {
    const section = document.activeElement?.closest("section.pane");
    return PANES.find((name) => this.made.get(name)!.section === section) ?? null;
  }

  private keep(): void {
    if (!this.only) choices.set("panes", [...this.shown].join(" "));
  }

  private lay(): void {
    for (const [name, { section, large, toggle, tab }] of this.made) {
      section.hidden = !this.visible(name);
      toggle.setAttribute("aria-pressed", String(this.visible(name)));
      if (this.one === name) tab.setAttribute("aria-current", "true");
      else tab.removeAttribute("aria-current");
      const big = this.big === name;
      large.textContent = big ? words.small : words.large;
      large.setAttribute("aria-label", big ? words.small_pane(words[name]) : words.large_pane(words[name]));
      large.setAttribute("aria-pressed", String(big));
    }
    for (const [name, panes] of Object.entries(COLUMNS)) {
      const empty = panes.every((pane) => !this.visible(pane));
      this.element.querySelector<HTMLElement>(`:scope > .column-${name}`)!.hidden = empty;
      this.element.classList.toggle(`no-${name}`, empty);
    }
    this.toggles.hidden = this.only !== null;
    this.tabs.hidden = this.only !== null;
    this.element.classList.toggle("with-source", !this.narrow.matches && !this.big && (this.visible("facsimile") || this.visible("study")));
    this.element.classList.toggle("with-one", this.only !== null || this.big !== null || this.narrow.matches);
  }
}
