// What paper does to the pages: how many, which words touch, whether a FAIL is as dark as a PASS.
import assert from "node:assert/strict";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { PDFDocument } from "pdf-lib";
import { harden, launch, open, root } from "./browser.mjs";

const mostPages = 6;
const own = mkdtempSync(join(tmpdir(), "thinquench-print-"));
const soft = join(own, "soft.toml"); // passes its quench and fails its hardness
const shipped = readdirSync(join(root, "cases")).filter((name) => name.endsWith(".toml")).map((name) => join(root, "cases", name));
let browser;
const results = new Map();

before(async () => {
  const text = readFileSync(join(root, "cases/drop_point_o1.toml"), "utf8");
  writeFileSync(soft, text.replace('oven = "205 degC"', 'oven = "420 degC"'));
  browser = await launch();
  for (const file of [...shipped, soft]) results.set(file, harden(file));
});
after(async () => {
  await browser?.close();
  for (const result of results.values()) result.remove();
  rmSync(own, { recursive: true });
});

for (const file of shipped)
  describe(file.replace(/^.*\//, ""), () => {
    test(`report prints on at most ${mostPages} pages, sources folded`, async () => {
      const page = await open(browser, results.get(file).report);
      const pdf = await PDFDocument.load(await page.pdf({ format: "A4" }));
      assert.ok(pdf.getPageCount() <= mostPages, `${pdf.getPageCount()} pages`);
      await page.close();
    });

    test("labels of drawings do not touch, and nothing reads -0", async () => {
      const page = await open(browser, results.get(file).report);
      const touching = await page.evaluate(() => {
        const out = [];
        for (const svg of document.querySelectorAll("svg")) {
          const words = [...svg.querySelectorAll("text")].map((t) => [t.textContent, t.getBoundingClientRect()]).filter(([, r]) => r.width > 0);
          words.forEach(([text, a], i) => {
            for (const [other, b] of words.slice(i + 1)) {
              const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
              const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
              // boxes of text hold the room for tails and accents: a few pixels of them are empty
              if (wide > 2 && high > 5) out.push(`${text} | ${other}`);
            }
          });
        }
        return out;
      });
      assert.deepEqual(touching, []);
      const words = await page.evaluate(() => document.body.innerText);
      assert.doesNotMatch(words, /(^|[^0-9A-Za-z.])[-\u2212]0(\.0+)?([^.0-9]|$)/);
      await page.close();
    });

    test("the contents lead to what is there", async () => {
      const page = await open(browser, results.get(file).report);
      const lost = await page.$$eval("nav a", (all) => all.map((a) => a.getAttribute("href")).filter((to) => !document.querySelector(to)));
      assert.deepEqual(lost, []);
      assert.ok((await page.$$("nav a")).length >= 2);
      await page.close();
    });
  });

describe("verdicts on paper", () => {
  for (const which of ["sheet", "report"])
    test(`${which}: the darkest of FAIL is not lighter than that of PASS, without backgrounds`, async () => {
      const page = await open(browser, results.get(soft)[which]);
      await page.emulateMediaType("print");
      const darkness = await page.evaluate(() => {
        const light = (colour) => {
          const [r, g, b] = colour.match(/[\d.]+/g).map(Number);
          return 0.2126 * r + 0.7152 * g + 0.0722 * b;
        };
        const darkest = (selector) => Math.min(...[...document.querySelectorAll(selector)].map((e) => light(getComputedStyle(e).color)));
        return { fail: darkest(".strip .fail"), pass: darkest(".strip .pass") };
      });
      assert.ok(Number.isFinite(darkness.fail) && Number.isFinite(darkness.pass), JSON.stringify(darkness));
      assert.ok(darkness.fail <= darkness.pass, JSON.stringify(darkness));
      await page.close();
    });

  test("cautions are at least 8 pt", async () => {
    for (const which of ["sheet", "report"]) {
      const page = await open(browser, results.get(soft)[which]);
      await page.emulateMediaType("print");
      const sizes = await page.$$eval(".caution, .safe", (all) => all.map((e) => parseFloat(getComputedStyle(e).fontSize) * 0.75));
      assert.ok(Math.min(...sizes, 99) >= 8 - 1e-6, `${which}: ${Math.min(...sizes)} pt`);
      await page.close();
    }
  });
});
