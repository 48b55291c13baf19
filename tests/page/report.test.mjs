import assert from "node:assert/strict";
import { readFileSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, describe, test } from "node:test";
import { harden, launch, open } from "./browser.mjs";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const cases = ["drop_point_o1", "field_knife_80crv2", "petty_1084_vegetable", "slicer_52100_foil_on", "tapered_bar_quench"];
let browser;
const results = new Map();

before(async () => {
  browser = await launch();
  for (const name of cases) results.set(name, harden(name));
});
after(async () => {
  await browser?.close();
  for (const result of results.values()) result.remove();
});

/** Findings of the accessibility checker that it calls serious or critical. */
async function seriousFindings(page) {
  // The checker goes in by the debugger, which the page's policy does not bind.
  await page.evaluate(axeSource);
  const { violations } = await page.evaluate(() => globalThis.axe.run());
  return violations
    .filter((v) => ["serious", "critical"].includes(v.impact))
    .map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 3).join("; ")}`);
}

for (const name of cases)
  describe(name, () => {
    test("report opens from its file without a complaint or an outside request", async () => {
      const page = await open(browser, results.get(name).report);
      assert.deepEqual(page.complaints, []);
      assert.deepEqual(await page.evaluate(() => globalThis.violations), []);
      assert.ok(statSync(results.get(name).file).size <= 3e6, "report above 3 MB");
      await page.close();
    });

    for (const dark of [false, true])
      test(`no serious accessibility finding, ${dark ? "dark" : "light"}`, async () => {
        for (const address of [results.get(name).report, results.get(name).sheet]) {
          const page = await open(browser, address, { dark });
          assert.deepEqual(await seriousFindings(page), []);
          await page.close();
        }
      });

    test("report and sheet give the same verdicts, those of the draws", async () => {
      const words = (page) => page.$$eval(".strip b", (all) => all.map((e) => e.textContent.replace(/[^A-Z]/g, "")));
      const report = await open(browser, results.get(name).report);
      const sheet = await open(browser, results.get(name).sheet);
      const verdicts = await words(report);
      assert.deepEqual(await words(sheet), verdicts);
      const told = await report.$$eval(".entries.wide dt", (all) =>
        all.filter((e) => /^[A-Z]+$/.test(e.textContent)).map((e) => e.nextElementSibling.textContent.match(/^[A-Z]+/)[0]));
      assert.deepEqual(told, verdicts);
      const risks = (page, where) => page.$$eval(where + " strong", (all) => all.map((e) => e.textContent.replace(/[^A-Z]/g, "")));
      const dangers = await risks(report, ".strip"); // bow, crack, oil, edge
      assert.equal(dangers.length, name === "tapered_bar_quench" ? 0 : 4); // that steel does not transform
      assert.deepEqual(await risks(sheet, ".risks"), dangers);
      await report.close();
      await sheet.close();
    });

    test("nothing is wider than a phone", async () => {
      for (const address of [results.get(name).report, results.get(name).sheet]) {
        const page = await open(browser, address, { width: 360, height: 740 });
        const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        assert.ok(over <= 0, `${over} px wider than the screen`);
        await page.close();
      }
    });

    test("no words of a drawing are cut off by its frame", async () => {
      const page = await open(browser, results.get(name).report);
      const cut = await page.evaluate(() =>
        [...document.querySelectorAll("svg text")]
          .filter((t) => t.getBoundingClientRect().width > 0)
          .filter((t) => {
            const a = t.getBoundingClientRect(), b = t.ownerSVGElement.getBoundingClientRect();
            return a.left < b.left - 1 || a.right > b.right + 1 || a.top < b.top - 1 || a.bottom > b.bottom + 1;
          })
          .map((t) => t.textContent));
      assert.deepEqual(cut, []);
      await page.close();
    });
  });

describe("what the script adds", () => {
  const address = () => results.get("drop_point_o1").report;
  const visible = (page, selector) =>
    page.$$eval(selector, (all) => all.filter((e) => e.getClientRects().length > 0).length);

  test("one temperature scale can be chosen, and both again", async () => {
    const page = await open(browser, address());
    assert.ok((await visible(page, ".tC")) > 0 && (await visible(page, ".tF")) > 0);
    await page.click('button[data-kind="temperature"][data-value="F"]');
    assert.equal(await visible(page, ".tC"), 0);
    assert.ok((await visible(page, ".tF")) > 0 && (await visible(page, ".onlyF")) > 0);
    assert.match(await page.$eval("figure[data-frames] output", (e) => e.textContent), /°F/);
    assert.doesNotMatch(await page.$eval("figure[data-frames] output", (e) => e.textContent), /°C/);
    await page.click('button[data-kind="temperature"][data-value="C"]');
    assert.equal(await visible(page, ".tF"), 0);
    await page.click('button[data-kind="temperature"][data-value=""]');
    assert.ok((await visible(page, ".tC")) > 0 && (await visible(page, ".tF")) > 0);
    assert.deepEqual(page.complaints, []);
    await page.close();
  });

  test("one length unit can be chosen", async () => {
    const page = await open(browser, address());
    await page.click('button[data-kind="length"][data-value="in"]');
    assert.equal(await visible(page, ".tM"), 0);
    assert.ok((await visible(page, ".tI")) > 0);
    await page.close();
  });

  test("the slider moves the field through time", async () => {
    const page = await open(browser, address());
    const state = () =>
      page.$eval("figure[data-frames]", (f) => ({
        said: f.querySelector("output").textContent,
        colours: [...f.querySelectorAll("g.map path")].map((p) => p.getAttribute("fill")).join(),
      }));
    const middle = await state();
    assert.match(middle.said, /^bath, /); // the moment with most to see
    await page.focus('input[type="range"]');
    await page.keyboard.press("Home");
    const start = await state();
    assert.match(start.said, /^furnace, 0 s in: edge 20 °C \(68 °F\)/);
    assert.notEqual(start.colours, middle.colours);
    await page.keyboard.press("End");
    assert.match((await state()).said, /^temper 2, /);
    await page.close();
  });

  test("the script draws the moment shown as the program did", async () => {
    const drawn = await open(browser, address(), { scripts: false });
    const scripted = await open(browser, address());
    const colours = (page) =>
      page.$$eval("figure[data-frames] g.map path", (all) =>
        all.map((p) => [1, 3, 5].map((k) => parseInt(p.getAttribute("fill").slice(k, k + 2), 16))));
    const [a, b] = [await colours(drawn), await colours(scripted)];
    assert.equal(a.length, b.length);
    // 64 colours in the page, 121 in the program: a step of either is at most 8 of 255 at the steep end
    for (let k = 0; k < a.length; ++k)
      for (let c = 0; c < 3; ++c) assert.ok(Math.abs(a[k][c] - b[k][c]) <= 8, `piece ${k}: ${a[k]} ${b[k]}`);
    await drawn.close();
    await scripted.close();
  });

  test("the pointer reads off curves", async () => {
    const page = await open(browser, address());
    const chart = await page.$("#s1-cooling-title");
    const box = await page.evaluate((e) => {
      e.ownerSVGElement.scrollIntoView({ block: "center" });
      const { left, top, width, height } = e.ownerSVGElement.getBoundingClientRect();
      return { left, top, width, height };
    }, chart);
    await page.mouse.move(box.left + box.width / 2, box.top + box.height / 2);
    const tip = await page.$eval("#tip", (e) => (e.hidden ? "" : e.textContent));
    assert.match(tip, / s\n(.*\n)*spine: \d+ °C \(\d+ °F\)/);
    await page.close();
  });

  test("on a phone every zone is seen, the one that limits too", async () => {
    const page = await open(browser, address(), { width: 390, height: 740 });
    const beyond = await page.$$eval(".scroll:has(table:not(.words))", (all) => all.filter((e) => e.scrollWidth > e.clientWidth + 1).length);
    assert.equal(beyond, 0);
    await page.close();
  });

  test("strips of what-if are there where something changes, in the colour of the verdict", async () => {
    const page = await open(browser, address());
    assert.ok((await visible(page, 'svg[aria-labelledby^="what-if-"]')) >= 2);
    const plain = await page.$$eval('svg[aria-labelledby^="what-if-"]', (all) => all.filter((svg) => !svg.querySelector(".f-pass, .f-marginal, .f-fail")).length);
    assert.equal(plain, 0);
    const same = await page.$$eval('svg[aria-labelledby^="what-if-"]', (all) =>
      all.map((svg) => svg.querySelector("desc")?.textContent.split(". ").filter((one) => one.includes(":")).map((one) => one.split(": ")[1])).filter((told) => told && new Set(told).size < 2).length);
    assert.equal(same, 0);
    await page.close();
  });

  test("without scripts everything is there but the controls", async () => {
    const page = await open(browser, address(), { scripts: false });
    assert.equal(await visible(page, ".bar"), 0);
    assert.equal(await visible(page, 'input[type="range"]'), 0);
    assert.ok((await visible(page, "figure svg")) >= 10);
    await page.close();
  });
});
