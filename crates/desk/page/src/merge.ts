// Two texts of one piece side by side: the file as it is, and what was typed here. The right one is kept in the end.

import { MergeView } from "@codemirror/merge";
import { EditorState } from "@codemirror/state";
import { EditorView, lineNumbers } from "@codemirror/view";
import { button, el } from "./dom";
import { words } from "./words";

/// Shows both texts, and calls `decided` with the one to be kept.
export function merge(disk: string, mine: string, nonce: string, decided: (text: string) => void): HTMLDialogElement {
  const place = el("div", { class: "both" });
  const common = [EditorView.cspNonce.of(nonce), EditorView.lineWrapping, lineNumbers()];
  const named = (label: string) => EditorView.contentAttributes.of({ "aria-label": label, tabindex: "0" });
  const done = (text: string) => {
    view.destroy();
    dialog.close();
    dialog.remove();
    decided(text);
  };
  const dialog = el("dialog", { class: "merge", "aria-labelledby": "merge-title", oncancel: (event: Event) => event.preventDefault() },
    el("h2", { id: "merge-title" }, words.changed_on_disk),
    el("p", {}, words.changed_hint),
    el("div", { class: "both-names", "aria-hidden": "true" }, el("span", {}, words.on_disk), el("span", {}, words.here)),
    place,
    el("div", { class: "acts" },
      button(words.take_disk, () => done(disk)),
      button(words.keep_right, () => done(view.b.state.doc.toString()), { class: "chief" })));
  document.body.append(dialog);
  dialog.showModal();
  // Only in an open dialog do the texts have heights, by which the arrows between them are placed.
  const view = new MergeView({
    parent: place,
    a: { doc: disk, extensions: [...common, named(words.on_disk), EditorState.readOnly.of(true)] },
    b: { doc: mine, extensions: [...common, named(words.here)] },
    revertControls: "a-to-b",
    renderRevertControl: () => el("button", { type: "button", class: "take-over", title: words.take_over, "aria-label": words.take_over }, "→"),
    gutter: true,
  });
  view.b.focus();
  return dialog;
}
