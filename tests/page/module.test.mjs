// The solver as WebAssembly against the native program.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { before, describe, test } from "node:test";
import { program, root } from "./browser.mjs";
import { bench, cases, figures, missing, native, randomCase, seeded } from "./live.mjs";

const steps = (one) => one.provenance.solver.map((s) => [s.steps, s.rejected_steps]);

// each says how its own user leaves the journal out
const left_out = /(, from [^(]* of this shop) \(.*\)$/;
/** Equal but for the last digits of what learning made: Eigen adds in packets of what the processor has, and sums of other
    orders grow from round to round: with the logs of the oil to some 1e-5 of what doubt a belief starts with. */
function near(here, there, path = "") {
  if (typeof there === "number") assert.ok(Math.abs(here - there) <= 1e-4 * Math.max(1, Math.abs(there)), `${path}: ${here}, not ${there}`);
  else if (typeof there === "string") assert.equal(here.replace(left_out, "$1"), there.replace(left_out, "$1"), path);
  else if (there === null || typeof there !== "object") assert.equal(here, there, path);
  else {
    assert.deepEqual(Object.keys(here), Object.keys(there), path);
    for (const key of Object.keys(there)) near(here[key], there[key], `${path}/${key}`);
  }
}

describe("the module", { skip: missing }, () => {
  let ask;
  before(async () => { ask = await bench(); });
  const compare = (text, path) => {
    const answer = ask("fine", { text });
    assert.ok(answer.first, JSON.stringify(answer.problems ?? answer.failed));
    const there = native(path), here = JSON.parse(ask("json").text);
    assert.deepEqual(steps(here), steps(there));
    assert.deepEqual(figures(here), figures(there));
  };

  for (const one of cases)
    test(`answers ${one.name} as the program does`, () => {
      compare(one.text, one.path);
    });

  const count = Number(process.env.TQ_RANDOM_CASES ?? (process.env.CI ? 200 : 24));
  test(`answers ${count} random blades as the program does`, () => {
    const folder = mkdtempSync(join(tmpdir(), "thinquench-module-"));
    try {
      const random = seeded(20);
      for (let k = 0; k < count; ++k) {
        const text = randomCase(random), path = join(folder, `${k}.toml`);
        writeFileSync(path, text);
        compare(text, path);
      }
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  test("knows a shop as the program does: learns the same, answers the same", () => {
    const folder = mkdtempSync(join(tmpdir(), "thinquench-shop-")), shed = join(root, "cases/shed");
    const put = (name, text) => { writeFileSync(join(folder, name), text); ask("keep", { path: name, text }); };
    try {
      // a blade and a coupon of the shed's journal; a coarse grid, so that learning takes a second
      const [head, firing] = readFileSync(join(shed, "shop.toml"), "utf8").split("[[firing]]");
      const coupon = readFileSync(join(shed, "shop.toml"), "utf8").split("[[coupon]]")[1];
      const journal = `${head}[[firing]]${firing}[[coupon]]${coupon}`;
      const text = readFileSync(join(shed, "petty.toml"), "utf8") + "\n[solver]\nalong = 24\ntolerance = \"1 K\"\n";
      for (const name of ["packet_1.csv", "oven.csv"]) put(name, readFileSync(join(shed, name), "utf8"));
      put("petty.toml", text);
      writeFileSync(join(folder, "shop.toml"), journal);
      const there = native(join(folder, "petty.toml")); // finds shop.toml beside the case
      assert.equal(ask("journal", { journal }).new, 1);
      const { learnt, troubles } = ask("learn");
      assert.deepEqual(troubles, []);
      const belief = (text) => text.trim().split(/\s+/).map((word) => (Number.isFinite(Number(word)) ? Number(word) : word));
      near(belief(learnt), belief(readFileSync(join(folder, "shop.toml.learnt"), "utf8")), "learnt");
      const { first } = ask("fine", { text });
      assert.equal(first.rests, "from 1 blade and 1 coupon of this shop");
      near(figures(JSON.parse(ask("json").text)), figures(there));
      // and without it as if there were none
      ask("journal", { journal: "" });
      ask("fine", { text });
      const without = execFileSync(program, ["harden", join(folder, "petty.toml"), "--json", "--quiet", "--no-bands", "--no-files", "--no-shop"], { maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "ignore"] });
      assert.deepEqual(figures(JSON.parse(ask("json").text)), figures(JSON.parse(without)));
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
