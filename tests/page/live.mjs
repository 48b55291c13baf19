// The live page and its module, as scripts/page made them.
import { execFileSync } from "node:child_process";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { program, root } from "./browser.mjs";

const file = process.env.THINQUENCH_PAGE ?? join(root, "out/thinquench.html");
const glue = join(root, "build-page/thinquench_page.js"), wasm = join(root, "build-page/thinquench_page.wasm");
/** Why there is nothing to try; undefined when there is. */
export const missing = existsSync(file) && existsSync(wasm) ? undefined : `no ${file}; scripts/page makes it`;
export const page = { file, address: pathToFileURL(file).href };
export const cases = readdirSync(join(root, "cases"))
  .filter((name) => name.endsWith(".toml"))
  .map((name) => ({ name: name.replace(/\.toml$/, ""), path: join(root, "cases", name), text: readFileSync(join(root, "cases", name), "utf8") }));

/** A bench of the module in this process: ask(what, asked) gives an object. */
export async function bench() {
  const code = new WebAssembly.Module(readFileSync(wasm));
  const start = createRequire(import.meta.url)(glue);
  const solver = await start({
    instantiateWasm: (imports, done) => {
      WebAssembly.instantiate(code, imports).then(done);
      return {};
    },
  });
  const told = (text) => {
    const size = solver.lengthBytesUTF8(text) + 1, at = solver._malloc(size);
    solver.stringToUTF8(text, at, size);
    return at;
  };
  return (what, asked = {}) => {
    const [a, b] = [told(what), told(JSON.stringify(asked))];
    const answer = solver.UTF8ToString(solver._tq_ask(a, b));
    solver._free(a);
    solver._free(b);
    return JSON.parse(answer);
  };
}

/** The answers of the program, bands left out. */
export function native(path) {
  const out = execFileSync(program, ["harden", path, "--json", "--quiet", "--no-bands", "--no-files"], {
    maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "ignore"],
  });
  return JSON.parse(out);
}

// Elementary functions are the solver's own, so that every figure is the same to its last digit, wherever it was
// computed. What is told of the program and the run differs by its nature.
export const figures = ({ provenance, counters, defaults, risks, ...rest }) => rest; // risks: the program's only with its bands

/** Numbers from 0 to 1 that are the same in every run (mulberry32). */
export const seeded = (seed) => () => {
  seed = (seed + 0x6d2b79f5) | 0;
  let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
};

/** A blade of some shop. */
export function randomCase(random) {
  const one = (list) => list[Math.floor(random() * list.length)];
  const between = (a, b, digits) => (a + (b - a) * random()).toFixed(digits);
  const spine = between(1.2, 5, 2);
  const foil = random() < 0.7;
  return `format = 1
[blade]
steel = "${one(["O1", "1084", "1095", "52100", "80CrV2", "W2", "5160", "75Ni8", "L6", "O2"])}"
length = "${between(70, 280, 0)} mm"
[[blade.station]]
name = "middle"
width = "${between(15, 50, 1)} mm"
spine = "${spine} mm"
edge = "${Math.min(Number(spine), Number(between(0.25, 1, 2)))} mm"
grind = "${one(["flat", "flat", "convex"])}"
${""}[furnace]
setpoint = "${between(770, 840, 0)} degC"
[wrap]
foil = "${foil ? "stainless" : "none"}"
[transfer]
time = "${between(0.5, 6, 1)} s"
[bath]
coolant = "${one(["medium-oil", "fast-oil", "vegetable-oil"])}"
temperature = "${between(25, 70, 0)} degC"
volume = "${between(3, 20, 1)} L"
[temper]
oven = "${between(160, 300, 0)} degC"
count = ${one([1, 2, 2, 3])}
[wish]
soak = "${between(3, 25, 0)} min"
hardness = ["58 HRC", "62 HRC"]
`.replace(/grind = "convex"/, 'grind = "convex"\nconvex_bulge = "0.1 mm"');
}
