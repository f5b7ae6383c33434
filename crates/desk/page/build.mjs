// Builds the page: one script and one style sheet, the same bytes from the same sources.
import { build } from "esbuild";
import { copyFile } from "node:fs/promises";

await build({
  entryPoints: { desk: "src/main.ts" },
  bundle: true,
  minify: true,
  target: "es2022",
  format: "iife",
  legalComments: "eof",
  outdir: "built",
});
await build({ entryPoints: { desk: "src/desk.css" }, bundle: true, minify: true, external: ["/garamond.otf"], outdir: "built" });
await copyFile("src/index.html", "built/index.html");
