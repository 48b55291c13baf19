(() => {
  "use strict";
  const root = document.documentElement;
  const fahrenheit = (c) => c * 1.8 + 32;
  const temperature = (c) => {
    const choice = root.dataset.temperature;
    const inC = `${c.toFixed(0)} °C`, inF = `${fahrenheit(c).toFixed(0)} °F`;
    return choice === "C" ? inC : choice === "F" ? inF : `${inC} (${inF})`;
  };

  // Units: the page holds both; a choice only hides.
  const listeners = [];
  for (const bar of document.querySelectorAll(".bar")) {
    bar.hidden = false;
    for (const button of bar.querySelectorAll("button"))
      button.addEventListener("click", () => {
        const { kind, value } = button.dataset;
        if (value) root.dataset[kind] = value;
        else delete root.dataset[kind];
        for (const other of bar.querySelectorAll(`button[data-kind="${kind}"]`))
          other.setAttribute("aria-pressed", String(other === button));
        for (const update of listeners) update();
      });
  }

  // The field through time: pieces of the drawing are coloured anew.
  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  for (const figure of document.querySelectorAll("figure[data-frames]")) {
    const d = figure.dataset;
    const columns = Number(d.columns), rows = Number(d.rows), half = d.half === "1";
    const low = Number(d.low), step = Number(d.step);
    const packed = bytes(d.frames);
    const view = new DataView(packed.buffer);
    const nodes = columns * rows, count = packed.length / 2 / nodes;
    const captions = d.captions.split("|"), colours = d.colours.split(" ");
    const zones = d.zones.split(" ").map((part) => part.split(":"));
    const tall = half ? 2 * rows - 1 : rows;
    const slider = figure.querySelector("input"), said = figure.querySelector("output");
    const maps = [...figure.querySelectorAll("g.map")];
    const ends = [figure.querySelector(".bar-low"), figure.querySelector(".bar-high")];
    const at = (frame, i, j) =>
      low + step * view.getUint16(2 * (frame * nodes + (half ? Math.abs(j - rows + 1) : j) * columns + i), true);
    const show = () => {
      const frame = Number(slider.value);
      let least = Infinity, most = -Infinity;
      for (let n = 0; n < nodes; ++n) {
        const v = low + step * view.getUint16(2 * (frame * nodes + n), true);
        least = Math.min(least, v);
        most = Math.max(most, v);
      }
      least = 10 * Math.floor(least / 10);
      most = Math.max(10 * Math.ceil(most / 10), least + 20);
      for (const map of maps) {
        let piece = map.firstElementChild;
        for (let i = Number(map.dataset.first); i + 1 < columns; ++i)
          for (let j = 0; j + 1 < tall; ++j) {
            const v = (at(frame, i, j) + at(frame, i + 1, j) + at(frame, i, j + 1) + at(frame, i + 1, j + 1)) / 4;
            const share = (v - least) / (most - least);
            piece.setAttribute("fill", colours[Math.round(share * (colours.length - 1))]);
            piece.dataset.v = v.toFixed(1);
            piece = piece.nextElementSibling;
          }
      }
      ends[0].textContent = temperature(least);
      ends[1].textContent = temperature(most);
      const centre = half ? rows - 1 : (rows - 1) / 2;
      const figures = zones.map(([name, i]) => `${name} ${temperature(at(frame, Number(i), centre))}`);
      const text = `${captions[frame]}: ${figures.join(", ")}`;
      said.textContent = text;
      slider.setAttribute("aria-valuetext", text);
    };
    slider.max = String(count - 1);
    slider.value = d.shown;
    slider.addEventListener("input", show);
    figure.querySelector(".moment").hidden = false;
    listeners.push(show);
    show();
  }

  // Reading off with the pointer.
  const tip = document.createElement("div");
  tip.id = "tip";
  tip.hidden = true;
  tip.setAttribute("aria-hidden", "true");
  document.body.append(tip);
  const place = (event, text) => {
    tip.hidden = !text;
    if (!text) return;
    tip.textContent = text;
    const x = Math.min(event.clientX + 14, innerWidth - tip.offsetWidth - 6);
    const below = event.clientY + 18 + tip.offsetHeight < innerHeight;
    tip.style.transform = `translate(${Math.max(4, x)}px, ${below ? event.clientY + 18 : event.clientY - tip.offsetHeight - 10}px)`;
  };
  const number = (v) => (Math.abs(v) < 10 ? v.toFixed(2) : Math.abs(v) < 100 ? v.toFixed(1) : v.toFixed(0));
  const withUnit = (v, unit) => (unit === "°C" ? temperature(v) : `${number(v)} ${unit}`);
  const height = (points, x) => {
    for (let k = 1; k < points.length; ++k) {
      const [a, b] = [points[k - 1], points[k]];
      if ((a[0] - x) * (b[0] - x) <= 0 && a[0] !== b[0]) return a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
    }
    return NaN;
  };
  for (const svg of document.querySelectorAll("figure svg")) {
    const chart = svg.querySelector("g.chart");
    if (!chart) continue;
    const [left, top, width, tall] = chart.dataset.plot.split(" ").map(Number);
    const [x0, x1, logarithmic, unitOfTick] = chart.dataset.x.split(" ").map(Number);
    const [y0, y1] = chart.dataset.y.split(" ").map(Number);
    const [xUnit, yUnit] = chart.dataset.units.split("|");
    const curves = [...svg.querySelectorAll("[data-curve]")].map((g) => ({
      name: g.dataset.curve,
      points: g.firstElementChild.getAttribute("points").split(" ").map((p) => p.split(",").map(Number)),
    }));
    svg.addEventListener("pointermove", (event) => {
      const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
      if (p.x < left || p.x > left + width || p.y < top || p.y > top + tall) return place(event, "");
      const share = (p.x - left) / width;
      const x = logarithmic ? x0 * (x1 / x0) ** share : x0 + (x1 - x0) * share;
      const lines = [withUnit(xUnit === "°C" ? x : x / unitOfTick, xUnit)];
      for (const { name, points } of curves) {
        const y = height(points, p.x);
        if (Number.isFinite(y)) lines.push(`${name}: ${withUnit(y1 - ((y1 - y0) * (y - top)) / tall, yUnit)}`);
      }
      place(event, lines.join("\n"));
    });
    svg.addEventListener("pointerleave", (event) => place(event, ""));
  }
  for (const map of document.querySelectorAll("g.map")) {
    map.addEventListener("pointermove", (event) => {
      const v = event.target.dataset.v;
      place(event, v ? withUnit(Number(v), map.dataset.unit) : "");
    });
    map.addEventListener("pointerleave", (event) => place(event, ""));
  }
})();
