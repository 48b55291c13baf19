// Pictures of every view of the live page, to be looked at: node pictures.mjs FOLDER [WIDTH...]
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { launch, open } from "./browser.mjs";
import { page as live } from "./live.mjs";

const [folder, ...asked] = process.argv.slice(2);
const widths = asked.length ? asked.map(Number) : [360, 768, 1400];
if (!folder) throw new Error("node pictures.mjs FOLDER [WIDTH...]");
mkdirSync(folder, { recursive: true });

const coupon = `format = 1
shop = "the shed"

[[coupon]]
date = "2026-02-28"
steel = "O1"
temper = "205 degC"
hold = "120 min"
cycles = 2
hardness = "60.5 HRC"
`;
const stage = (page, words) =>
  page.waitForFunction((w) => new RegExp(w).test(document.getElementById("stage").textContent), { timeout: 300000, polling: 100 }, words);

for (const dark of [false, true])
  for (const width of widths) {
    const browser = await launch();
    const page = await open(browser, live.address, { width, height: width < 600 ? 740 : 900, dark });
    const most = 1500; // of one picture: a longer one is cut into several
    const shot = async (name, element) => {
      const path = (part) => join(folder, `${name}${part}-${width}${dark ? "-dark" : ""}.png`);
      if (!element) return void (await page.screenshot({ path: path("") }));
      await page.addStyleTag({ content: ".foot { position: static !important; } #work { position: static !important; max-height: none !important; }" }).catch(() => {});
      const box = await page.$eval(element, (e) => { const { left, top, width, height } = e.getBoundingClientRect(); return { x: left + scrollX, y: top + scrollY, width, height }; });
      for (let k = 0; k * most < box.height; ++k)
        await page.screenshot({ path: path(box.height > most ? "abcdefghijklmnop"[k] : ""), captureBeyondViewport: true, clip: { ...box, y: box.y + k * most, height: Math.min(most, box.height - k * most) } });
    };
    await stage(page, "^judged by");
    await shot("1-first");
    await shot("2-answers", "#board");
    await page.evaluate(() => { for (const one of document.querySelectorAll("#strand details")) one.open = true; });
    await page.evaluate(() => scrollTo(0, 0));
    await shot("3-form", "#strand");
    await page.evaluate(() => { for (const one of document.querySelectorAll("#strand details")) one.open = false; });
    await page.click("#hold");
    await page.select('[data-path="blade.steel"]', "1084");
    await stage(page, "^judged by");
    await shot("4-compared", "#compared");
    await page.click("#shop summary");
    await page.evaluate((t) => { document.getElementById("journal").value = t; document.getElementById("take-journal").click(); }, coupon);
    await page.waitForFunction(() => document.querySelectorAll("#entries li").length > 0, { timeout: 60000 });
    await page.click("#note");
    await shot("5-journal", "#shop");
    await page.evaluate(() => { document.getElementById("shop").open = false; });
    await page.click('[data-question="temper"]');
    await page.waitForSelector("#wish", { timeout: 300000 });
    await page.type("#wish", "58");
    await page.$$eval("#found button", (all) => all.at(-1).click());
    await page.waitForSelector("#found dl", { timeout: 300000 });
    await shot("6-found", "#found");
    await page.click("#what-if");
    await page.waitForSelector("#found .gallery svg", { timeout: 300000 });
    await shot("7-what-if", "#found");
    await page.click("#why-soft");
    await page.type("#why-q-edge", "55");
    await page.click("#why button");
    await page.waitForSelector("#why-told dl", { timeout: 300000 });
    await shot("8-why", "#found");
    await page.$eval("#time", (e) => { e.open = true; });
    await page.waitForSelector("#moment-drawing svg", { timeout: 60000 });
    await shot("9-time", "#time");
    await page.click("#sheet");
    await page.waitForSelector("#paper[open]", { timeout: 60000 });
    await new Promise((done) => setTimeout(done, 500));
    await shot("10-sheet");
    await page.$eval("#close", (e) => e.click());
    await page.$eval('[data-path="blade.station[1].edge"]', (e) => { e.value = "9 mm"; e.dispatchEvent(new Event("input")); });
    await page.waitForFunction(() => document.querySelectorAll(".field.wrong").length > 0, { timeout: 60000 });
    await page.evaluate(() => scrollTo(0, 0));
    await shot("11-wrong");
    await browser.close();
  }
