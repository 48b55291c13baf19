// Puts the page together, one file with everything inside: node assemble.mjs MODULE.js MODULE.wasm REPORT.js OUT.html
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

const [glue, wasm, reportScript, target] = process.argv.slice(2);
const here = dirname(fileURLToPath(import.meta.url));
const own = (name) => readFileSync(join(here, name), "utf8");
const hash = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;

const script = own("page.js");
const parts = {
  // Nothing is loaded and nothing sent: scripts by their hash (the report shown in a frame has one of its own), the
  // workers from what stands in the page, styles that stand in it.
  policy: [
    "default-src 'none'",
    `script-src ${hash(script)} ${hash(readFileSync(reportScript, "utf8"))} 'wasm-unsafe-eval' blob:`,
    "worker-src blob:",
    "style-src 'unsafe-inline'",
    "base-uri 'none'",
    "form-action 'none'",
  ].join("; "),
  style: own("page.css") + own("../../output/page/drawing.css"),
  script,
  worker: readFileSync(glue, "utf8") + "\n" + own("worker.js"),
  module: gzipSync(readFileSync(wasm), { level: 9 }).toString("base64"),
};
for (const [name, text] of Object.entries(parts))
  if (/<\/(script|style)|<!--/i.test(text)) throw new Error(`${name} holds an end of script or style`);
const page = own("page.html").replace(/@(policy|style|script|worker|module)@/g, (_, name) => parts[name]);
mkdirSync(dirname(target), { recursive: true });
writeFileSync(target, page);
console.log(`${target}: ${(page.length / 1e6).toFixed(2)} MB (module ${(readFileSync(wasm).length / 1e6).toFixed(2)} MB, packed ${(parts.module.length / 1e6).toFixed(2)} MB)`);
