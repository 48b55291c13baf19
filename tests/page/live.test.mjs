// The live page in a real browser, opened from its file.
import assert from "node:assert/strict";
import { readFileSync, statSync } from "node:fs";
import { createServer } from "node:http";
import { createRequire } from "node:module";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { launch, open as openPage, root } from "./browser.mjs";
import { cases, figures, missing, native, page as live, seeded } from "./live.mjs";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

describe("the live page", { skip: missing }, () => {
  let browser;
  before(async () => { browser = await launch(); });
  after(async () => browser?.close());

  const field = (path) => `[data-path="${path}"]`;
  const stage = (page, words, timeout = 60000) =>
    page.waitForFunction((w) => new RegExp(w).test(document.getElementById("stage").textContent), { timeout, polling: 30 }, words);
  const settled = (page) => stage(page, "^computed on the fine grid|^judged by|^as stated");
  // each with a storage of its own
  const begun = async (options, address = live.address) => {
    const page = await openPage(await browser.createBrowserContext(), address, options);
    await settled(page);
    return page;
  };
  const type = async (page, path, value) => {
    await page.$eval(field(path), (e) => { for (let at = e.closest("details"); at; at = at.parentElement.closest("details")) at.open = true; });
    await page.focus(field(path));
    await page.$eval(field(path), (e) => e.select());
    await page.keyboard.type(value);
  };
  const sound = async (page) => {
    // what the page itself asks for from its own memory
    assert.deepEqual(page.complaints.filter((c) => !/^request: blob:/.test(c)), []);
    assert.deepEqual(await page.evaluate(() => globalThis.violations), []);
  };
  test("is one file of at most 2 MB that asks nobody for anything", async () => {
    assert.ok(statSync(live.file).size <= 2e6, `${statSync(live.file).size} bytes`);
    const page = await begun();
    await stage(page, "^judged by 128 draws");
    await sound(page);
    await page.close();
  });

  test("answers in Chromium as the program does", async () => {
    const page = await begun();
    for (const { name, text, path } of cases.filter((one) => ["drop_point_o1", "petty_1084_vegetable", "plates_o2"].includes(one.name))) {
      const here = await page.evaluate(async (t) => {
        const packed = Uint8Array.from(atob(document.getElementById("module").textContent.trim()), (c) => c.charCodeAt(0));
        const module = await WebAssembly.compile(await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer());
        const worker = new Worker(URL.createObjectURL(new Blob([document.getElementById("worker").textContent], { type: "text/javascript" })));
        const said = (id) => new Promise((done) => worker.addEventListener("message", ({ data }) => { if (id === undefined ? data.ready : data.id === id && data.answer) done(data.answer); }));
        const ready = said();
        worker.postMessage({ module });
        await ready;
        const ask = (id, what, asked) => { const answer = said(id); worker.postMessage({ id, what, asked: JSON.stringify(asked) }); return answer; };
        await ask(1, "fine", { text: t });
        const { text: json } = JSON.parse(await ask(2, "json", {}));
        worker.terminate();
        return json;
      }, text);
      assert.deepEqual(figures(JSON.parse(here)), figures(native(path)), name);
    }
    await page.close();
  });

  test("typing changes the answer, local codes stand before it", async () => {
    const page = await begun();
    const order = await page.evaluate(() => Boolean(document.getElementById("before").compareDocumentPosition(document.getElementById("verdicts")) & 4));
    assert.ok(order);
    assert.match(await page.$eval("#before", (e) => e.textContent), /[Ll]ocal fire/);
    const verdict = () => page.$eval('.verdict[data-name="QUENCH"] b, .verdict[data-name="quench"] b, .verdict:nth-child(2) b', (e) => e.textContent);
    assert.match(await verdict(), /PASS/);
    await page.select(field("blade.steel"), "1095");
    await type(page, "blade.station[1].spine", "8 mm");
    await page.waitForFunction(() => /FAIL/.test(document.getElementById("verdicts").textContent), { timeout: 30000 });
    await settled(page);
    await sound(page);
    await page.close();
  });

  test("what a maker types is understood, and told in both units", async () => {
    const page = await begun();
    await type(page, "blade.station[1].spine", "1/8 in");
    await page.waitForFunction((f) => /3\.1[78] mm/.test(document.querySelector(f).echo.textContent), { timeout: 30000 }, field("blade.station[1].spine"));
    await type(page, "blade.station[1].width", "28,5");
    await type(page, "furnace.setpoint", "1475 F");
    await page.waitForFunction(() => /"1475 degF"/.test(document.getElementById("text").value), { timeout: 30000 });
    await settled(page);
    assert.match(await page.$eval("#settings", (e) => e.textContent), /802 °C \(1475 °F\) on the display/);
    const text = await page.$eval("#text", (e) => e.value);
    assert.match(text, /spine = "1\/8 in"/);
    assert.match(text, /width = "28\.5 mm"/);
    assert.match(text, /\[furnace\]\nsetpoint = "1475 degF"/);
    await sound(page);
    await page.close();
  });

  test("an error stands beside its field in the program's words, and goes when it is put right", async () => {
    const page = await begun();
    await type(page, "blade.station[1].edge", "9 mm");
    const error = () => page.$eval(field("blade.station[1].edge"), (e) => (e.error.hidden ? "" : e.error.textContent));
    await page.waitForFunction((f) => !document.querySelector(f).error.hidden, { timeout: 30000 }, field("blade.station[1].edge"));
    assert.match(await error(), /thicker than the spine/);
    assert.equal(await page.$eval(field("blade.station[1].edge"), (e) => e.getAttribute("aria-invalid")), "true");
    await type(page, "blade.station[1].edge", "0.5 mm");
    await page.waitForFunction((f) => document.querySelector(f).error.hidden, { timeout: 30000 }, field("blade.station[1].edge"));
    await settled(page);
    await sound(page);
    await page.close();
  });

  test("a case goes in as text, comes out the same, and travels in a link", async () => {
    const page = await begun();
    for (const name of ["two_blades_1084", "normalised_1095"]) {
      const { text } = cases.find((c) => c.name === name);
      await page.$eval("#as-text", (e) => { e.open = true; });
      await page.$eval("#text", (e, t) => { e.value = t; e.dispatchEvent(new Event("input")); }, text);
      await page.waitForFunction(() => !document.getElementById("verdicts").classList.contains("stale"), { timeout: 30000 });
      await settled(page);
      assert.equal(await page.$eval("#text", (e) => e.value), text);
      const before = await page.evaluate(() => location.hash); // the link of the case before, or none
      await page.click("#link");
      await page.waitForFunction((b) => location.hash.startsWith("#case=") && location.hash !== b, { timeout: 10000 }, before);
      const linked = await begun({}, await page.evaluate(() => location.href));
      assert.equal(await linked.$eval("#text", (e) => e.value), text);
      await linked.close();
    }
    await page.close();
  });

  test("the shop sheet is the program's, and the last case is there again after a reload", async () => {
    const page = await begun();
    await page.select(field("blade.steel"), "W2");
    await page.waitForFunction(() => /W2/.test(document.getElementById("text").value), { timeout: 30000 });
    await settled(page);
    await page.click("#sheet");
    await page.waitForSelector("#paper[open]", { timeout: 30000 });
    const frame = await (await page.$("#paper-frame")).contentFrame();
    await frame.waitForSelector(".strip", { timeout: 30000 });
    assert.match(await frame.$eval("body", (e) => e.textContent), /W2/);
    await page.click("#close");
    await page.click("#report");
    await page.waitForSelector("#paper[open]", { timeout: 30000 });
    const report = await (await page.$("#paper-frame")).contentFrame();
    await report.waitForSelector('.bar:not([hidden]) button', { timeout: 30000 }); // its own script runs
    await page.click("#close");
    await sound(page);
    await page.reload({ waitUntil: "load" });
    await settled(page);
    assert.equal(await page.$eval(field("blade.steel"), (e) => e.value), "W2");
    await page.close();
  });

  test("a question is answered with its cautions, and the setting goes into the case", async () => {
    const page = await begun();
    await page.click('[data-question="temper"]');
    await page.waitForSelector("#wish", { timeout: 60000 });
    assert.match(await page.$eval("#found .error", (e) => e.textContent), /no hardness is wanted; write it below/);
    await page.type("#wish", "58");
    await page.$$eval("#found button", (all) => all.at(-1).click());
    await page.waitForSelector("#found dl button", { timeout: 120000 });
    assert.match(await page.$eval("#found", (e) => e.textContent), /oven\d+ °C/);
    assert.ok((await page.$$eval("#found .cautions li", (all) => all.length)) > 0);
    await page.click("#found dl button");
    await page.waitForFunction(() => !/oven = "205 degC"/.test(document.getElementById("text").value), { timeout: 30000 });
    await settled(page);
    await sound(page);
    await page.close();
  });

  test("works by keyboard alone: steel, sizes, drag by arrows", async () => {
    const page = await begun();
    await page.$eval('[data-grip="blade.station[1].spine"]', (e) => e.focus());
    const before = await page.$eval(field("blade.station[1].spine"), (e) => e.value);
    await page.keyboard.press("ArrowUp");
    await page.waitForFunction((f, b) => document.querySelector(f).value !== b, { timeout: 30000 }, field("blade.station[1].spine"), before);
    assert.equal(await page.$eval(field("blade.station[1].spine"), (e) => e.value), "3.25 mm");
    await settled(page);
    assert.equal(await page.evaluate(() => document.activeElement.dataset.grip), "blade.station[1].spine");
    await page.close();
  });

  // What a step takes: a key 0.28 s, a mental preparation 1.35 s, a pointing 1.1 s (Card, Moran & Newell 1980, Commun.
  // ACM 23, 396-410). The waiting for answers is counted as it is on a calm machine by "how long it takes".
  const key_s = 0.28, mental_s = 1.35, pointing_s = 1.1, most_s = 60;
  const printed = async (page) => {
    await page.waitForFunction(() => document.getElementById("paper-frame").contentDocument?.querySelector(".strip"), { timeout: 60000 });
    await page.$eval("#paper-frame", (e) => { e.contentWindow.print = () => { globalThis.printed = true; }; });
  };
  const newBlade = { "blade.station[1].spine": "1/8 in", "blade.station[1].edge": "0,5", "blade.station[1].width": "28" };

  test("from a new blade to the printed sheet by keyboard alone, in under a minute of steps", async (t) => {
    const page = await begun();
    let keys = 0, thoughts = 0;
    const press = (key) => (++keys, page.keyboard.press(key));
    /** Tabs on until the element with this selector has the focus. */
    const tabTo = async (selector) => {
      ++thoughts;
      for (let k = 0; k < 80; ++k) {
        if (await page.evaluate((s) => document.activeElement?.matches(s), selector)) return;
        await press("Tab");
      }
      assert.fail(`no way by Tab to ${selector}`);
    };
    await tabTo(field("blade.steel"));
    for (const letter of "1084") await press(letter);
    for (const [path, value] of Object.entries(newBlade)) {
      await tabTo(field(path));
      for (const letter of value) await press(letter);
    }
    await page.waitForFunction(() => /steel = "1084"/.test(document.getElementById("text").value) && /spine = "1\/8 in"/.test(document.getElementById("text").value) && /edge = "0.5 mm"/.test(document.getElementById("text").value) && /width = "28 mm"/.test(document.getElementById("text").value), { timeout: 60000 });
    await settled(page);
    await tabTo("#sheet");
    await press("Enter");
    await printed(page);
    await tabTo("#print");
    await press("Enter");
    await page.waitForFunction(() => globalThis.printed, { timeout: 30000 });
    await press("Escape");
    await page.waitForSelector("#paper:not([open])", { timeout: 30000 });
    assert.ok(await page.evaluate(() => document.activeElement.id === "sheet"), "the focus comes back");
    const steps = keys * key_s + thoughts * mental_s;
    t.diagnostic(`${keys} keys, ${thoughts} thoughts: ${steps.toFixed(0)} s of steps`);
    assert.ok(steps < most_s, `${steps} s`);
    await sound(page);
    await page.close();
  });

  test("from a new blade to the printed sheet by touch alone, in under a minute of steps", async (t) => {
    const page = await begun({ width: 360, height: 740, touch: true });
    let taps = 0, keys = 0, thoughts = 0;
    const middleOf = async (selector) => {
      const box = await page.$eval(selector, (e) => { e.scrollIntoView({ block: "center" }); const { left, top, width, height } = e.getBoundingClientRect(); return { left, top, width, height }; });
      return [box.left + box.width / 2, box.top + box.height / 2];
    };
    const tap = async (selector) => { ++taps; ++thoughts; await page.touchscreen.tap(...(await middleOf(selector))); };
    await tap(field("blade.steel"));
    await page.select(field("blade.steel"), "1084"); // the list itself is the system's
    ++taps;
    await page.keyboard.press("Escape");
    for (const [path, value] of Object.entries(newBlade)) {
      await tap(field(path));
      await page.waitForFunction((f) => document.activeElement.matches(f), { timeout: 10000 }, field(path));
      await page.$eval(field(path), (e) => e.select()); // a double tap on a phone
      ++taps;
      keys += value.length;
      await page.keyboard.type(value); // of the screen's keyboard
    }
    await page.waitForFunction(() => /width = "28 mm"/.test(document.getElementById("text").value), { timeout: 60000 });
    await settled(page);
    // the spine is dragged with a finger
    const spine = () => page.$eval(field("blade.station[1].spine"), (e) => e.value), before = await spine();
    const [x, y] = await middleOf('[data-grip="blade.station[1].spine"] .grip');
    await page.touchscreen.touchStart(x, y);
    for (let k = 1; k <= 4; ++k) await page.touchscreen.touchMove(x, y - 3 * k);
    await page.touchscreen.touchEnd();
    ++taps;
    await page.waitForFunction((f, b) => document.querySelector(f).value !== b, { timeout: 30000 }, field("blade.station[1].spine"), before);
    assert.ok(parseFloat(await spine()) > 3.175, await spine());
    await settled(page);
    await tap("#sheet");
    await printed(page);
    await tap("#print");
    await page.waitForFunction(() => globalThis.printed, { timeout: 30000 });
    await tap("#close");
    await page.waitForSelector("#paper:not([open])", { timeout: 30000 });
    const steps = taps * pointing_s + keys * key_s + thoughts * mental_s;
    t.diagnostic(`${taps} touches, ${keys} keys, ${thoughts} thoughts: ${steps.toFixed(0)} s of steps`);
    assert.ok(steps < most_s, `${steps} s`);
    await sound(page);
    await page.close();
  });

  test("a further section is added, filled in, answered and taken out again", async () => {
    const page = await begun();
    await page.click("#add-section");
    await page.waitForSelector(field("blade.station[2].spine"), { timeout: 30000 });
    await type(page, "blade.station[2].spine", "2 mm");
    await page.waitForFunction(() => /\[\[blade\.station\]\]\nname = "section 2"[^[]*spine = "2 mm"|\[\[blade\.station\]\]\n[^[]*spine = "2 mm"[^[]*name = "section 2"/.test(document.getElementById("text").value), { timeout: 30000 });
    await stage(page, "^judged by 128 draws");
    assert.equal(await page.$$eval("#drawings h3", (all) => all.map((e) => e.textContent).join()), "middle of the blade,section 2");
    await page.click('[data-section="2"] button');
    await page.waitForFunction(() => !/section 2/.test(document.getElementById("text").value) && !document.querySelector("[data-section]"), { timeout: 30000 });
    await stage(page, "^judged by 128 draws");
    await sound(page);
    await page.close();
  });

  test("what is found for a step of a list is put into that step", async () => {
    const page = await begun();
    const text = readFileSync(join(root, "cases/normalised_1095.toml"), "utf8");
    await page.$eval("#text", (e, t) => { e.value = t; e.dispatchEvent(new Event("input")); }, text);
    await stage(page, "^judged by 128 draws");
    await page.click('[data-question="timer"]');
    const put = () => [...document.querySelectorAll("#found dd button")].find((e) => e.textContent === "Put it into the case");
    await page.waitForFunction(put, { timeout: 120000 });
    await page.evaluate(`(${put})().click()`);
    await page.waitForFunction(() => /name = "hardening"[^[]*timer = "\d+ min"/.test(document.getElementById("text").value), { timeout: 30000 });
    assert.equal((await page.$eval("#text", (e) => e.value)).match(/timer = "12 min"/g).length, 3); // of the heats before
    await stage(page, "^judged by 128 draws");
    assert.equal(await page.$$eval(".field.wrong", (all) => all.length), 0);
    await sound(page);
    await page.close();
  });

  test("what if: a drawing for each thing that changes the answer", async () => {
    const page = await begun();
    await page.click("#what-if");
    await page.waitForSelector("#found .gallery svg", { timeout: 120000 });
    const keys = await page.$$eval("#found figure", (all) => all.map((e) => e.dataset.key));
    assert.ok(keys.includes("oven") && keys.length >= 2, keys.join());
    await sound(page);
    await page.close();
  });

  test("why is it soft: from the file and the tester to a cause, its test and the next blade", async () => {
    const page = await begun();
    await page.click("#why-soft");
    await page.select("#why-file", "bites");
    await page.type("#why-q-edge", "45");
    await page.type("#why-q-spine", "44 HRC");
    await page.click("#why button");
    await page.waitForSelector("#why-told dl", { timeout: 120000 });
    assert.match(await page.$eval("#why-told .big", (e) => e.textContent), /^Most likely \(\d+ %\): /);
    assert.match(await page.$eval("#why-told", (e) => e.textContent), /The next blade, made the same way.*as quenched/);
    await page.$eval("#why-q-edge", (e) => { e.value = "99"; });
    await page.click("#why button");
    await page.waitForSelector("#why-told .error", { timeout: 60000 });
    assert.match(await page.$eval("#why-told .error", (e) => e.textContent), /0 HRC to 70 HRC/);
    await sound(page);
    await page.close();
  });

  const coupon = `format = 1
shop = "the shed"

[[coupon]]
steel = "O1"
temper = "205 degC"
hold = "120 min"
hardness = "58.5 HRC"
`;
  const giveJournal = async (page, text) => {
    await page.$eval("#shop", (e) => { e.open = true; });
    await page.evaluate((t) => { document.getElementById("journal").value = t; document.getElementById("take-journal").click(); }, text);
    await page.waitForFunction(() => document.querySelectorAll("#entries li").length > 0, { timeout: 60000 });
  };
  const rests = (page, words) => page.waitForFunction((w) => new RegExp(w).test(document.getElementById("rests-said").textContent), { timeout: 120000, polling: 50 }, words);

  test("the journal of a shop: written, learnt from, there after a reload, left out by a switch", async () => {
    const page = await begun();
    // a coarse grid, so that learning takes seconds
    await page.$eval("#text", (e) => { e.value += '\n[solver]\nalong = 24\ntolerance = "1 K"\n'; e.dispatchEvent(new Event("input")); });
    await settled(page);
    const plain = await page.$eval("#hardness", (e) => e.textContent);
    await giveJournal(page, coupon);
    await rests(page, "from 1 coupon of this shop");
    await settled(page);
    assert.notEqual(await page.$eval("#hardness", (e) => e.textContent), plain);
    await page.click("#note");
    await page.waitForSelector("#noting:not([hidden])");
    await page.type("#note-blade", "petty 7");
    await page.type("#note-seconds-to-oil", "soon");
    await page.type("#note-quenched-edge", "64,5");
    const write = () => page.$eval("#noting button[type=submit]", (e) => e.click());
    await write();
    await page.waitForSelector("#note-seconds-to-oil-error:not([hidden])", { timeout: 30000 });
    await page.$eval("#note-seconds-to-oil", (e) => { e.value = "3"; });
    await write();
    await page.waitForFunction(() => document.querySelectorAll("#entries li").length === 2, { timeout: 60000 });
    await rests(page, "from 1 blade and 1 coupon of this shop");
    await page.reload({ waitUntil: "load" });
    await rests(page, "from 1 blade and 1 coupon of this shop");
    const journal = await page.$eval("#journal", (e) => e.value);
    assert.match(journal, /blade = "petty 7"\ncase = "petty_7.toml"\nseconds_to_oil = "3 s"\nquenched = "edge 64.5 HRC"/);
    assert.match(await page.$eval("#shop-files", (e) => e.textContent), /Save petty_7.toml/);
    assert.match(await page.$eval("#shop-stated", (e) => e.textContent), /the shed: 1 blade, 1 coupon; learnt from 1 blade/);
    await page.click("#without");
    await rests(page, "left out");
    await settled(page);
    assert.equal(await page.$eval("#hardness", (e) => e.textContent), plain);
    // what is no journal is refused and changes nothing
    await page.evaluate(() => { document.getElementById("journal").value = "format = 1\n[always.blade]\n"; document.getElementById("take-journal").click(); });
    await page.waitForSelector("#journal-wrong:not([hidden])", { timeout: 30000 });
    assert.equal(await page.$$eval("#entries li", (all) => all.length), 2);
    await sound(page);
    await page.close();
  });

  test("a coupon is written down with its dents and a test block", async () => {
    const page = await begun();
    await page.$eval("#shop", (e) => { e.open = true; });
    await page.$eval("#note-coupon", (e) => e.click());
    await page.waitForSelector("#noting:not([hidden])");
    const put = (id, value) => page.$eval(`#note-${id}`, (e, v) => { e.value = v; }, value);
    const write = () => page.$eval("#noting button[type=submit]", (e) => e.click());
    const wrong = (id) => page.waitForSelector(`#note-${id}-error:not([hidden])`, { timeout: 30000 });
    for (const [id, value] of [["steel", "O1"], ["hold", "2 h"], ["hardness", "60,5"], ["dents", "many"], ["block", "60"], ["block-read", "61"]]) await put(id, value);
    await write();
    await wrong("temper"); // never told
    await wrong("dents");
    await put("temper", "400 °F");
    await put("dents", "3");
    await write();
    await rests(page, "from 1 coupon of this shop");
    const journal = await page.$eval("#journal", (e) => e.value);
    assert.match(journal, /\[\[coupon\]\]\ndate = "[0-9-]+"\nsteel = "O1"\ntemper = "204\.444[0-9]* degC"\nhold = "120 min"\ncycles = 1\nhardness = "60.5 HRC"\ndents = 3\nblock = "60 HRC"\nblock_read = "61 HRC"\n/);
    await sound(page);
    await page.close();
  });

  test("nothing typed is lost on a reload, not even what is wrong", async () => {
    const page = await begun();
    await page.click("#hold");
    await page.click('button[data-units="imperial"]');
    await type(page, "blade.station[1].edge", "9 mm");
    await page.waitForFunction((f) => !document.querySelector(f).error.hidden, { timeout: 30000 }, field("blade.station[1].edge"));
    await page.reload({ waitUntil: "load" });
    await page.waitForFunction((f) => document.querySelector(f)?.error?.hidden === false, { timeout: 60000 }, field("blade.station[1].edge"));
    assert.equal(await page.$eval(field("blade.station[1].edge"), (e) => e.value), "9 mm");
    assert.equal(await page.$eval('button[data-units="imperial"]', (e) => e.getAttribute("aria-pressed")), "true");
    await type(page, "blade.station[1].edge", "0.5 mm");
    await settled(page);
    await page.waitForSelector("#compared table", { timeout: 30000 }); // what was held is held
    await sound(page);
    await page.close();
  });

  test("a furnace's log goes in as a file, and a case follows it", async () => {
    const page = await begun();
    const { text } = cases.find((c) => c.name === "logged_5160");
    const log = /log = "([^"]*)"/.exec(text)[1];
    await (await page.$("#open")).uploadFile(join(cases.find((c) => c.name === "logged_5160").path, "..", log));
    await page.waitForFunction(() => /kept as a log/.test(document.getElementById("notice").textContent), { timeout: 30000 });
    await page.$eval("#text", (e, t) => { e.value = t; e.dispatchEvent(new Event("input")); }, text);
    await page.waitForFunction(() => /^(computed|judged)/.test(document.getElementById("stage").textContent) && /5160/.test(document.getElementById("text").value), { timeout: 60000 });
    await sound(page);
    await page.close();
  });

  test("1000 random edits leave no complaint", async () => {
    const page = await begun();
    const random = seeded(7);
    const paths = await page.$$eval("#strand [data-path]", (all) => all.map((e) => e.dataset.path));
    const values = ["", "3 mm", "1/8 in", "1475 F", "0", "-5", "1e9", "abc", "\"", "]", "[x]", "\u00e9", "60-62 HRC", "99999 h", "yes", "2", "'''", "20 degC", "0.3", "5 min"];
    for (let k = 0; k < 1000; ++k) {
      const path = paths[Math.floor(random() * paths.length)];
      await page.$eval(field(path), (e, share, value) => {
        if (e.tagName === "SELECT") {
          e.selectedIndex = Math.floor(share * e.options.length);
          e.dispatchEvent(new Event("change"));
        } else {
          e.value = value;
          e.dispatchEvent(new Event("input"));
        }
      }, random(), values[Math.floor(random() * values.length)]);
      if (k % 25 === 24) await page.waitForFunction(() => document.getElementById("stage").textContent !== "working…", { timeout: 60000 });
    }
    await page.click("#new");
    await settled(page);
    await page.waitForFunction(() => document.getElementById("failed").hidden && document.getElementById("verdicts").children.length > 2, { timeout: 60000 });
    await sound(page);
    await page.close();
  });

  test("a hostile or huge case gives a message, never a frozen page", async () => {
    const page = await begun();
    for (const text of ["a = [".repeat(5000), "x\u0000y", "a = 1\n".repeat(50000), "[blade]\nsteel = \"<img src=x onerror=alert(1)>\"\n"]) {
      await page.$eval("#text", (e, t) => { e.value = t; e.dispatchEvent(new Event("input")); }, text);
      await stage(page, "to be put right");
      assert.equal(await page.$$eval("#work img, #board img", (all) => all.length), 0);
    }
    const began = await page.evaluate(() => performance.now());
    await page.evaluate(() => new Promise((done) => setTimeout(done, 50)));
    assert.ok((await page.evaluate(() => performance.now())) - began < 2000);
    await page.click("#new");
    await settled(page);
    await sound(page);
    await page.close();
  });

  test("without storage, offline and with every other origin blocked everything else works", async () => {
    const page = await (await browser.createBrowserContext()).newPage();
    const blocked = [];
    await page.setRequestInterception(true);
    page.on("request", (request) => {
      if (request.url() === live.address || request.url().startsWith("blob:")) return request.continue();
      blocked.push(request.url());
      return request.abort();
    });
    await page.setOfflineMode(true);
    await page.evaluateOnNewDocument(() => Object.defineProperty(globalThis, "localStorage", { get() { throw new Error("none"); } }));
    await page.goto(live.address, { waitUntil: "load" });
    await settled(page);
    await giveJournal(page, coupon);
    await rests(page, "from 1 coupon");
    assert.match(await page.$eval("#shop-notice", (e) => e.textContent), /keeps nothing here: save shop.toml/);
    assert.deepEqual(blocked, []);
    await page.close();
  });

  for (const dark of [false, true])
    test(`no serious accessibility finding, ${dark ? "dark" : "light"}`, async () => {
      const page = await begun({ width: 360, height: 740, dark });
      const serious = async (view) => {
        const { violations } = await page.evaluate(() => globalThis.axe.run());
        assert.deepEqual(violations.filter((v) => ["serious", "critical"].includes(v.impact)).map((v) => `${view}: ${v.id}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 3).join("; ")}`), []);
      };
      await stage(page, "^judged by 128 draws");
      await page.evaluate(axeSource);
      await page.click("#hold");
      await giveJournal(page, coupon);
      await stage(page, "^judged by 128 draws");
      await page.click("#note");
      await page.click("#why-soft");
      await page.$$eval("details", (all) => { for (const one of all) one.open = true; });
      await page.waitForSelector("#moment-drawing svg", { timeout: 60000 });
      await serious("all that can be opened");
      await page.click("#what-if");
      await page.waitForSelector("#found .gallery svg", { timeout: 120000 });
      await type(page, "blade.station[1].edge", "9 mm");
      await page.waitForFunction((f) => !document.querySelector(f).error.hidden, { timeout: 30000 }, field("blade.station[1].edge"));
      await serious("what if, and an error");
      await type(page, "blade.station[1].edge", "0.5 mm");
      await settled(page);
      await page.$eval("#sheet", (e) => e.click());
      await page.waitForSelector("#paper[open]", { timeout: 30000 });
      await serious("the sheet");
      await page.close();
    });

  for (const width of [360, 768, 1400])
    test(`nothing is wider than the window at ${width} px, controls are thumb-sized`, async () => {
      const page = await begun({ width, height: 800 });
      await stage(page, "^judged by 128 draws");
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(over <= 0, `${over} px wider than the window`);
      const small = await page.$$eval("#work button, #board button, #work input[type=text], #work select", (all) =>
        all.filter((e) => e.getClientRects().length > 0 && e.getBoundingClientRect().height < 44).map((e) => e.id || e.textContent || e.dataset.path));
      assert.deepEqual(small, []);
      await page.$$eval("details", (all) => { for (const one of all) one.open = true; });
      await page.close();
    });

  test("works from a static server as from a file, and asks it for nothing more", async () => {
    const asked = [];
    const server = createServer((request, answer) => {
      asked.push(request.url);
      answer.writeHead(request.url === "/thinquench.html" ? 200 : 404, { "content-type": "text/html; charset=utf-8" });
      answer.end(request.url === "/thinquench.html" ? readFileSync(live.file) : "");
    });
    await new Promise((done) => server.listen(0, "127.0.0.1", done));
    try {
      const page = await begun({}, `http://127.0.0.1:${server.address().port}/thinquench.html`);
      await stage(page, "^judged by 128 draws");
      await sound(page);
      assert.deepEqual(asked.filter((url) => url !== "/thinquench.html"), []);
      await page.close();
    } finally {
      server.close();
    }
  });

  test("how long it takes", async (t) => {
    const page = await begun();
    await stage(page, "^judged by 128 draws");
    // When each kind of answer is first said after a change, seen as the page says it.
    await page.evaluate(() => {
      globalThis.seen = [];
      globalThis.changedAt = 0;
      new MutationObserver(() => {
        const words = document.getElementById("stage").textContent;
        const kind = /^coarse/.test(words) ? "coarse" : /^(fine|computed)/.test(words) ? "fine" : /^judged/.test(words) ? "bands" : "";
        if (kind && !globalThis.seen.some((one) => one.kind === kind && one.changedAt === globalThis.changedAt))
          globalThis.seen.push({ kind, changedAt: globalThis.changedAt, after: performance.now() - globalThis.changedAt });
      }).observe(document.getElementById("stage"), { childList: true, characterData: true, subtree: true });
      const change = () => { globalThis.changedAt = performance.now(); };
      addEventListener("input", change, true);
      addEventListener("pointermove", change, true);
      addEventListener("pointerup", change, true);
      globalThis.tasks = [];
      new PerformanceObserver((list) => globalThis.tasks.push(...list.getEntries().map((e) => Math.round(e.duration)))).observe({ type: "longtask" });
    });
    const middle = (all) => [...all].sort((a, b) => a - b)[all.length >> 1];
    const told = (kind) => page.evaluate((k) => globalThis.seen.filter((one) => one.kind === k).map((one) => one.after), kind);
    // 20 drags of the spine, each left in peace until its coarse answer
    const grip = await page.$('[data-grip="blade.station[1].spine"] .grip');
    await grip.evaluate((e) => e.scrollIntoView({ block: "center" }));
    const box = await grip.boundingBox();
    const x = box.x + box.width / 2, y = box.y + box.height / 2;
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let k = 1; k <= 20; ++k) {
      await page.mouse.move(x, y + (k % 2 ? 1 : -1) * (3 + (k % 5)));
      await stage(page, "^coarse");
    }
    const dragged = middle(await told("coarse"));
    await page.mouse.up();
    await settled(page);
    // 20 edits of a field, each until its fine answer
    await page.evaluate(() => { globalThis.seen = []; });
    for (let k = 0; k < 20; ++k) {
      await page.$eval(field("blade.station[1].spine"), (e, value) => { e.value = value; e.dispatchEvent(new Event("input", { bubbles: true })); }, `${(2.5 + 0.05 * k).toFixed(2)} mm`);
      await stage(page, "^fine|^computed");
    }
    const typed = middle(await told("coarse")), fine = middle(await told("fine"));
    await stage(page, "^judged by");
    const bands = (await told("bands")).at(-1), tasks = await page.evaluate(() => globalThis.tasks);
    t.diagnostic(`coarse ${dragged.toFixed(0)} ms dragged, ${typed.toFixed(0)} ms typed, fine ${fine.toFixed(0)} ms, 128 draws ${(bands / 1000).toFixed(1)} s, tasks over 50 ms: ${tasks.join(" ") || "none"}`);
    assert.ok(dragged < 2000 && fine < 8000); // generous: the machine may be busy with other tests
    await page.close();
  });
});
