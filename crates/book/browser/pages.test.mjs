// Every page of the demo book: valid, for everybody, at all widths, by itself.

import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { readFile, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { HtmlValidate } from "html-validate";
import { address, close, demo, folder, pages, window_at } from "./site.mjs";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
// SHOTS=folder keeps pictures of all pages.
const shots = process.env.SHOTS;
if (shots) mkdirSync(shots, { recursive: true });

let site;
before(async () => (site = await demo()));
after(close);

/// What the standard forbids; how it is spelled is left to the writer of the page (it is XML too).
const validator = new HtmlValidate({
  extends: ["html-validate:standard", "html-validate:a11y"],
  rules: { "void-style": "off", "no-inline-style": "off", "require-sri": "off" },
});

async function mistakes(html) {
  const report = await validator.validateString(html);
  const messages = report.results.flatMap(({ messages }) => messages);
  return messages.map(({ line, ruleId, message }) => `${line}: ${ruleId}: ${message}`);
}

async function violations(tab) {
  await tab.evaluate(axe);
  const { violations } = await tab.evaluate(() => window.axe.run(document, { resultTypes: ["violations"], preload: false }));
  const serious = violations.filter(({ impact }) => impact === "serious" || impact === "critical");
  return serious.map(({ id, nodes }) => `${id} ${nodes.map(({ html }) => html.slice(0, 120)).join(" | ")}`);
}

/// By how many pixels something reaches over the right edge.
const overflow = (tab) => tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

test("every page is valid HTML", async () => {
  for (const page of await pages(site)) {
    assert.deepEqual(await mistakes(await readFile(join(site, page), "utf8")), [], page);
  }
  // The validator sees what is wrong.
  const html = await readFile(join(site, "index.html"), "utf8");
  const planted = [
    ["<main>", '<main><p id="top">twice</p>', "no-dup-id"],
    ["<main>", "<main><p><div>a block in a paragraph</div></p>", "close-order"],
    ["<main>", '<main><img src="data:,"/>', "wcag/h37"],
    ["<main>", "<main><blink>no element</blink>", "deprecated"],
  ];
  for (const [from, to, rule] of planted) {
    const found = await mistakes(html.replace(from, to));
    assert.ok(found.some((one) => new RegExp(rule).test(one)), `${to}: ${found.join("\n")}`);
  }
});

for (const width of [360, 800, 1400]) {
  test(`every page, ${width} pixels wide`, async () => {
    for (const page of await pages(site)) {
      const tab = await window_at(site, page, { width });
      await tab.locator("form.search").waitFor();
      const name = `${page} at ${width}`;
      if (shots) await tab.screenshot({ path: join(shots, `${width}-${page}.png`), fullPage: true });
      assert.equal(await overflow(tab), 0, name);
      // All that is folded away is looked at too.
      await tab.evaluate(() => document.querySelectorAll("details").forEach((one) => (one.open = true)));
      assert.equal(await overflow(tab), 0, `${name}, unfolded`);
      assert.deepEqual(await violations(tab), [], name);
      const layouts = await tab.$$eval("figure.example", (figures) =>
        figures.map((figure) => [...figure.querySelectorAll(".layout")].filter((one) => one.getClientRects().length > 0).length));
      assert.ok(layouts.every((count) => count === 1), `${name}: ${layouts}`);
      assert.deepEqual(tab.complaints, [], name);
      await tab.context().close();
    }
  });
}

test("what is wrong with a page would be seen", async () => {
  const bad = await folder({
    "bad.html": `<!DOCTYPE html><html><head><title>Bad</title></head><body><div style="width:2000px">wide</div>
      <img src="nowhere.png"><a href="x" style="color:#eee">pale</a><script>nothing.there()</script></body></html>`,
  });
  const tab = await window_at(bad, "bad.html", { width: 360 });
  await tab.waitForLoadState("load");
  assert.ok((await overflow(tab)) > 1000);
  const found = (await violations(tab)).join(" ");
  for (const rule of ["image-alt", "html-has-lang", "color-contrast"]) assert.ok(found.includes(rule), found);
  const complaints = tab.complaints.join("\n");
  assert.ok(complaints.includes("nothing is not defined") && complaints.includes("has not got"), complaints);
  await writeFile(join(bad, "outside.html"), `<!DOCTYPE html><title>Outside</title><img src="http://127.0.0.1:9/x.png" alt="">`);
  const outside = await window_at(bad, "outside.html");
  await outside.waitForLoadState("load");
  assert.ok(outside.complaints.join("\n").includes("asks for http://127.0.0.1:9/x.png"));
});

test("every link leads somewhere", async () => {
  const tab = await window_at(site, "index.html");
  const ids = new Map();
  const links = new Map();
  for (const page of await pages(site)) {
    await tab.goto(address(site, page));
    ids.set(page, new Set(await tab.$$eval("[id]", (all) => all.map(({ id }) => id))));
    links.set(page, await tab.$$eval("a[href]", (all) => all.map(({ href }) => href)));
  }
  let count = 0;
  for (const [page, all] of links) {
    for (const href of new Set(all)) {
      if (!href.startsWith("file:")) continue;
      const [file, id] = decodeURI(href.slice(address(site, "").length)).split("#");
      count += 1;
      if (!file.endsWith(".html")) {
        assert.ok((await readFile(join(site, file))).length > 20, `${page}: ${href}`);
        continue;
      }
      assert.ok(ids.has(file), `${page}: ${href}`);
      assert.ok(!id || ids.get(file).has(id), `${page}: ${href}`);
    }
  }
  assert.ok(count > 200, `${count} links`);
});

test("the search finds words and examples on every page", async () => {
  const tab = await window_at(site, "of-entering-after-one-minim.html", { width: 360 });
  const field = tab.locator("form.search input");
  await field.fill("CLOSE fled");
  const hit = tab.locator("form.search li a").first();
  await hit.waitFor();
  const href = await hit.getAttribute("href");
  assert.match(href, /^of-the-close\.html/);
  await hit.click();
  await tab.waitForURL(/of-the-close\.html/);
  await tab.locator("form.search input").fill("xylophone");
  await tab.locator("form.search li", { hasText: "Nothing found" }).waitFor();
  await tab.locator("form.search input").fill("example 1.2");
  await tab.locator("form.search li a", { hasText: "Example 1.2" }).first().waitFor();
  assert.deepEqual(tab.complaints, []);
});
