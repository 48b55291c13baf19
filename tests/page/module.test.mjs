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

// Another C library rounds exp and log in its own way, in the last digit. As long as the solver takes the same steps
// that is all that differs. Where a step is just refused by one and taken by the other, their sequences part, and the
// figures differ by what the step error (0.1 K) allows: 0.011 HRC in a lifted blade, 635 steps against 619.
const same = { HRC: 0.005, degC: 0.02, s: 0.1, share: 2e-3, rung: 0.25 };
const parted = { HRC: 0.02, degC: 0.1, s: 0.5, share: 1e-2, rung: 0.5 };

function differences(a, b, units, within, path = "", out = []) {
  if (typeof a === "number" && typeof b === "number") {
    const name = path.replace(/.*\.(?=[a-z])/, "").replace(/\[\d+\]/g, "");
    const unit = /hardness|hrc|_HRC/i.test(name) ? "HRC" : units[name];
    // looked for on rungs of a quarter of a second
    const most = name === "transfer_to_spare" ? Math.max(within.rung, within.share * Math.abs(b))
      : within[unit] ?? Math.max(within.share * Math.abs(b), 2e-4);
    if (Math.abs(a - b) > most) out.push(`${path}: ${a} against ${b}`);
  } else if (a !== null && b !== null && typeof a === "object" && typeof b === "object") {
    for (const key of new Set([...Object.keys(a), ...Object.keys(b)]))
      if (!["provenance", "defaults", "counters"].includes(key)) differences(a[key], b[key], units, within, Array.isArray(a) ? `${path}[${key}]` : `${path}.${key}`, out);
  } else if (typeof a !== typeof b || (a === null) !== (b === null) || typeof a === "boolean") {
    if (a !== b) out.push(`${path}: ${JSON.stringify(a)} against ${JSON.stringify(b)}`);
  } else if (typeof a === "string" && /verdict|\.(soak|quench|hardness|hardens)$/.test(path) && a !== b) out.push(`${path}: ${a} against ${b}`);
  return out;
}

describe("the module", { skip: missing }, () => {
  let ask;
  before(async () => { ask = await bench(); });
  const compare = (text, path) => {
    const answer = ask("fine", { text });
    assert.ok(answer.first, JSON.stringify(answer.problems ?? answer.failed));
    const there = native(path);
    const here = JSON.parse(ask("json").text);
    delete here.risks; // the program computes them with its bands only when asked to draw
    delete there.risks;
    const steps = (one) => one.provenance.solver.map((s) => [s.steps, s.rejected_steps]).flat().join();
    const alike = steps(here) === steps(there);
    assert.deepEqual(differences(here, there, there.units, alike ? same : parted), []);
    return alike;
  };

  for (const one of cases)
    test(`answers ${one.name} as the program does`, () => {
      compare(one.text, one.path);
    });

  test("answers random blades as the program does", (t) => {
    const folder = mkdtempSync(join(tmpdir(), "thinquench-module-"));
    try {
      const random = seeded(20);
      let alike = 0, all = 0;
      for (let k = 0; k < Number(process.env.TQ_RANDOM_CASES ?? 24); ++k) {
        const text = randomCase(random), path = join(folder, `${k}.toml`);
        writeFileSync(path, text);
        alike += compare(text, path) ? 1 : 0;
        ++all;
      }
      t.diagnostic(`${alike} of ${all} with the same steps`);
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
