import assert from "node:assert/strict";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { PDFDocument } from "pdf-lib";
import { harden, launch, open, root } from "./browser.mjs";

const wordy = mkdtempSync(join(tmpdir(), "thinquench-wordy-"));
const shipped = readdirSync(join(root, "cases")).filter((name) => name.endsWith(".toml"));
const cases = {
  ...Object.fromEntries(shipped.map((name) => [name, join(root, "cases", name)])),
  "a title of many words": join(wordy, "wordy.toml"),
};
let browser;
const results = new Map();

before(async () => {
  const long = "A kitchen knife with a very long name that somebody typed without thinking of paper ".repeat(4);
  const text = readFileSync(join(root, "cases/petty_1084_vegetable.toml"), "utf8");
  writeFileSync(cases["a title of many words"], text.replace(/^title = .*$/m, `title = "${long}"`));
  browser = await launch();
  for (const [name, file] of Object.entries(cases)) results.set(name, harden(file));
});
after(async () => {
  await browser?.close();
  for (const result of results.values()) result.remove();
  rmSync(wordy, { recursive: true });
});

// ISO 216 and ANSI sizes in points.
const papers = { A4: [595, 842], Letter: [612, 792] };

for (const name of Object.keys(cases))
  describe(name, () => {
    for (const [paper, [width, height]] of Object.entries(papers))
      test(`sheet prints on exactly one page of ${paper}`, async () => {
        const page = await open(browser, results.get(name).sheet);
        const pdf = await PDFDocument.load(await page.pdf({ format: paper }));
        assert.equal(pdf.getPageCount(), 1);
        const size = pdf.getPage(0).getSize();
        assert.ok(Math.abs(size.width - width) <= 1.5 && Math.abs(size.height - height) <= 1.5, JSON.stringify(size));
        assert.deepEqual(page.complaints, []);
        await page.close();
      });

    test("nothing on paper is cut off", async () => {
      const page = await open(browser, results.get(name).sheet);
      await page.emulateMediaType("print");
      const cut = await page.$$eval(".page, .reason, .foot, h1", (all) =>
        all.filter((e) => e.scrollHeight > e.clientHeight + 2).map((e) => `${e.className || e.tagName} by ${e.scrollHeight - e.clientHeight} px`));
      // A title may run as long as its author likes: then it alone is cut.
      assert.deepEqual(cut.filter((what) => name.startsWith("a title") ? !/^(H1|long) /.test(what) : true), []);
      await page.close();
    });

    test("nothing printed lies on something else", async () => {
      const page = await open(browser, results.get(name).sheet);
      await page.emulateMediaType("print");
      await page.setViewport({ width: 718, height: 994 }); // what Letter leaves, the shorter of the two
      const collisions = await page.evaluate(() => {
        const box = (e) => e.getBoundingClientRect();
        const meet = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
        const found = [];
        // the parts of the page one below the other, and each verdict above its reason
        const parts = [...document.querySelectorAll(".page > *")].filter((e) => box(e).height > 0);
        for (let i = 0; i + 1 < parts.length; ++i)
          if (meet(box(parts[i]), box(parts[i + 1]))) found.push(`${parts[i].className} on ${parts[i + 1].className}`);
        for (const verdict of document.querySelectorAll(".strip b")) {
          const reason = verdict.closest("section").querySelector(".reason");
          if (reason && meet(box(verdict), box(reason))) found.push(`${verdict.textContent} on its reason`);
        }
        // drawings and tables stay within their row, and a map that is drawn can be read
        const row = document.querySelector(".plots");
        for (const part of row?.querySelectorAll("table, svg") ?? [])
          if (box(part).height > 0 && (box(part).top < box(row).top - 1 || box(part).bottom > box(row).bottom + 1)) found.push(`${part.className.baseVal ?? part.className} beyond its row`);
        for (const word of document.querySelectorAll(".map svg text"))
          if (box(word).height > 0 && box(word).height < 5) found.push(`"${word.textContent}" is too small to read`);
        return found;
      });
      assert.deepEqual(collisions, []);
      await page.close();
    });

    test("sheet is black, grey and white", async () => {
      const page = await open(browser, results.get(name).sheet);
      const colours = await page.$$eval("svg *", (all) => [
        ...new Set(all.flatMap((e) => [getComputedStyle(e).fill, getComputedStyle(e).stroke])),
      ]);
      for (const colour of colours) {
        const rgb = colour.match(/^rgba?\((\d+), (\d+), (\d+)/);
        if (rgb) assert.ok(rgb[1] === rgb[2] && rgb[2] === rgb[3], colour);
      }
      await page.close();
    });
  });
