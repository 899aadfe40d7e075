// The map of current and air: a pointer moved by mouse, touch or arrow keys asks the lead through the form beside it.
import { axis, forEvery, ink, keepDrawn, record, thin } from "./plot.js";

const COOLEST = 30;
const STEP = 10;
const SHADES = 7;
const PLACES = { metal: ["bad", []], sheath: ["good", [9, 4]], accessory: ["open", [3, 4]], body: ["ink", [9, 4, 3, 4]] };
const WORDS = { metal: "metal", sheath: "sheath", accessory: "plug or coupler", body: "body of plug or coupler" };

// what was typed stays when the page is made anew after an assessment, and is asked again of the new one
let typed = false;
document.addEventListener("input", (event) => (typed ||= Boolean(event.target.closest("form.what-if"))));
document.addEventListener("htmx:after:swap", (event) => {
  if (!typed || event.detail.ctx.target?.id !== "heat") return;
  document.querySelector("form.what-if")?.dispatchEvent(new Event("input", { bubbles: true }));
});

forEvery("figure[data-map]", async (figure) => {
  const form = document.querySelector("form.what-if");
  const { current, ambient, lies } = form.elements;
  const place = figure.querySelector(".wide");
  let chart = await record(`${figure.dataset.map}?lies=${encodeURIComponent(lies.value)}`);
  if (!chart) return;

  place.removeAttribute("tabindex");
  const pane = document.createElement("div");
  pane.className = "plot";
  pane.tabIndex = 0;
  pane.setAttribute("role", "application");
  pane.setAttribute("aria-label", "Pointer on the map: arrow up and down change the current, left and right the air; with shift by more");
  pane.setAttribute("aria-describedby", "answer");
  const key = document.createElement("ul");
  key.className = "key";
  place.replaceChildren(pane, key);
  const marks = ["up", "across", "grip"].map((name) => {
    const mark = document.createElement("div");
    mark.className = `here ${name}`;
    return mark;
  });
  let plot;

  // shades are drawn as the figure of the report draws them: the metal's temperature in steps, straight between points
  const shade = (u) => {
    const { ctx, bbox } = u;
    const wide = Math.ceil(bbox.width / 2);
    const high = Math.ceil(bbox.height / 2);
    const picture = new OffscreenCanvas(wide, high);
    const pen = picture.getContext("2d");
    const data = pen.createImageData(wide, high);
    const tint = document.createElement("canvas").getContext("2d");
    tint.fillStyle = ink("bad");
    tint.fillRect(0, 0, 1, 1);
    const [red, green, blue] = tint.getImageData(0, 0, 1, 1).data;
    const rows = chart.ambient.length - 1;
    const columns = chart.current.length - 1;
    for (let y = 0; y < high; y += 1) {
      const c = Math.min((1 - (y + 0.5) / high) * (u.scales.y.max / chart.current.at(-1)) * columns, columns - 1e-9);
      for (let x = 0; x < wide; x += 1) {
        const a = ((x + 0.5) / wide) * rows;
        const [i, j] = [Math.floor(a), Math.floor(c)];
        const [p, q] = [a - i, c - j];
        const metal =
          (1 - p) * ((1 - q) * chart.metal[i][j] + q * chart.metal[i][j + 1]) +
          p * ((1 - q) * chart.metal[i + 1][j] + q * chart.metal[i + 1][j + 1]);
        const level = Math.min(Math.max(Math.floor((metal - COOLEST) / STEP) + 1, 0), SHADES);
        data.data.set([red, green, blue, Math.round((level / SHADES) * 105)], 4 * (y * wide + x));
      }
    }
    pen.putImageData(data, 0, 0);
    ctx.imageSmoothingEnabled = false;
    ctx.drawImage(picture, bbox.left, bbox.top, bbox.width, bbox.height);
  };

  const known = (u) => {
    const { ctx, bbox } = u;
    const lines = [
      [chart.offered, "offered"],
      [chart.rated, "marked"],
    ].filter(([amperes]) => amperes != null);
    ctx.save();
    ctx.strokeStyle = ctx.fillStyle = ink("ink");
    ctx.lineWidth = devicePixelRatio;
    ctx.font = `${12 * devicePixelRatio}px ${getComputedStyle(document.body).fontFamily}`;
    ctx.textAlign = "left";
    ctx.textBaseline = "alphabetic";
    ctx.setLineDash([8, 4]);
    const said = new Map();
    for (const [amperes, word] of lines) {
      const y = Math.round(u.valToPos(amperes, "y", true));
      ctx.beginPath();
      ctx.moveTo(bbox.left, y);
      ctx.lineTo(bbox.left + bbox.width, y);
      ctx.stroke();
      const near = [...said.keys()].find((other) => Math.abs(other - y) < 16 * devicePixelRatio) ?? y;
      said.set(near, [...(said.get(near) ?? []), word]);
    }
    for (const [y, words] of said) ctx.fillText(words.join(", "), bbox.left + 6 * devicePixelRatio, y - 5 * devicePixelRatio);
    if (chart.max_ambient != null) {
      const x = u.valToPos(chart.max_ambient, "x", true);
      ctx.beginPath();
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
      ctx.textAlign = "right";
      ctx.fillText("hottest air", x - 6 * devicePixelRatio, bbox.top + bbox.height - 8 * devicePixelRatio);
    }
    ctx.setLineDash([]);
    ctx.fillStyle = ink("paper");
    for (const tested of chart.tested) {
      ctx.beginPath();
      ctx.arc(u.valToPos(tested.ambient, "x", true), u.valToPos(tested.current, "y", true), 5 * devicePixelRatio, 0, 7);
      ctx.fill();
      ctx.stroke();
    }
    ctx.restore();
  };

  const point = () => {
    const x = plot.valToPos(ambient.valueAsNumber, "x");
    const y = plot.valToPos(current.valueAsNumber, "y");
    const [up, across, grip] = marks;
    up.style.left = grip.style.left = `${x}px`;
    across.style.top = grip.style.top = `${y}px`;
    for (const mark of marks) mark.hidden = !(x >= 0 && y >= 0 && x <= plot.over.clientWidth && y <= plot.over.clientHeight);
  };

  const options = (width) => {
    const highest = chart.current.at(-1);
    const series = [{ label: "air, °C" }];
    const bands = [];
    for (const line of chart.lines) {
      const [token, dash] = PLACES[line.place];
      const colour = ink(token);
      for (const end of ["high", "middle", "low"])
        series.push({ label: `${WORDS[line.place]}, ${end}`, stroke: end === "middle" ? colour : thin(colour, 0.5), dash: end === "middle" ? dash : [], width: end === "middle" ? 2.5 : 1, points: { show: false } });
      bands.push({ series: [series.length - 3, series.length - 1], fill: thin(colour, 0.16) });
    }
    return {
      width,
      height: Math.max(280, Math.min(440, width * 0.75)),
      legend: { show: false },
      cursor: { show: false },
      scales: { x: { time: false, range: () => [chart.ambient[0], chart.ambient.at(-1)] }, y: { range: () => [0, highest] } },
      axes: [axis({ label: "air, °C" }), axis({ label: "current in each loaded core, A", size: 48 })],
      series,
      bands,
      hooks: { drawClear: [shade], draw: [known], ready: [(u) => u.over.append(...marks)], setSize: [() => plot && point()] },
    };
  };

  const redraw = keepDrawn(pane, (width) => {
    const data = [chart.ambient, ...chart.lines.flatMap((line) => [line.high, line.middle, line.low])];
    plot = new uPlot(options(width), data, pane);
    const highest = chart.current.at(-1);
    const drawn = chart.lines.filter((line) => [line.high, line.middle, line.low].flat().some((amperes) => amperes != null && amperes <= highest));
    key.replaceChildren(
      ...drawn.map((line) => {
        const item = document.createElement("li");
        item.className = line.place;
        item.textContent = `limit of the ${WORDS[line.place]}`;
        return item;
      }),
    );
    point();
    return [plot];
  });

  const ask = () => {
    point();
    form.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const stepped = (field, value) => {
    const step = Number(field.step);
    field.value = Math.min(Math.max(Math.round(value / step) * step, Number(field.min)), Number(field.max)).toFixed(1);
  };
  const toPointer = (event) => {
    const edges = plot.over.getBoundingClientRect();
    const inside = (value, most) => Math.min(Math.max(value, 0), most);
    stepped(ambient, plot.posToVal(inside(event.clientX - edges.left, edges.width), "x"));
    stepped(current, plot.posToVal(inside(event.clientY - edges.top, edges.height), "y"));
    ask();
  };
  let held = false;
  pane.addEventListener("pointerdown", (event) => {
    held = true;
    pane.setPointerCapture(event.pointerId);
    pane.focus({ preventScroll: true });
    event.preventDefault();
    toPointer(event);
  });
  pane.addEventListener("pointermove", (event) => held && toPointer(event));
  for (const end of ["pointerup", "pointercancel"]) pane.addEventListener(end, () => (held = false));
  pane.addEventListener("keydown", (event) => {
    const times = event.shiftKey ? 10 : 1;
    const keys = { ArrowLeft: [ambient, -2], ArrowRight: [ambient, 2], ArrowDown: [current, -5], ArrowUp: [current, 5] };
    const [field, steps] = keys[event.key] ?? [];
    if (!field) return;
    event.preventDefault();
    stepped(field, field.valueAsNumber + steps * times * Number(field.step));
    ask();
  });
  form.addEventListener("input", (event) => figure.isConnected && event.target !== form && point());
  lies.addEventListener("change", async () => {
    if (!figure.isConnected) return;
    const other = await record(`${figure.dataset.map}?lies=${encodeURIComponent(lies.value)}`);
    if (!other) return;
    chart = other;
    redraw();
  });
});
