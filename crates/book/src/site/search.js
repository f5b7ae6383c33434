// Search over all pages, without a server: what can be found stands in the file search-index.js.
(() => {
  "use strict";
  const plain = (text) =>
    text
      .normalize("NFD")
      .replace(/\p{M}/gu, "")
      .toLowerCase();
  // So many places are shown.
  const MOST = 40;

  const begin = () => {
    const form = document.querySelector("form.search");
    if (!form || !window.bookIndex) return;
    const [field, list] = [form.querySelector("input"), form.querySelector("ol")];
    const all = window.bookIndex.map((one) => ({ ...one, plain: plain(`${one.title} ${one.text}`) }));
    form.hidden = false;

    const excerpt = (one, word) => {
      const at = plain(one.text).indexOf(word);
      const from = Math.max(0, at - 40);
      const text = one.text.slice(from, from + 120);
      return (from > 0 ? "… " : "") + text + (from + 120 < one.text.length ? " …" : "");
    };

    const search = () => {
      const words = plain(field.value).split(/\s+/).filter(Boolean);
      list.replaceChildren();
      if (words.length === 0) return;
      const found = all.filter((one) => words.every((word) => one.plain.includes(word)));
      for (const one of found.slice(0, MOST)) {
        const [item, link, text] = ["li", "a", "span"].map((name) => document.createElement(name));
        link.href = one.at;
        link.textContent = one.title;
        text.textContent = excerpt(one, words[0]);
        item.append(link, " ", text);
        list.append(item);
      }
      if (found.length === 0) {
        const item = document.createElement("li");
        item.textContent = form.dataset.none;
        list.append(item);
      }
    };
    field.addEventListener("input", search);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      search();
    });
    // A search can be linked to: index.html?q=fuga
    const asked = new URLSearchParams(location.search).get("q");
    if (asked) {
      field.value = asked;
      search();
    }
  };
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
  else begin();
})();
