// The reader's choices, and the list of keys.

import { button, choose, el, field } from "./dom";
import { keys, name_of, value_keys } from "./keys";
import type { Midi } from "./midi";
import { choices } from "./store";
import { words } from "./words";

/// Paper and ink as chosen; "auto" leaves it to the system.
export function colour(): void {
  const chosen = choices.get("colours", "auto");
  if (chosen === "auto") delete document.documentElement.dataset["colours"];
  else document.documentElement.dataset["colours"] = chosen;
}

export function settings(midi: Midi | null): HTMLDialogElement {
  const key = (which: "longer" | "shorter", label: string) => {
    const input = el("input", { value: value_keys[which](), readonly: true, title: words.key_press });
    input.addEventListener("keydown", (event) => {
      const name = name_of(event);
      if (!name) return;
      event.preventDefault();
      value_keys.set(which, name);
      input.value = name;
    });
    return field(label, input);
  };
  const heard = el("p", { class: "hint", role: "status" }, midi?.heard ?? "");
  const listed = Object.entries(words.key_list).map(([name, label]) => {
    const pressed = name === "longer" ? value_keys.longer() : name === "shorter" ? value_keys.shorter() : keys[name as keyof typeof keys];
    return el("div", {}, el("dt", {}, el("kbd", {}, pressed)), el("dd", {}, label));
  });
  const dialog = el("dialog", { class: "settings", "aria-labelledby": "settings-title", onclose: () => dialog.remove() },
    el("h2", { id: "settings-title" }, words.settings),
    field(words.colours, choose({ auto: words.colours_auto, light: words.colours_light, dark: words.colours_dark }, choices.get("colours", "auto"), (value) => {
      choices.set("colours", value);
      colour();
    })),
    key("longer", words.key_longer), key("shorter", words.key_shorter),
    el("p", { class: "hint" }, words.key_press),
    midi && el("div", { class: "field" }, el("span", {}, words.midi), button(words.midi_on, () => void midi.listen().then(() => (heard.textContent = midi.heard)))), heard,
    el("h3", {}, words.keys),
    el("dl", { class: "keys" }, ...listed),
    el("div", { class: "acts" }, button(words.close, () => dialog.close(), { class: "chief" })));
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}
