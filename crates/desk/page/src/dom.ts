// Small helpers for the document. No framework: an element is made once and changed in place.

type Child = Node | string | null | undefined | false;
type Given = Record<string, unknown>;

/// An element. `on…` are listeners, `class` and other names attributes; false and null leave an attribute out.
export function el<K extends keyof HTMLElementTagNameMap>(tag: K, given: Given = {}, ...children: Child[]): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === false || value === null || value === undefined) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value as EventListener);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(...children.filter((child): child is Node | string => child !== null && child !== undefined && child !== false));
  return element;
}

/// Writes a text where another stands: to write the same again would have the page laid out anew.
export function write(element: HTMLElement, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

export function button(label: string, pressed: (event: Event) => void, given: Given = {}): HTMLButtonElement {
  return el("button", { type: "button", onclick: pressed, ...given }, label);
}

export function field(label: string, input: HTMLElement): HTMLLabelElement {
  return el("label", { class: "field" }, el("span", {}, label), input);
}

export function choose(options: Record<string, string>, value: string, changed: (value: string) => void): HTMLSelectElement {
  const select = el("select", { onchange: () => changed(select.value) },
    ...Object.entries(options).map(([key, label]) => el("option", { value: key, selected: key === value }, label)));
  return select;
}

/// The drawing in a string that the program sent. As HTML it is read twice as fast as XML.
export function drawing(svg: string): SVGSVGElement {
  const read = document.createElement("template");
  read.innerHTML = svg;
  return read.content.firstElementChild as SVGSVGElement;
}

/// Runs `work` once, when nothing has asked for it for `wait` milliseconds.
export function later(wait: number, work: () => void): { ask: () => void; drop: () => void } {
  let timer: number | undefined;
  const drop = () => window.clearTimeout(timer);
  return { ask: () => { drop(); timer = window.setTimeout(work, wait); }, drop };
}

/// Runs `work` when what was changed stands on the screen; at once while the page is not seen.
export function painted(work: () => void): void {
  if (document.hidden) work();
  else requestAnimationFrame(() => window.setTimeout(work));
}

/// Offers a file to be saved.
export function offer(name: string, content: Blob): void {
  const url = URL.createObjectURL(content);
  el("a", { href: url, download: name }).click();
  window.setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/// Is the answer a reader's wish for less movement?
export const still = () => window.matchMedia("(prefers-reduced-motion: reduce)").matches;
