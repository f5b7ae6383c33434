// Makes sites with the real program, and opens them in Chromium.

import { execFileSync } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdir, mkdtemp, readdir, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

export const root = resolve(import.meta.dirname, "../../..");
const target = process.env.CARGO_TARGET_DIR ?? join(root, "target");
const programs = [join(target, "release/cartella"), join(target, "debug/cartella")];
const program = process.env.CARTELLA ?? programs.find(existsSync);

export const run = (folder, ...words) => execFileSync(program, words, { cwd: folder, stdio: "pipe" });

const made = [];

/// A folder with these files.
export async function folder(files = {}) {
  const path = await mkdtemp(join(tmpdir(), "cartella-book-"));
  made.push(path);
  for (const [name, content] of Object.entries(files)) {
    await mkdir(resolve(path, name, ".."), { recursive: true });
    await writeFile(join(path, name), content);
  }
  return path;
}

/// The site of the demo book, with recordings; SITE names one that is made already.
export async function demo() {
  if (process.env.SITE) return resolve(process.env.SITE);
  const path = await folder();
  run(root, "book", "fixtures/book", "--site", join(path, "site"), "--sound");
  return join(path, "site");
}

export const pages = async (site) => (await readdir(site)).filter((name) => name.endsWith(".html")).sort();
export const address = (site, page) => pathToFileURL(site).href + "/" + page;

let launched = null;

/// A window, which keeps in `complaints` what the console says and what is asked for outside the site.
export async function window_at(site, page, { width = 1400, height = 900, ...options } = {}) {
  launched ??= await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--autoplay-policy=no-user-gesture-required"],
  });
  const context = await launched.newContext({ viewport: { width, height }, ...options });
  const tab = await context.newPage();
  tab.setDefaultTimeout(20_000);
  tab.complaints = [];
  tab.on("pageerror", (error) => tab.complaints.push(error.message));
  tab.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) tab.complaints.push(message.text());
  });
  tab.on("request", (request) => {
    const inside = request.url().startsWith(address(site, "")) || request.url().startsWith("data:");
    if (!inside) tab.complaints.push(`asks for ${request.url()}`);
  });
  tab.on("requestfailed", (request) => {
    // A recording that is paused is no longer loaded.
    if (request.resourceType() !== "media") tab.complaints.push(`has not got ${request.url()}`);
  });
  if (page) await tab.goto(address(site, page));
  return tab;
}

export async function close() {
  await launched?.close();
  launched = null;
  for (const path of made.splice(0)) await rm(path, { recursive: true, force: true });
}
