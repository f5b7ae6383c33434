// Starts the real program with a folder of its own, and Chromium before it.

import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { chromium } from "playwright-core";

export const root = resolve(import.meta.dirname, "../../../..");
const target = process.env.CARGO_TARGET_DIR ?? join(root, "target");
export const program = process.env.CARTELLA ?? [join(target, "release/cartella"), join(target, "debug/cartella")].find(existsSync);
export const opendata = process.env.CARTELLA_OPENDATA ?? join(root, "../shared/opendata");
const browser_path = process.env.CHROMIUM ?? "/usr/bin/chromium";

/// The first parts file of the README.
export async function duo() {
  const readme = await readFile(join(root, "README.md"), "utf8");
  return /^```parts\n([\s\S]*?)^```$/m.exec(readme)[1];
}

export async function folder(files = {}) {
  const path = await mkdtemp(join(tmpdir(), "cartella-desk-"));
  for (const [name, content] of Object.entries(files)) {
    if (content.startsWith?.("/")) await cp(content, join(path, name));
    else await writeFile(join(path, name), content);
  }
  return path;
}

async function free_port() {
  return new Promise((done) => {
    const server = createServer().listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => done(port));
    });
  });
}

const running = new Set();

/// The program at work on a folder: `address` holds a code that can be used once.
export async function desk(path, port) {
  port ??= await free_port();
  const child = spawn(program, ["desk", path, "--port", String(port), "--no-open"], { stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  const address = await new Promise((done, failed) => {
    const hear = (bytes) => {
      said += bytes;
      const found = /http:\/\/\S+code=\S+/.exec(said);
      if (found) done(found[0]);
    };
    child.stdout.on("data", hear);
    child.stderr.on("data", hear);
    child.on("exit", (code) => failed(new Error(`the desk ended with ${code}: ${said}`)));
  });
  const ended = new Promise((done) => child.on("exit", done));
  running.add(child);
  return {
    address, port, path,
    kill: async (signal = "SIGKILL") => {
      child.kill(signal);
      await ended;
    },
    close: async () => {
      child.kill("SIGKILL");
      await ended;
      await rm(path, { recursive: true, force: true });
    },
  };
}

let launched = null;
export async function browser() {
  launched ??= await chromium.launch({ executablePath: browser_path, args: ["--no-sandbox", "--autoplay-policy=no-user-gesture-required"] });
  return launched;
}
/// After all tests of a file, whichever of them failed.
export async function close_browser() {
  for (const child of running) child.kill("SIGKILL");
  await launched?.close();
  launched = null;
}

const mine = new WeakSet();

/// With PAGE=built the browser gets the script and the style as they were built last, not those in the program.
async function from_sources(context) {
  if (process.env.PAGE !== "built" || mine.has(context)) return;
  mine.add(context);
  for (const name of ["desk.js", "desk.css"]) {
    await context.route(`**/${name}`, (route) => route.fulfill({ path: join(import.meta.dirname, "../built", name) }));
  }
}

/// A window of its own, which reports what the page complains of in `complaints`.
export async function window_at(address, options = {}) {
  const context = options.context ?? await (await browser()).newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true, ...options });
  await from_sources(context);
  const page = await context.newPage();
  page.setDefaultTimeout(10_000);
  page.complaints = [];
  page.on("pageerror", (error) => page.complaints.push(error.message));
  page.on("console", (message) => {
    if (/Content Security Policy|Refused to/i.test(message.text())) page.complaints.push(message.text());
  });
  if (address) await page.goto(address);
  return page;
}

export const with_piece = (address, piece, more = "") => `${address}&piece=${encodeURIComponent(piece)}${more}`;

/// Waits until the program says that all is saved.
export const saved = (page) => page.waitForSelector('.desk-head .state[data-state="saved"]');
export const score = (page) => page.waitForSelector(".pane-score .system svg [data-index]", { state: "attached" });
/// The text as the editor shows it; only whole for a text that fits into the pane.
export const text_of = (page) => page.$$eval(".pane-text .cm-line", (lines) => lines.map((line) => line.textContent).join("\n"));
