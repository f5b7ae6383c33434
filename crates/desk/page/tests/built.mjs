// Sources of the page, built for the tests that need no browser.

import { build } from "esbuild";
import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

export async function source(module) {
  const folder = await mkdtemp(join(tmpdir(), "desk-"));
  const outfile = join(folder, "module.mjs");
  await build({ entryPoints: [new URL(`../src/${module}`, import.meta.url).pathname], bundle: true, format: "esm", outfile, logLevel: "error" });
  return import(pathToFileURL(outfile).href);
}
