// The page begins here: it takes the code out of the address, and shows the list of pieces or one piece.

import { enter } from "./connection";
import { Desk } from "./desk";
import { el } from "./dom";
import { Name, PANES } from "./panes";
import { Pieces } from "./pieces";
import { colour } from "./settings";
import { words } from "./words";

interface Screen {
  element: HTMLElement;
  close(): void;
}

const nonce = document.querySelector<HTMLMetaElement>('meta[name="nonce"]')?.content ?? "";
let screen: Screen | null = null;

function address(): URLSearchParams {
  return new URLSearchParams(location.hash.slice(1));
}

function show(next: Screen): void {
  screen?.close();
  screen?.element.remove();
  screen = next;
  document.body.prepend(next.element);
}

function go(path: string, example: string | null): void {
  history.pushState(null, "", `#${new URLSearchParams({ piece: path, ...(example ? { example } : {}) })}`);
  route();
}

/// What the address asks for.
function route(): void {
  const asked = address();
  const piece = asked.get("piece");
  if (!piece) {
    document.title = words.program;
    show(new Pieces({ open: go }));
    return;
  }
  const pane = PANES.find((name): name is Name => name === asked.get("pane")) ?? null;
  const desk = new Desk(piece, asked.get("example"), pane, nonce, () => {
    history.pushState(null, "", location.pathname);
    route();
  });
  show(desk);
  desk.focus();
}

async function start(): Promise<void> {
  colour();
  const asked = address();
  const code = asked.get("code");
  asked.delete("code");
  if (code) history.replaceState(null, "", asked.size ? `#${asked}` : location.pathname);
  if (!(await enter(code))) {
    document.body.prepend(el("main", { class: "no-token" }, el("h1", {}, words.program), el("p", {}, words.no_token)));
    return;
  }
  window.addEventListener("popstate", route);
  route();
}

void start();
