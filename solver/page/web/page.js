// The page itself: a form made from the solver's table of keys, workers that compute, places for what they say.
// The text of the case is the one truth; a field changes its line in it.
(() => {
  "use strict";
  const $ = (id) => document.getElementById(id);
  const element = (tag, attributes = {}, ...children) => {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes))
      if (value === true) made.setAttribute(name, name);
      else if (value !== false && value != null) made.setAttribute(name, value);
    made.append(...children);
    return made;
  };
  // Texts of the solver come as HTML, escaped there.
  const markup = (html, tag = "span") => Object.assign(element(tag), { innerHTML: html });
  const list = (texts, style) => {
    const ul = element("ul", { class: style });
    for (const text of texts) ul.append(markup(text, "li"));
    return ul;
  };
  const store = {
    // A private window may have none: then nothing is kept, and nothing else changes.
    get: (key) => { try { return localStorage.getItem(key); } catch { return null; } },
    /** Whether it is kept. */
    set: (key, value) => { try { localStorage.setItem(key, value); return true; } catch { return false; } },
    object: (key) => { try { return JSON.parse(localStorage.getItem(key)) ?? undefined; } catch { return undefined; } },
  };

  // --- the solver in workers --------------------------------------------------------------------------------
  const unpack = async (base64) => {
    const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    return new Uint8Array(await new Response(stream).arrayBuffer());
  };
  const workerAddress = URL.createObjectURL(new Blob([$("worker").textContent], { type: "text/javascript" }));
  let moduleReady; // of the compiled module; compiled once, started in every worker
  class Stopped extends Error {}
  class Bench {
    constructor() { this.number = 0; this.waiting = new Map(); this.starting = 0; }
    /** Starts the worker; asked before, it is simply not waited for. */
    async start() {
      if (this.worker) return;
      const worker = (this.worker = new Worker(workerAddress));
      this.ready = new Promise((done, failed) => {
        this.giveUp = failed;
        worker.onmessage = ({ data }) => {
          if (data.ready) return done();
          const one = this.waiting.get(data.id);
          if (!one) return;
          if (data.known) return one.meanwhile(JSON.parse(data.known));
          this.waiting.delete(data.id);
          clearTimeout(one.watch);
          if (data.broken) {
            this.stop();
            one.failed(new Error(data.broken));
          } else one.done(JSON.parse(data.answer));
        };
        worker.onerror = (event) => { failed(new Error(event.message)); this.stop(); };
      });
      this.ready.catch(() => {}); // whoever waits for it is told
      worker.postMessage({ module: await moduleReady });
      for (const [path, text] of [...records, ...Object.entries(shop.files)]) this.ask("keep", { path, text }).catch(() => {});
      if (this !== learner && shop.journal && !shop.without) this.ask("journal", laid()).catch(() => {});
    }
    get busy() { return this.waiting.size + this.starting > 0; }
    /** The answer as an object, what is known of it before to `meanwhile`; an error after `patience` seconds. */
    async ask(what, asked = {}, patience = 60, meanwhile = () => {}) {
      let worker;
      ++this.starting;
      try {
        if (!this.worker) await this.start();
        worker = this.worker;
        await this.ready;
      } finally {
        --this.starting;
      }
      if (!worker || worker !== this.worker) throw new Stopped();
      return new Promise((done, failed) => {
        const id = ++this.number;
        const watch = setTimeout(() => {
          this.stop();
          failed(new Error(`This takes longer than ${patience} s in a browser; the program on a computer may still do it.`));
        }, 1000 * patience);
        this.waiting.set(id, { done, failed, watch, meanwhile });
        worker.postMessage({ id, what, asked: JSON.stringify(asked) });
      });
    }
    /** Ends the worker in the middle of whatever it does; the next question starts another. */
    stop() {
      this.worker?.terminate();
      this.worker = undefined;
      this.giveUp?.(new Stopped());
      for (const { failed, watch } of this.waiting.values()) { clearTimeout(watch); failed(new Stopped()); }
      this.waiting.clear();
    }
  }
  const records = new Map(); // of the maker's own, by the path that a case names
  // The shop's journal, the cases and logs that it names, what was learnt of it.
  const shop = { journal: "", files: {}, learnt: "", bar: "", without: false, ...store.object("thinquench.shop") };
  const laid = () => ({ journal: shop.without ? "" : shop.journal, learnt: shop.learnt, bar: shop.bar });
  const live = new Bench(), fine = new Bench(), seeker = new Bench(), learner = new Bench();
  const drawers = Array.from({ length: Math.max(2, Math.min(4, (navigator.hardwareConcurrency || 2) - 1)) }, () => new Bench());

  // --- the case ---------------------------------------------------------------------------------------------
  const beginning = `format = 1
[blade]
steel = "O1"
length = "110 mm"

[[blade.station]]
name = "middle of the blade"
width = "30 mm"
spine = "3.2 mm"
edge = "0.6 mm"

[wrap]
foil = "stainless"

[bath]
coolant = "medium-oil"

[temper]
oven = "205 degC"
`;
  let text = beginning; // as the solver gave it back last
  let edits = new Map(); // typed since, by path
  let version = 0; // counts changes
  let form; // fields, stocks, examples, questions
  const inputs = new Map(); // by path
  let held = store.object("thinquench.held"); // the case that others are compared with: text, first
  let shown; // what the board shows: version, text, first, stated answers for the draws
  const waiting = ["fears", "settings", "drawings", "more"]; // pieces that only a fine answer has
  const imperial = () => document.documentElement.dataset.units === "imperial";

  const notice = (message) => {
    $("notice").hidden = !message;
    $("notice").textContent = message;
  };
  const changed = () => {
    ++version;
    for (const id of ["verdicts", ...waiting]) $(id).classList.add("stale");
    stopDraws();
    follow();
  };
  const setText = (next) => {
    text = next;
    edits.clear();
    for (const input of inputs.values()) input.touched = false;
    changed();
  };
  const setField = (path, value) => {
    edits.set(path, value);
    const input = inputs.get(path);
    if (input && input !== document.activeElement) input.value = value;
    changed();
  };

  // --- coarse at once, fine after, bands last -----------------------------------------------------------------
  let following = false;
  let share; // told by the solver, for the next answer of a case like this one
  /** Answers the newest state of the case; changes made meanwhile are answered next, those between never. */
  async function follow() {
    if (following) return;
    following = true;
    let done = -1;
    while (done !== version) {
      const now = version, sent = new Map(edits), asked = { text, edits: Object.fromEntries(sent), imperial: imperial(), share };
      $("stage").textContent = "working…";
      // Both at once, in workers of their own; while something is dragged only the coarse one follows.
      if (!grips?.held) refine(now, asked);
      try {
        const answer = await live.ask("live", asked, 30);
        share = answer.share ?? share;
        if (text === asked.text) text = answer.text ?? text; // not when another was opened meanwhile
        for (const [path, value] of sent) if (edits.get(path) === value) edits.delete(path);
        done = now;
        if (now === version) tellLive(answer, fineTold === now);
      } catch (error) {
        done = now;
        if (!(error instanceof Stopped)) tellFailure(error.message);
      }
    }
    following = false;
  }

  let fineTold = -1; // the version whose verdicts on the fine grid are shown
  async function refine(now, asked) {
    clearTimeout(pause);
    // What still runs is for a case that is no longer wanted.
    if (fine.busy) fine.stop();
    const current = () => now === version;
    let answer;
    try {
      answer = await fine.ask("fine", asked, 120, (first) => {
        if (!current()) return;
        fineTold = now;
        tellFirst(first, "fine answer, its margins follow", true);
      });
    } catch (error) {
      if (!(error instanceof Stopped) && current()) tellFailure(error.message);
    }
    // What is wrong with the case is told by the coarse answer, beside the fields.
    if (!answer || answer.problems || !current()) return;
    if (answer.failed) return tellFailure(answer.failed);
    fineTold = now;
    share = answer.share ?? share;
    shown = { version: now, text: answer.text, answer };
    tellFirst(answer.first, "computed on the fine grid, " + answer.first.judged);
    tellFine(answer);
    pause = setTimeout(() => draw(now, answer), 500);
  }

  let drawing = 0, pause;
  function stopDraws() {
    clearTimeout(pause);
    ++drawing;
    $("draws").hidden = $("stop").hidden = true;
  }
  /** The bands: members are shared by the workers one by one, so that a change stops them within one. */
  async function draw(now, answer) {
    if (now !== version) return;
    const mine = ++drawing, members = 128, pieces = [];
    let next = 0, finished = 0, failure = "";
    $("draws").hidden = $("stop").hidden = false;
    $("draws").value = 0;
    const plan = { text: shown.text, timer: answer.timer, spare: answer.spare, members };
    const work = async (bench) => {
      const { pieces: count } = await bench.ask("draws", plan);
      while (mine === drawing && next < count) {
        const number = next++;
        const piece = await bench.ask("piece", { number });
        pieces[number] = piece.numbers ?? "";
        failure ||= piece.failure ?? "";
        $("draws").value = ++finished / count;
        $("stage").textContent = `as stated; drawing what may be otherwise: ${finished} of ${count}`;
      }
      return count;
    };
    try {
      const [count] = await Promise.all(drawers.map(work));
      if (mine !== drawing || finished < count) return;
      const judged = await fine.ask("reduce", { pieces, members, failure });
      if (mine !== drawing) return;
      if (judged.failed || judged.problems) throw new Error(judged.failed ?? judged.problems[0].message);
      shown.judged = judged;
      tellFirst(judged.first, judged.first.judged);
      tellWords(judged.words);
    } catch (error) {
      if (mine === drawing && !(error instanceof Stopped)) $("stage").textContent = `as stated; no bands: ${error.message}`;
    }
    if (mine === drawing) $("draws").hidden = $("stop").hidden = true;
  }

  // --- what is told -------------------------------------------------------------------------------------------
  function tellFailure(message) {
    $("failed").hidden = !message;
    $("failed").textContent = message ?? "";
    if (message) $("stage").textContent = "no answer";
  }
  function tellLive(answer, fineIsTold) {
    if ($("text") !== document.activeElement) $("text").value = text;
    if (text.length <= 200000) store.set("thinquench.now", text);
    tellSections(answer.values ?? {});
    for (const [path, input] of inputs) {
      const value = answer.values?.[path] ?? "";
      if (input !== document.activeElement && !edits.has(path)) {
        if (input.tagName === "SELECT" && value && ![...input.options].some((o) => o.value === value))
          input.append(element("option", { value }, value));
        input.value = value;
      }
      const used = answer.echoes?.[path];
      if (answer.echoes) {
        if (input.tagName === "SELECT") input.options[0].textContent = used && !value ? `${used} (usual)` : "usual";
        else input.placeholder = used ?? "";
        input.echo.textContent = value && used && used !== value ? `= ${used}` : "";
      }
    }
    tellSummaries(answer.values ?? {});
    const problems = [...(answer.problems ?? []), ...(answer.refused ?? [])];
    const elsewhere = [];
    for (const input of inputs.values()) input.wrong = "";
    for (const { path, line, message } of problems) {
      const input = inputs.get(path);
      if (input) input.wrong += (input.wrong ? " " : "") + message;
      else elsewhere.push((path ? `${path}: ` : "") + message + (line ? ` (line ${line} of the text)` : ""));
    }
    for (const input of inputs.values()) {
      input.field.classList.toggle("wrong", Boolean(input.wrong));
      input.setAttribute("aria-invalid", String(Boolean(input.wrong)));
      input.error.textContent = input.wrong;
      input.error.hidden = !input.wrong;
      if (input.wrong) for (let at = input.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
    }
    $("refused").hidden = elsewhere.length === 0;
    $("refused").textContent = elsewhere.join("\n");
    tellFailure(answer.failed);
    if (problems.length) {
      $("stage").textContent = problems.length > 1 ? `${problems.length} things in the case are to be put right` : "one thing in the case is to be put right";
      $("foot").replaceChildren($("stage").textContent);
      return;
    }
    if (answer.failed) return;
    if (!fineIsTold) tellFirst(answer.first, "coarse answer, the fine one follows", true);
    if (answer.outline) drawSection(answer.outline);
    keepSoon(answer.first.title);
  }
  /** What stands first. A coarse answer has no margins yet: what is feared and set waits for the fine one. */
  function tellFirst(first, stage, coarse = false) {
    $("before").innerHTML = first.before.join(" ");
    $("before").hidden = !first.before.length;
    $("rests").hidden = !shop.journal;
    $("rests-said").textContent = first.rests ? `These answers know the shop, ${first.rests}.` : shop.without ? "The shop's journal is left out." : "The shop's journal has nothing to say of this case yet.";
    $("stage").textContent = stage;
    $("verdicts").classList.remove("stale");
    // the one answer, where the solver gives one
    const { decision } = first;
    $("decision").hidden = !decision || coarse;
    if (decision)
      $("decision").replaceChildren(
        element("strong", { class: decision.verdict }, decision.word), markup(decision.because, "p"),
        ...(decision.changes.length ? [list(decision.changes.map((one) => one.replace(/ \(`[^`]*`\)/g, "")), "plain")] : []));
    $("verdicts").replaceChildren(
      ...first.verdicts.map((v) =>
        element("div", { class: `verdict ${v.verdict}`, "data-name": v.name },
          element("div", { class: "name" }, element("span", {}, v.name), element("b", { class: v.verdict }, `${sign[v.verdict]} ${v.word}`)),
          markup(v.reason, "p"))));
    $("hardness").innerHTML = first.hardness;
    for (const id of waiting) $(id).classList.toggle("stale", coarse);
    if (!coarse) $("fears").replaceChildren(...(first.fears.length ? [element("h3", {}, "What to fear"), list(first.fears, "plain")] : []));
    $("foot").replaceChildren(...first.verdicts.map((v) => element("span", { class: v.verdict }, `${v.name} ${sign[v.verdict]} ${v.word}`)));
    if (!coarse) {
      compare(first);
      const said = `${stage}: ` + first.verdicts.map((v) => `${v.name} ${v.word}`).join(", ");
      if ($("said").textContent !== said) $("said").textContent = said;
    }
    $("hold").disabled = false;
  }
  // What is looked at first; the rest can be opened.
  const looked = ["hardness", "cooling", "diagram", "curve", "whole", "bow"];
  let moreOpen = false;
  const sign = { pass: "✓", marginal: "!", fail: "✕" };
  function tellFine(answer) {
    for (const id of ["sheet", "report"]) $(id).disabled = false;
    $("drawings").replaceChildren(
      ...answer.stations.map((station) => {
        const gallery = element("div", { class: "gallery" }), others = element("div", { class: "gallery" });
        for (const one of station.drawings) {
          const figure = element("figure", { "data-key": one.key }, element("h4", {}, one.title), markup(one.svg, "div"));
          if (one.caption) figure.append(markup(one.caption, "figcaption"));
          (looked.includes(one.key) ? gallery : others).append(figure);
        }
        const more = element("details", { open: moreOpen }, element("summary", {}, `${others.childElementCount} more drawings`), others);
        more.addEventListener("toggle", () => { moreOpen = more.open; });
        return element("div", {}, ...(answer.stations.length > 1 ? [element("h3", {}, station.name)] : []), ...(station.alike ? [markup(station.alike, "p")] : []), gallery, ...(others.childElementCount ? [more] : []));
      }));
    const before = moments.length;
    moments = answer.moments[0] ?? [];
    $("time").hidden = moments.length === 0;
    $("moment").max = String(Math.max(0, moments.length - 1));
    if (!before) $("moment").value = String(Math.max(0, moments.findIndex((one) => /^bath/.test(one.said)) + 2)); // where most is to be seen
    if ($("time").open) tellMoment();
    tellWords(answer.words);
  }
  function tellWords(words) {
    $("settings").innerHTML = words.settings;
    const more = [];
    const add = (heading, ...content) => more.push(element("h3", {}, heading), ...content);
    if (words.sure) add("How sure, and what makes it unsure", markup(words.sure, "div"));
    for (const station of words.stations) {
      add(words.stations.length > 1 ? `Zones: ${station.name}` : "Zone by zone", markup(station.table, "div"));
      if (station.notes) add("For the hand that grinds, files and looks", markup(station.notes, "div"));
    }
    if (words.risks) add("Bow and cracks", markup(words.risks, "div"));
    if (words.warnings.length) add("Warnings", list(words.warnings, "plain"));
    if (words.cautions.length) add("Cautions", list(words.cautions, "cautions"));
    if (words.assumptions.length) add("Assumed and left out", list(words.assumptions, "plain"));
    $("more").replaceChildren(...more);
  }
  let moments = [], asking = false, askedAgain = false;
  async function tellMoment() {
    if (asking) return void (askedAgain = true);
    asking = true;
    do {
      askedAgain = false;
      const number = Number($("moment").value);
      $("moment-said").innerHTML = moments[number]?.said ?? "";
      $("moment").setAttribute("aria-valuetext", $("moment-said").textContent);
      try {
        const { svg } = await fine.ask("moment", { station: 0, number });
        if (svg) $("moment-drawing").innerHTML = svg;
      } catch { /* the case changed */ }
    } while (askedAgain);
    asking = false;
  }

  function compare(first) {
    $("hold").textContent = held ? "End the comparison" : "Compare from here";
    $("swap").hidden = !held;
    if (!held) return void $("compared").replaceChildren();
    const was = held.first;
    const rows = [];
    const row = (name, one, other) =>
      rows.push(element("tr", { class: one === other ? "" : "moved" }, element("th", { scope: "row" }, name), markup(one ?? "–", "td"), markup(other ?? "–", "td")));
    const by = (all, name) => all.find((one) => one.name === name);
    for (const name of new Set([...was.verdicts, ...first.verdicts].map((v) => v.name)))
      row(name, by(was.verdicts, name)?.word, by(first.verdicts, name)?.word);
    row("hardness", was.hardness, first.hardness);
    for (const name of new Set([...was.settings, ...first.settings].map((s) => s.name)))
      row(name, by(was.settings, name)?.value, by(first.settings, name)?.value);
    $("compared").replaceChildren(
      element("table", {}, element("thead", {}, element("tr", {}, element("th", { scope: "col" }, ""), element("th", { scope: "col" }, "held"), element("th", { scope: "col" }, "now"))), element("tbody", {}, ...rows)));
  }

  // --- the form -----------------------------------------------------------------------------------------------
  const stations = [
    { key: "blade", title: "The blade", first: ["blade.steel", "blade.station[1].spine", "blade.station[1].edge", "blade.station[1].width"], tables: ["", "blade", "blade.station[1]", "start"] },
    { key: "fire", title: "Foil and fire", first: ["wrap.foil"], tables: ["furnace", "furnace.support", "wrap", "surface"] },
    { key: "way", title: "From fire to bath", first: [], tables: ["transfer"] },
    { key: "bath", title: "The bath", first: ["bath.coolant"], tables: ["bath", "bath.plates", "second_bath", "second_bath.plates", "cool"] },
    { key: "oven", title: "The oven", first: [], tables: ["temper"] },
    { key: "wish", title: "What you want, and how well you know it", first: [], tables: ["wish", "verdict", "uncertainty", "solver"] },
  ];
  const tableNames = { "": "The case", blade: "Blade", "blade.station[1]": "Its section", start: "Its state at the start", furnace: "Furnace", "furnace.support": "A slotted support", wrap: "Foil", surface: "Surface of the steel", transfer: "The way", bath: "Bath", "bath.plates": "Plates instead", second_bath: "A second bath", "second_bath.plates": "Second, plates", cool: "Cooling before the temper", temper: "Temper", wish: "Wishes", verdict: "Where the verdicts change", uncertainty: "How well you know it", solver: "The solver" };
  const firstNames = { "blade.steel": "Steel", "blade.station[1].spine": "Thickness at the spine", "blade.station[1].edge": "Thickness at the edge", "blade.station[1].width": "Width, spine to edge", "wrap.foil": "Foil", "bath.coolant": "Oil or other bath" };

  /** "O1 (ASTM A681, UNS T31501)": what the maker knows it by first, without what it is only close to. */
  const stockName = (key, title) => {
    const short = title.replace(/;.*/, "");
    return short.toLowerCase().startsWith(key.toLowerCase()) ? short : `${key}: ${short}`;
  };
  function fieldOf(field, wide) {
    const id = "f-" + field.path.replace(/[^a-z0-9]+/gi, "-");
    const name = firstNames[field.path] ?? field.path.replace(/.*\./, "").replaceAll("_", " ");
    let input;
    const options = field.stock ? [...field.words.map((key) => ({ key })), ...form.stocks[field.stock]]
      : field.kind === "flag" ? [{ key: "true", title: "yes" }, { key: "false", title: "no" }]
      : field.kind === "choice" ? field.words.map((key) => ({ key })) : undefined;
    if (options) {
      input = element("select", {}, element("option", { value: "" }, "usual"));
      for (const { key, title } of options)
        input.append(element("option", { value: key }, field.kind === "flag" ? title : title ? stockName(key, title) : key));
      input.addEventListener("change", () => setField(field.path, input.value));
    } else {
      input = element("input", { type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false", enterkeyhint: "next" });
      input.addEventListener("input", () => setField(field.path, input.value));
      input.addEventListener("change", () => { setField(field.path, input.value); });
    }
    input.id = id;
    input.dataset.path = field.path;
    input.error = element("p", { class: "error", id: id + "-error", hidden: true });
    input.echo = element("p", { class: "echo", id: id + "-echo" });
    const says = [field.says, field.kind !== "choice" && field.allowed ? field.allowed : ""].filter(Boolean).join("; ");
    input.setAttribute("aria-describedby", `${id}-error ${id}-echo ${says ? id + "-says" : ""}`.trim());
    input.field = element("div", { class: wide ? "field wide" : "field" }, element("label", { for: id }, name), input, input.error, input.echo);
    if (says && !firstNames[field.path]) input.field.append(element("p", { class: "says", id: id + "-says" }, says));
    else if (says) input.field.append(element("p", { class: "says hidden", id: id + "-says" }, says));
    inputs.set(field.path, input);
    return input.field;
  }
  const summaries = []; // of what is folded away: which of it the case states
  function tellSummaries(values) {
    for (const { stated, fields } of summaries) {
      const said = fields.filter((f) => values[f.path] && !["format", "name"].includes(f.path.replace(/.*\./, "")))
        .map((f) => `${f.path.replace(/.*\./, "").replaceAll("_", " ")} ${values[f.path]}`);
      stated.textContent = said.length ? said.slice(0, 6).join(", ") + (said.length > 6 ? " …" : "") : "all as usual";
    }
  }
  // Sections after the first, each with fields of its own; as many as the text has.
  const sizes = ["name", "width", "spine", "edge"], sectionKeys = (n) => sizes.map((key) => `blade.station[${n}].${key}`);
  function tellSections(values) {
    const count = Math.max(1, ...Object.keys(values).map((path) => Number(/^blade\.station\[(\d+)\]/.exec(path)?.[1] ?? 1)));
    const host = $("sections");
    for (; host.children.length > count - 1; host.lastChild.remove())
      for (const path of [...inputs.keys()]) if (path.startsWith(`blade.station[${host.children.length + 1}].`)) inputs.delete(path);
    while (host.children.length < count - 1) {
      const n = host.children.length + 2, group = element("fieldset", { "data-section": n }, element("legend", {}, `Section ${n}`));
      const first = element("div", { class: "fields" }), rest = element("div", { class: "fields" });
      for (const field of form.fields.filter((f) => f.table === "blade.station[1]")) {
        const path = field.path.replace("[1]", `[${n}]`), own = sectionKeys(n).includes(path);
        (own ? first : rest).append(fieldOf({ ...field, path }, field.kind === "text"));
      }
      const remove = element("button", { type: "button" }, `Remove section ${n}`);
      remove.addEventListener("click", () => {
        for (const path of [...edits.keys()]) if (path.startsWith(`blade.station[${n}].`)) edits.delete(path);
        setField(`blade.station[${n}]`, "");
        $("add-section").focus();
      });
      group.append(first, element("details", {}, element("summary", {}, "More of it"), rest), remove);
      host.append(group);
    }
  }
  function addSection() {
    const n = $("sections").children.length + 2, first = (key) => inputs.get(`blade.station[1].${key}`).value;
    for (const key of ["width", "spine", "edge"]) if (first(key)) edits.set(`blade.station[${n}].${key}`, first(key));
    setField(`blade.station[${n}].name`, `section ${n}`);
  }
  function makeForm() {
    for (const station of stations) {
      const item = element("li", { "data-station": station.key }, element("h3", {}, station.title));
      const fields = form.fields.filter((f) => station.tables.includes(f.table) && !station.first.includes(f.path));
      if (station.first.length) {
        const top = element("div", { class: "fields" });
        for (const path of station.first) {
          const field = form.fields.find((f) => f.path === path);
          top.append(fieldOf(field, Boolean(field.stock) || path.endsWith(".width")));
        }
        item.append(top);
      }
      if (station.key === "blade") item.append(element("div", { id: "section" }));
      // What is changed most of each station stands open to view in the summary's words.
      const rest = element("div", { class: "fields" });
      for (const table of station.tables) {
        const of = fields.filter((f) => f.table === table);
        if (!of.length) continue;
        rest.append(element("h4", {}, tableNames[table] ?? table));
        for (const field of of) rest.append(fieldOf(field, field.kind === "text"));
      }
      const sections = station.key !== "blade" ? [] : [element("div", { id: "sections" }), element("button", { type: "button", id: "add-section" }, "Add a section of the blade")];
      sections[1]?.addEventListener("click", addSection);
      const stated = element("small");
      summaries.push({ stated, fields });
      item.append(element("details", {}, element("summary", {}, `${station.first.length ? "More of it" : "Open"}: ${fields.length} values`, stated), rest), ...sections);
      $("strand").append(item);
    }
    for (const example of form.examples) $("examples").append(element("option", { value: example.key }, example.title || example.key));
    for (const question of form.questions) {
      const button = element("button", { type: "button", "data-question": question.key, title: question.safe }, question.asks);
      button.addEventListener("click", () => seek(question));
      $("questions").append(button);
    }
    const button = element("button", { type: "button", id: "what-if", title: "A furnace that reads wrong, a colder oil, a looser foil" }, "What if something is not as set?");
    button.addEventListener("click", whatIf);
    const why = element("button", { type: "button", id: "why-soft", title: "Holds what file and tester said against the case" }, "Why is it soft?");
    why.addEventListener("click", askWhy);
    $("questions").append(button, why);
  }

  // --- the section, to be dragged at spine, edge and width -----------------------------------------------------
  let grips;
  function drawSection({ x, top, bottom }) {
    if (grips?.held) return;
    const host = $("section"), width = x[x.length - 1], most = Math.max(...top.map((t, k) => t - bottom[k]));
    const W = 500, H = 130, left = 34, right = W - 34, across = Math.min((H - 52) / most, (6 * (right - left)) / width);
    const at = (k, y) => `${(left + (x[k] / width) * (right - left)).toFixed(1)},${(H / 2 - y * across).toFixed(1)}`;
    const outline = [...x.map((_, k) => at(k, top[k])), ...x.map((_, k) => at(x.length - 1 - k, bottom[x.length - 1 - k]))];
    const spine = top[0] - bottom[0], end = x.length - 1, edge = top[end] - bottom[end];
    const grip = (path, px, py, name, value, least, most) =>
      `<g data-grip="${path}" tabindex="0" role="slider" aria-label="${name}" aria-valuemin="${least}" aria-valuemax="${most}" aria-valuenow="${(1000 * value).toFixed(2)}" aria-valuetext="${spoken(value)}"><circle class="reach" cx="${px}" cy="${py}" r="24"/><circle class="grip" cx="${px}" cy="${py}" r="9"/></g>`;
    const focus = document.activeElement?.dataset?.grip;
    host.innerHTML = `<svg viewBox="0 0 ${W} ${H}" role="group" aria-label="Section of the blade, thickness drawn larger; drag its grips"><polygon class="steel" points="${outline.join(" ")}"/>` +
      `<text x="${left + 16}" y="${H - 8}">spine ${spoken(spine)}</text><text x="${right - 16}" y="16" text-anchor="end">edge ${spoken(edge)}</text><text x="${right - 16}" y="${H - 8}" text-anchor="end">width ${spoken(width)}</text>` +
      grip("blade.station[1].spine", left, H / 2 - (spine / 2) * across, "thickness at the spine", spine, 0.3, 12) +
      grip("blade.station[1].edge", right, H / 2 - (edge / 2) * across, "thickness at the edge", edge, 0.1, 6) +
      grip("blade.station[1].width", right, H / 2 + (edge / 2) * across + 26, "width", width, 3, 150) + "</svg>";
    grips = { across, along: (right - left) / width, values: { "blade.station[1].spine": spine, "blade.station[1].edge": edge, "blade.station[1].width": width } };
    if (focus) host.querySelector(`[data-grip="${focus}"]`)?.focus();
  }
  const spoken = (m) => (imperial() ? `${(m / 0.0254).toFixed(3)} in` : `${(1000 * m).toFixed(m < 0.01 ? 2 : 1)} mm`);
  const limits = { "blade.station[1].spine": [0.0003, 0.012], "blade.station[1].edge": [0.0001, 0.006], "blade.station[1].width": [0.003, 0.15] };
  const setSize = (path, m) => {
    const step = imperial() ? 0.0000254 : path.endsWith("width") ? 0.0005 : 0.00005;
    let value = Math.min(limits[path][1], Math.max(limits[path][0], Math.round(m / step) * step));
    if (path.endsWith("edge")) value = Math.min(value, grips.values["blade.station[1].spine"]);
    setField(path, imperial() ? `${(value / 0.0254).toFixed(3)} in` : `${+(1000 * value).toFixed(2)} mm`);
  };
  function makeGrips() {
    const host = $("section");
    host.addEventListener("pointerdown", (event) => {
      const grip = event.target.closest("[data-grip]");
      if (!grip) return;
      event.preventDefault();
      grip.focus();
      const path = grip.dataset.grip, from = grips.values[path], y = event.clientY, x = event.clientX;
      const scale = host.querySelector("svg").getBoundingClientRect().width / 500;
      grips.held = true;
      host.setPointerCapture(event.pointerId);
      const move = (e) => setSize(path, path.endsWith("width") ? from + (e.clientX - x) / scale / grips.along : from + (2 * (y - e.clientY)) / scale / grips.across);
      const end = () => {
        grips.held = false;
        host.removeEventListener("pointermove", move);
        changed();
      };
      host.addEventListener("pointermove", move);
      host.addEventListener("pointerup", end, { once: true });
      host.addEventListener("pointercancel", end, { once: true });
    });
    host.addEventListener("keydown", (event) => {
      const path = event.target.dataset?.grip;
      const way = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[event.key];
      if (!path || !way) return;
      event.preventDefault();
      setSize(path, grips.values[path] + way * (path.endsWith("width") ? 0.0005 : imperial() ? 0.0000508 : 0.00005));
    });
  }

  // --- questions ------------------------------------------------------------------------------------------------
  /** Ends what was asked before and says what is done now, with a way to stop it; gives the heading of the answer. */
  function beginSeeking(asks, doing) {
    seeker.stop();
    const host = $("found"), stop = element("button", { type: "button" }, "Stop");
    stop.addEventListener("click", () => { seeker.stop(); host.replaceChildren(); });
    const head = () => element("p", { class: "big" }, asks);
    host.replaceChildren(head(), element("p", {}, doing), stop);
    return head;
  }
  async function whatIf() {
    const host = $("found"), now = version, head = beginSeeking("What if something is not as set?", "Trying what may be otherwise… ");
    try {
      const answer = await seeker.ask("what_if", { text }, 120);
      if (answer.problems || answer.failed) throw new Error(answer.failed ?? answer.problems.map((p) => p.message).join("\n"));
      const gallery = element("div", { class: "gallery" });
      for (const one of answer.drawings) gallery.append(element("figure", { "data-key": one.key }, element("h4", {}, one.title), markup(one.svg, "div")));
      if (answer.same) gallery.append(markup(answer.same, "p"));
      host.replaceChildren(head(), gallery.childElementCount ? gallery : element("p", {}, "Nothing here changes the answer."));
      if (now !== version) host.append(element("p", { class: "says" }, "The case has changed since this was asked."));
    } catch (error) {
      if (!(error instanceof Stopped)) host.replaceChildren(head(), element("p", { class: "error" }, error.message));
    }
  }
  // Why is it soft? One question after the other; what was not read stays empty.
  const places = ["edge", "middle", "spine"];
  function askWhy() {
    seeker.stop();
    const host = $("found");
    const form = element("form", { id: "why", class: "fields" });
    const choice = (id, label, options) => {
      const select = element("select", { id }, ...options.map(([value, words]) => element("option", { value }, words)));
      form.append(element("div", { class: "field wide" }, element("label", { for: id }, label), select));
      return select;
    };
    const readings = (id, legend) => {
      const all = places.map((place) => [place, element("input", { type: "text", id: `${id}-${place}`, inputmode: "decimal", autocomplete: "off", placeholder: "not read" })]);
      form.append(element("fieldset", { class: "three" }, element("legend", {}, legend), ...all.map(([place, input]) => element("div", { class: "field" }, element("label", { for: input.id }, place), input))));
      return all;
    };
    const feel = choice("why-file", "1. Before the temper, a new fine file at the edge", [["", "was not tried"], ["skates", "skates over it"], ["just skates", "just skates"], ["bites", "bites"]]);
    const ground = choice("why-ground", "2. The skin before file and tester", [["", "as it came out"], ["ground", "0.1 to 0.2 mm ground off"]]);
    const quenched = readings("why-q", "3. HRC before the temper"), tempered = readings("why-t", "4. HRC after the temper");
    const button = element("button", { type: "submit" }, "Weigh the causes"), told = element("div", { id: "why-told", "aria-live": "polite" });
    form.append(element("div", { class: "field wide" }, button));
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const read = (all, tempered) => all.filter(([, input]) => input.value.trim()).map(([zone, input]) => ({ zone, hrc: input.value.replace(/\s*HRC$/i, "") + " HRC", tempered }));
      const asked = { text, ground: Boolean(ground.value), files: feel.value ? [{ zone: "edge", feel: feel.value }] : [], hardness: [...read(quenched, false), ...read(tempered, true)] };
      seeker.stop();
      button.disabled = true;
      told.replaceChildren(element("p", {}, "Computing some eight hundred blades with a fault or two… "));
      try {
        const answer = await seeker.ask("explain", asked, 180);
        if (answer.problems || answer.failed) throw new Error(answer.failed ?? answer.problems.map((p) => p.message).join("\n"));
        tellWhy(told, answer);
      } catch (error) {
        if (!(error instanceof Stopped)) told.replaceChildren(element("p", { class: "error" }, error.message));
      }
      button.disabled = false;
    });
    host.replaceChildren(element("p", { class: "big" }, "Why is it soft?"), element("p", {}, "Set the case as the blade was really made, then tell what was read. Local fire and workplace codes and licensed practice come before anything said here."), form, told);
    feel.focus();
  }
  const percent = (share) => (share >= 0.005 ? `${Math.round(100 * share)} %` : "under 1 %");
  const effort = ["minutes", "minutes", "an hour, or a tool", "another heat"];
  function tellWhy(host, answer) {
    const heading = (words) => element("h4", {}, words);
    if (!answer.explained) {
      host.replaceChildren(element("p", { class: "big" }, "No cause explains what was read"), element("p", {}, answer.causes.find((c) => c.fault === "something_else")?.remedy ?? "Read again, on a test block first."));
      return;
    }
    const [first] = answer.causes, children = [element("p", { class: "big" }, `Most likely (${percent(answer.groups[0].share)}): ${answer.groups[0].name}`)];
    if (first.name !== answer.groups[0].name) children.push(element("p", {}, `First suspect (${percent(first.share)}): ${first.name}`));
    if (answer.next) children.push(element("p", {}, `Next: ${answer.next.test} (${effort[answer.next.effort] ?? ""}; the cause named first is then right ${Math.round(10 * answer.next.right_with)} times in 10, now ${Math.round(10 * answer.next.right_without)})`));
    children.push(element("p", {}, `Cure: ${first.remedy}`), heading("What fits, most likely first"));
    const rows = element("dl");
    for (const cause of answer.causes.filter((c) => c.share >= 0.03))
      rows.append(element("dt", {}, percent(cause.share)), element("dd", {}, cause.name, ...(cause.parting ? [element("p", {}, `test: ${cause.parting.test} (${effort[cause.parting.effort] ?? ""})`)] : []), element("p", {}, `then: ${cause.remedy}`)));
    children.push(rows);
    const forecast = (f) => `${f.middle.toFixed(1)} HRC, nine in ten from ${f.low.toFixed(1)} to ${f.high.toFixed(1)}`;
    const next = element("dl");
    for (const [name, f] of [["as quenched", answer.next_blade.as_quenched], ["after the temper", answer.next_blade.tempered]])
      if (f.middle != null) next.append(element("dt", {}, name), element("dd", {}, forecast(f)));
    children.push(heading("The next blade, made the same way"), next);
    children.push(element("p", { class: "says" }, `From ${answer.draws} blades computed with one fault or two, worth ${Math.round(answer.effective_draws)} equal ones${answer.smoothing < 1 ? "; few came near what was read: take the shares as rough" : ""}. How common each fault is: common practice, no source.`));
    host.replaceChildren(...children);
  }

  async function seek(question, wish = "") {
    const host = $("found"), now = version, head = beginSeeking(question.asks, "Looking with the full model… ");
    let answer;
    try {
      answer = await seeker.ask("find", { text, question: question.key, wish, imperial: imperial() }, 300);
    } catch (error) {
      if (!(error instanceof Stopped)) host.replaceChildren(head(), element("p", { class: "error" }, error.message));
      return;
    }
    const children = [head()];
    if (answer.problems || answer.failed)
      children.push(element("p", { class: "error" }, answer.failed ?? answer.problems.map((p) => (p.path ? p.path + ": " : "") + p.message).join("\n").replace(/; give it with --wish.*/, "; write it below")));
    else {
      if (!answer.found) children.push(markup(answer.because, "p"));
      const pairs = (all, take) => {
        const dl = element("dl");
        for (const one of all) {
          const dd = markup(one.text, "dd");
          // a step of a list has no field of its own, its key in the text all the same
          const paths = one.key.split(" ").filter(Boolean);
          if (take && one.value && paths.length && paths.every((path) => inputs.has(path) || /^step\[\d+\]\.\w+$/.test(path))) {
            const button = element("button", { type: "button" }, "Put it into the case");
            button.addEventListener("click", () => { for (const path of paths) setField(path, one.value.replace(/ \(.*/, "")); });
            dd.append(" ", button);
          }
          dl.append(element("dt", {}, one.name), dd);
        }
        return dl;
      };
      if (answer.settings.length) children.push(pairs(answer.settings, true));
      if (answer.cautions.length) children.push(list(answer.cautions, "cautions"));
      if (answer.steps.length) children.push(list(answer.steps, "plain"));
      if (answer.figures.length) children.push(pairs(answer.figures, false));
      if (answer.notes.length) children.push(list(answer.notes, "plain"));
      children.push(element("p", { class: "says" }, question.safe));
    }
    if (question.wish) {
      const field = element("input", { type: "text", id: "wish", value: wish });
      const again = element("button", { type: "button" }, "Ask with this");
      again.addEventListener("click", () => seek(question, field.value));
      children.push(element("label", { for: "wish" }, `Wish: ${question.wish.replace(/; with --.*/, "")}`), field, again);
    }
    if (now !== version) children.push(element("p", { class: "says" }, "The case has changed since this was asked."));
    host.replaceChildren(...children);
  }

  // --- files, links, what is kept ---------------------------------------------------------------------------------
  const download = (name, content, type) => {
    const link = element("a", { href: URL.createObjectURL(new Blob([content], { type })), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  };
  const fileName = () => (shown?.answer.first.title || "blade").toLowerCase().replace(/[^a-z0-9]+/g, "_").replace(/^_|_$/g, "") || "blade";
  const allBenches = () => [live, fine, seeker, learner, ...drawers];
  const tellAll = (what, asked) => { for (const bench of allBenches()) if (bench.worker && (what !== "journal" || bench !== learner)) bench.ask(what, asked).catch(() => {}); };
  const isJournal = (content) => /^\s*\[\[(firing|coupon)\]\]/m.test(content) || (/^\s*shop\s*=/m.test(content) && !/^\s*\[\[?blade/m.test(content));
  const isCase = (content) => /^\s*\[\[?blade/m.test(content) || !/^\s*(designation|kind|name)\s*=/m.test(content);
  /** A record, a log or a case of the journal: under the names by which a case beside it may ask for it. */
  function keepRecord(name, content) {
    for (const path of [name, `records/${name}`, `./${name}`]) {
      records.set(path, content);
      tellAll("keep", { path, text: content });
    }
    const all = store.object("thinquench.records") ?? {};
    all[name] = content;
    return store.set("thinquench.records", JSON.stringify(all));
  }
  async function openFiles(files, ofShop = false) {
    const read = [];
    for (const file of files) {
      if (file.size > 2000000) notice(`${file.name}: larger than 2 MB, which is no case and no record`);
      else read.push({ name: file.name, content: await file.text() });
    }
    const journal = read.find((one) => !/\.csv$/i.test(one.name) && isJournal(one.content));
    const said = [];
    for (const one of read) {
      if (one === journal) continue;
      const log = /\.csv$/i.test(one.name), wanted = missing.some((path) => path.replace(/.*[/\\]/, "") === one.name);
      if (wanted || ofShop || (journal && (log || isCase(one.content)))) {
        shop.files[one.name] = one.content;
        tellAll("keep", { path: one.name, text: one.content });
        if (log) keepRecord(one.name, one.content);
        said.push(`${one.name} is kept with the journal`);
      } else if (!log && isCase(one.content)) {
        setText(one.content);
        said.push(`${one.name} is open`);
      } else {
        const kept = keepRecord(one.name, one.content);
        said.push(`${one.name}: kept as a ${log ? "log" : "record"} of your own${kept ? "" : " until the page is closed"}; a case names it "${one.name}"`);
        changed();
      }
    }
    if (said.length) notice(said.join(". "));
    if (journal) await takeJournal(journal.content, shop.files);
    else if (ofShop || missing.length) await layJournal();
  }

  // --- the journal of the shop --------------------------------------------------------------------------------------
  let missing = []; // of the files that it names
  function keepShop() {
    const kept = store.set("thinquench.shop", JSON.stringify(shop));
    if (!kept && shop.journal) $("shop-notice").textContent = "This browser keeps nothing here: save shop.toml before you leave.";
    return kept;
  }
  const problemsOf = (answer) => answer.failed ?? answer.problems?.map((p) => (p.line ? `line ${p.line}: ` : "") + (p.path ? p.path + ": " : "") + p.message).join("\n");
  /** Takes another text as the journal when it can be read; the one before can be had back. */
  async function takeJournal(content, files = shop.files) {
    learner.stop();
    const answer = await learner.ask("journal", { journal: content, learnt: "", bar: "" });
    const wrong = content.trim() ? problemsOf(answer) : "";
    $("journal-wrong").hidden = !wrong;
    $("journal-wrong").textContent = wrong ?? "";
    if (wrong) {
      $("shop-notice").textContent = `Not taken: ${wrong}`;
      $("shop").open = true;
      return false;
    }
    if (shop.journal && shop.journal !== content) {
      const { journal, files: kept, learnt } = shop;
      shop.before = { journal, files: { ...kept }, learnt };
    }
    shop.journal = content.trim() ? content : "";
    shop.files = files;
    $("shop").open = true;
    await layJournal();
    return true;
  }
  let laying = 0;
  /** Lays it under every answer, and learns what is new in it. */
  async function layJournal(fresh = true) {
    const mine = ++laying;
    learner.stop();
    $("learning").hidden = true;
    if (fresh) {
      keepShop();
      tellAll("journal", laid());
      changed();
    }
    if (!shop.journal) return tellShop({});
    try {
      const told = await learner.ask("journal", { ...laid(), journal: shop.journal });
      if (mine !== laying) return;
      tellShop(told);
      if (told.new > 0) await learnJournal(mine, told.new);
    } catch (error) {
      if (!(error instanceof Stopped)) $("shop-notice").textContent = error.message;
    }
  }
  async function learnJournal(mine, count) {
    let done = 0;
    const say = () => { $("learning-said").textContent = `learning from blade ${Math.min(done + 1, count)} of ${count} that ${count > 1 ? "are" : "is"} new…`; };
    $("learning").hidden = false;
    say();
    try {
      const answer = await learner.ask("learn", {}, 3600, ({ learnt }) => {
        if (mine !== laying) return;
        ++done;
        say();
        shop.learnt = learnt;
        keepShop();
      });
      if (mine !== laying) return;
      shop.learnt = answer.learnt;
      keepShop();
      tellShop(answer.shop, answer.troubles);
      tellAll("journal", laid());
      changed();
    } finally {
      if (mine === laying) $("learning").hidden = true;
    }
  }
  function tellShop(told, troubles = []) {
    missing = told.missing ?? [];
    const count = (n, what) => `${n} ${what}${n === 1 ? "" : "s"}`;
    $("shop-stated").textContent = told.name === undefined ? "what was set and read of each blade; it narrows every answer"
      : `${told.name}: ${count(told.blades, "blade")}, ${count(told.coupons, "coupon")}; learnt from ${count(told.learnt_from, "blade")}`;
    $("save-shop").disabled = !shop.journal;
    $("shop-back").hidden = !shop.before;
    if ($("journal") !== document.activeElement) $("journal").value = shop.journal;
    const remark = (line) => told.remarks?.find((r) => r.startsWith(`line ${line},`) || r.startsWith(`line ${line}:`))?.replace(/^[^:]*: /, "");
    $("entries").replaceChildren(...(told.entries ?? []).map((entry) => {
      const wrong = entry.wrong ?? troubles.find((t) => t.line === entry.line)?.why;
      const item = element("li", { class: wrong ? "wrong" : "" }, element("strong", {}, entry.title ?? ""), entry.date ? ` ${entry.date}` : "", element("small", {}, entry.says.filter((line) => !/^(date|blade) *=/.test(line)).join(" · ")));
      if (wrong) item.append(element("p", { class: "error" }, wrong));
      else if (remark(entry.line)) item.append(element("small", {}, remark(entry.line)));
      return item;
    }).reverse());
    $("shop-files").replaceChildren(
      ...Object.entries(shop.files).map(([name, content]) => {
        const button = element("button", { type: "button" }, `Save ${name}`);
        button.addEventListener("click", () => download(name, content, "text/plain"));
        return button;
      }));
    if (missing.length) $("shop-notice").textContent = `Named but not here: ${missing.join(", ")}. Open them too, then it is learnt from.`;
    else if (/^Named but/.test($("shop-notice").textContent)) $("shop-notice").textContent = "";
  }
  const today = () => { const d = new Date(); return new Date(d - 60000 * d.getTimezoneOffset()).toISOString().slice(0, 10); };
  const slug = (name) => name.toLowerCase().replace(/[^a-z0-9]+/g, "_").replace(/^_|_$/g, "") || "blade";
  /** The name under which this case is kept with the journal. */
  function caseFile(name) {
    for (let n = 1; ; ++n) {
      const file = `${slug(name)}${n > 1 ? `_${n}` : ""}.toml`;
      if ((shop.files[file] ?? text) === text) return file;
    }
  }
  /** The questions of the journal about a blade (or a coupon), one after the other; what was not read stays empty. */
  function askNote(coupon) {
    const host = $("noting"), takes = new Map();
    const put = (key, label, input, why, wide) => {
      const id = `note-${key.replace(/[^a-z]+/g, "-")}`;
      input.id = id;
      input.wrong = element("p", { class: "error", id: `${id}-error`, hidden: true });
      input.setAttribute("aria-describedby", `${id}-error${why ? ` ${id}-says` : ""}`);
      const field = element("div", { class: wide ? "field wide" : "field" }, element("label", { for: id }, label), input, input.wrong);
      if (why) field.append(element("p", { class: "says", id: `${id}-says` }, why));
      return field;
    };
    const typed = (placeholder = "not read") => element("input", { type: "text", autocomplete: "off", placeholder });
    const choice = (options) => element("select", {}, ...options.map(([value, words]) => element("option", { value }, words)));
    const one = (key, label, input, why, wide = false) => { takes.set(key, { value: () => input.value.trim(), input }); return put(key, label, input, why, wide); };
    const children = [element("p", { class: "field wide" }, coupon ? "A hardened piece that was tempered and read." : "The case as it stands now goes in with it: set it as the blade was really made. What was not read stays empty.")];
    const date = typed("");
    date.value = today();
    children.push(one("date", "Day", date));
    if (coupon) {
      const steels = choice(form.stocks.steel.map(({ key, title }) => [key, stockName(key, title)]));
      steels.value = inputs.get("blade.steel").value || "O1";
      children.push(one("steel", "Steel", steels, "", true));
      const like = { temper: "205 °C", hold: "60 min", cycles: "1", hardness: "61 HRC", dents: "1", block_within: "0.5 HRC", bar: "any", remark: "" };
      for (const asked of form.coupon) {
        const input = typed(like[asked.key]);
        if (asked.key === "bar") input.value = shop.bar;
        children.push(one(asked.key, asked.asks, input, asked.why, asked.key === "remark"));
      }
    } else {
      const sections = [...$("strand").querySelectorAll("[data-path^='blade.station'][data-path$='.name']")].map((input) => input.value);
      if (sections.length > 1) children.push(one("station", "Section that was read", choice(sections.map((name) => [name, name])), "", true));
      for (const asked of form.readings) {
        if (asked.kind === "places") {
          const all = form.zones.map((zone) => [zone, typed()]);
          takes.set(asked.key, { value: () => all.map(([zone, input]) => ({ zone, hrc: input.value.trim() })), input: all[0][1] });
          children.push(element("fieldset", {}, element("legend", {}, asked.asks), ...all.map(([zone, input]) => put(`${asked.key}-${zone}`, `HRC, ${zone}`, input))));
        } else if (asked.kind === "feel") {
          children.push(one(asked.key, asked.asks, choice([["", "was not tried"], ["skates", "skates over it"], ["just skates", "just skates"], ["bites", "bites"]]), "", true));
        } else if (asked.kind === "log") {
          const logs = [...records.keys()].filter((name) => /\.csv$/i.test(name) && !name.includes("/"));
          if (logs.length) children.push(one(asked.key, asked.asks, choice([["", "none"], ...logs.map((name) => [name, name])]), "", true));
        } else {
          const input = typed();
          if (asked.key === "bar") input.value = shop.bar;
          children.push(one(asked.key, asked.asks, input, asked.why, asked.kind === "words" && asked.key === "remark"));
        }
      }
      const ground = element("input", { type: "checkbox", id: "note-ground" });
      takes.set("ground", { value: () => ground.checked, input: ground });
      children.push(element("label", { class: "check field wide" }, ground, "0.1 to 0.2 mm of the skin was off before it was read"));
    }
    const wrong = element("p", { class: "error field wide", role: "alert", hidden: true }), cancel = element("button", { type: "button" }, "Leave it");
    cancel.addEventListener("click", () => { host.hidden = true; $(coupon ? "note-coupon" : "note").focus(); });
    children.push(wrong, element("div", { class: "tools" }, element("button", { type: "submit" }, "Write it down"), cancel));
    host.onsubmit = async (event) => {
      event.preventDefault();
      const said = Object.fromEntries([...takes].map(([key, { value }]) => [key, value()]));
      const name = caseFile(said.blade || shown?.answer.first.title || "blade");
      for (const { input } of takes.values()) if (input.wrong) input.wrong.hidden = true;
      wrong.hidden = true;
      const answer = await live.ask("note", { ...said, ...(coupon ? {} : { case: name }), journal: shop.journal, imperial: imperial() }).catch((error) => ({ failed: error.message }));
      if (!answer.journal) {
        const elsewhere = [];
        for (const { path, message } of answer.problems ?? [{ message: answer.failed }]) {
          const input = takes.get(path)?.input;
          if (!input?.wrong) { elsewhere.push(message); continue; }
          input.wrong.textContent = message;
          input.wrong.hidden = false;
        }
        wrong.textContent = elsewhere.join("\n");
        wrong.hidden = !elsewhere.length;
        host.querySelector(".error:not([hidden])")?.scrollIntoView({ block: "center" });
        return;
      }
      const files = { ...shop.files };
      if (!coupon) {
        files[name] = text;
        tellAll("keep", { path: name, text });
      }
      for (const key of ["packet_log", "quench_log", "oven_log"]) if (said[key]) files[said[key]] = records.get(said[key]);
      host.hidden = true;
      if (await takeJournal(answer.journal, files)) $("shop-notice").textContent = `Written down: ${coupon ? `a coupon of ${said.steel}` : said.blade || "a blade"}.${missing.length ? ` Not here: ${missing.join(", ")}.` : ""}`;
      $(coupon ? "note-coupon" : "note").focus();
    };
    host.replaceChildren(...children);
    host.hidden = false;
    date.focus();
  }
  function wireShop() {
    $("note").addEventListener("click", () => askNote(false));
    $("note-coupon").addEventListener("click", () => askNote(true));
    $("open-shop").addEventListener("change", () => { openFiles($("open-shop").files, true); $("open-shop").value = ""; });
    $("save-shop").addEventListener("click", () => download("shop.toml", shop.journal, "text/plain"));
    $("shop-back").addEventListener("click", async () => {
      const { before } = shop;
      delete shop.before;
      const now = { journal: shop.journal, files: shop.files, learnt: shop.learnt };
      Object.assign(shop, before, { before: now });
      await layJournal();
    });
    $("bar").value = shop.bar;
    $("bar").addEventListener("change", () => { shop.bar = $("bar").value.trim(); layJournal(); });
    $("without").checked = shop.without;
    $("without").addEventListener("change", () => { shop.without = $("without").checked; keepShop(); tellAll("journal", laid()); changed(); });
    $("take-journal").addEventListener("click", () => takeJournal($("journal").value));
    $("stop-learning").addEventListener("click", () => { ++laying; learner.stop(); $("learning").hidden = true; });
  }

  const packed = async (content) => {
    const stream = new Blob([content]).stream().pipeThrough(new CompressionStream("deflate-raw"));
    const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
    return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  };
  const unpacked = async (code) => {
    const bytes = Uint8Array.from(atob(code.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
    const content = await new Response(stream).text();
    if (content.length > 200000) throw new Error("too long");
    return content;
  };
  async function fromLink() {
    const code = /^#case=(.+)$/.exec(location.hash)?.[1];
    if (!code) return undefined;
    try {
      return await unpacked(code);
    } catch {
      notice("The link holds no case that can be read.");
      return undefined;
    }
  }
  const keptCases = () => {
    try {
      const all = JSON.parse(store.get("thinquench.cases") ?? "[]");
      return Array.isArray(all) ? all.filter((one) => typeof one?.text === "string" && typeof one?.title === "string") : [];
    } catch {
      return [];
    }
  };
  const nameOf = (title, content) => title || `${/^\s*steel\s*=\s*"([^"]*)"/m.exec(content)?.[1] ?? "blade"}, ${/^\s*spine\s*=\s*"([^"]*)"/m.exec(content)?.[1] ?? "?"} spine`;
  function showKept() {
    const all = keptCases();
    $("kept").replaceChildren(element("option", { value: "" }, all.length ? `${all.length} kept…` : "none yet"), ...all.map((one, k) => element("option", { value: String(k) }, one.title)));
  }
  let keeping;
  function keepSoon(title) {
    clearTimeout(keeping);
    const content = text;
    keeping = setTimeout(() => {
      if (content === beginning) return;
      const name = nameOf(title, content);
      const all = keptCases().filter((one) => one.text !== content);
      // Typing makes many states of one blade: of the same name only the last one stays.
      store.set("thinquench.cases", JSON.stringify([{ title: name, text: content }, ...all.filter((one) => one.title !== name)].slice(0, 12)));
      showKept();
    }, 2500);
  }
  let paperText = "", paperName = "";
  async function paper(what, title) {
    try {
      const answer = await fine.ask(what);
      if (!answer.text) return notice(answer.failed ?? answer.problems?.[0]?.message ?? "");
      paperText = answer.text;
      paperName = `${fileName()}${what === "sheet" ? "_sheet" : ""}.html`;
      $("paper-title").textContent = title;
      $("paper-frame").title = title;
      $("paper-frame").srcdoc = answer.text;
      $("paper").showModal();
    } catch (error) {
      if (!(error instanceof Stopped)) notice(error.message);
    }
  }

  function wire() {
    wireShop();
    for (const button of document.querySelectorAll("button[data-units]"))
      button.addEventListener("click", () => {
        const { units } = button.dataset;
        if (units === "both") delete document.documentElement.dataset.units;
        else document.documentElement.dataset.units = units;
        for (const other of document.querySelectorAll("button[data-units]")) other.setAttribute("aria-pressed", String(other === button));
        store.set("thinquench.units", units);
        if (form) changed();
      });
    const units = store.get("thinquench.units");
    if (units) document.querySelector(`button[data-units="${CSS.escape(units)}"]`)?.click();
    $("new").addEventListener("click", () => setText(beginning));
    $("open").addEventListener("change", () => { openFiles($("open").files); $("open").value = ""; });
    $("save").addEventListener("click", () => download(`${fileName()}.toml`, text, "text/plain"));
    $("link").addEventListener("click", async () => {
      const address = `${location.href.replace(/#.*/, "")}#case=${await packed(text)}`;
      history.replaceState(null, "", address);
      try {
        await navigator.clipboard.writeText(address);
        notice("The link with this case is copied; it also stands in the address.");
      } catch {
        notice("The link with this case stands in the address of the page now.");
      }
    });
    $("examples").addEventListener("change", () => {
      const one = form.examples.find((e) => e.key === $("examples").value);
      if (one) setText(one.text);
      $("examples").value = "";
    });
    $("kept").addEventListener("change", () => {
      const one = keptCases()[Number($("kept").value)];
      if ($("kept").value !== "" && one) setText(one.text);
      $("kept").value = "";
    });
    $("text").addEventListener("input", () => setText($("text").value));
    $("stop").addEventListener("click", stopDraws);
    $("sheet").addEventListener("click", () => paper("sheet", "Shop sheet"));
    $("report").addEventListener("click", () => paper("report", "Report"));
    const hold = (next) => {
      held = next;
      store.set("thinquench.held", JSON.stringify(held ?? null));
      if (shown) compare((shown.judged ?? shown.answer).first);
    };
    $("hold").addEventListener("click", () => hold(held || !shown ? undefined : { text: shown.text, first: (shown.judged ?? shown.answer).first }));
    $("swap").addEventListener("click", () => {
      const back = held.text;
      if (shown) hold({ text: shown.text, first: (shown.judged ?? shown.answer).first });
      setText(back);
    });
    $("print").addEventListener("click", () => $("paper-frame").contentWindow.print());
    $("keep-paper").addEventListener("click", () => download(paperName, paperText, "text/html"));
    $("close").addEventListener("click", () => $("paper").close());
    $("moment").addEventListener("input", tellMoment);
    $("time").addEventListener("toggle", () => { if ($("time").open) tellMoment(); });
    addEventListener("hashchange", async () => {
      const linked = await fromLink();
      if (linked !== undefined) setText(linked);
    });
    addEventListener("dragover", (event) => event.preventDefault());
    addEventListener("drop", (event) => {
      event.preventDefault();
      if (event.dataTransfer?.files.length) openFiles(event.dataTransfer.files);
    });
  }

  async function begin() {
    for (const [name, content] of Object.entries(store.object("thinquench.records") ?? {}))
      for (const path of [name, `records/${name}`, `./${name}`]) records.set(path, content);
    wire();
    moduleReady = unpack($("module").textContent.trim()).then((bytes) => WebAssembly.compile(bytes));
    await live.start();
    form = await live.ask("form");
    makeForm();
    makeGrips();
    showKept();
    text = (await fromLink()) ?? store.get("thinquench.now") ?? beginning;
    changed();
    fine.start();
    if (shop.journal) layJournal(false);
  }
  begin().catch((error) => tellFailure(`The page cannot work here: ${error.message}`));
})();
