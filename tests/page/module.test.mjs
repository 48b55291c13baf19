// The solver as WebAssembly against the native program.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { before, describe, test } from "node:test";
import { program } from "./browser.mjs";
import { bench, cases, missing, randomCase, seeded } from "./live.mjs";

/** The answers of the program, bands left out. */
function native(path) {
  const out = execFileSync(program, ["harden", path, "--json", "--quiet", "--no-bands", "--no-files"], {
    maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "ignore"],
  });
  return JSON.parse(out);
}

// Another C library rounds exp and log in its own way; a step more or less moves figures within the solver's
// tolerance of 0.1 K per step by far less than a maker can set.
const within = { HRC: 0.005, degC: 0.02, s: 0.1 };

function differences(a, b, units, path = "", out = []) {
  if (typeof a === "number" && typeof b === "number") {
    const name = path.replace(/.*\.(?=[a-z])/, "").replace(/\[\d+\]/g, "");
    const unit = /hardness|hrc|_HRC/i.test(name) ? "HRC" : units[name];
    const most = within[unit] ?? Math.max(2e-3 * Math.abs(b), 2e-4);
    if (Math.abs(a - b) > most) out.push(`${path}: ${a} against ${b}`);
  } else if (a !== null && b !== null && typeof a === "object" && typeof b === "object") {
    for (const key of new Set([...Object.keys(a), ...Object.keys(b)]))
      if (!["provenance", "defaults", "counters"].includes(key)) differences(a[key], b[key], units, Array.isArray(a) ? `${path}[${key}]` : `${path}.${key}`, out);
  } else if (typeof a !== typeof b || (a === null) !== (b === null) || typeof a === "boolean") {
    if (a !== b) out.push(`${path}: ${JSON.stringify(a)} against ${JSON.stringify(b)}`);
  } else if (typeof a === "string" && /verdict|\.(soak|quench|hardness|hardens)$/.test(path) && a !== b) out.push(`${path}: ${a} against ${b}`);
  return out;
}

describe("the module", { skip: missing }, () => {
  let ask;
  before(async () => { ask = await bench(); });
  const same = (text, path) => {
    const answer = ask("fine", { text });
    assert.ok(answer.first, JSON.stringify(answer.problems ?? answer.failed));
    const there = native(path);
    const here = JSON.parse(ask("json").text);
    delete here.risks; // the program computes them with its bands only when asked to draw
    delete there.risks;
    assert.deepEqual(differences(here, there, there.units), []);
  };

  for (const one of cases)
    test(`answers ${one.name} as the program does`, () => {
      // a case may name a record beside it
      if (/\.toml"/.test(one.text.replace(/#.*/g, ""))) return;
      same(one.text, one.path);
    });

  test("answers random blades as the program does", () => {
    const folder = mkdtempSync(join(tmpdir(), "thinquench-module-"));
    try {
      const random = seeded(20);
      for (let k = 0; k < Number(process.env.TQ_RANDOM_CASES ?? 24); ++k) {
        const text = randomCase(random), path = join(folder, `${k}.toml`);
        writeFileSync(path, text);
        same(text, path);
      }
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  test("refuses damaged cases as the program does", () => {
    for (const text of ["format = 1\n", "[blade\n", "x", "format = 2\n", "a = [".repeat(2000), "\u0000", "a.".repeat(3000) + "b = 1"]) {
      const { problems } = ask("live", { text });
      assert.ok(problems?.length > 0 && problems.every((p) => p.message), text.slice(0, 20));
    }
    const { problems } = ask("live", { text: "a = 1\n".repeat(40000) });
    assert.match(problems[0].message, /200 kB/);
  });
});
