// Bundles every frontend/<name>/main.ts into src/ashcomb/web/static/built/<name>.js (and .css).
import { existsSync, readdirSync, rmSync } from "node:fs";
import { build } from "esbuild";

const outdir = "src/ashcomb/web/static/built";
const modules = readdirSync("frontend", { withFileTypes: true })
  .filter((entry) => entry.isDirectory() && existsSync(`frontend/${entry.name}/main.ts`))
  .map((entry) => [entry.name, `frontend/${entry.name}/main.ts`]);

rmSync(outdir, { recursive: true, force: true });
await build({
  entryPoints: Object.fromEntries(modules),
  outdir,
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2020",
  charset: "utf8",
  legalComments: "eof",
  loader: { ".png": "empty" }, // pictures of parts of Leaflet that are not used
  logLevel: "warning",
});
