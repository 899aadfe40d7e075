// A charge over time: extremes of every stretch that turn into rows on zooming, phases above, marks and two cursors.
import { Hand } from "./by_hand.js";
import { axis, forEvery, ink, keepDrawn, record, thin } from "./plot.js";

const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800, 604800];
const RIBBON = 34;
const WIDE = 46; // pixels from one mark to the next that stands beside it
const FILLS = {
  steady: ["good", 0.3],
  reduced: ["good", 0.16],
  ramp: ["good", 0.1],
  varying: ["good", 0.1],
  "supply lost": ["bad", 0.3],
};
const two = (number) => String(number).padStart(2, "0");

/** A time from the first row as the tables tell it. */
function clock(seconds) {
  const whole = Math.round(Math.abs(seconds));
  const days = Math.floor(whole / 86400);
  const told = `${Math.floor((whole % 86400) / 3600)}:${two(Math.floor((whole % 3600) / 60))}:${two(whole % 60)}`;
  return `${seconds < 0 ? "−" : ""}${days ? `${days} d ` : ""}${told}`;
}

forEvery("figure[data-charge]", async (figure) => {
  const address = figure.dataset.charge;
  const place = figure.querySelector(".wide");
  const read = figure.querySelector(".read");
  const reading = figure.querySelector(".reading"); // how far its rows are read; "assessed" is told when they are
  const choice = figure.querySelector(".what");
  const form = document.querySelector(".new-mark");
  let page = await record(`${address}.json`);
  if (!page) return;
  document.documentElement.classList.add("drawing");
  const source = page.charge.reading.source;
  const whole = [0, source.duration_s];
  let trace = page.charge.trace;
  let view = [...whole];
  let plot;
  let [asking, again] = [false, false];
  const hands = { a: null, b: null };
  let inHand = null;
  let pointed = null;
  let holding = false;

  const most = () => Math.max(1e-9, ...trace.high.filter((one) => one != null), ...(trace.unit === "A" ? page.charge.reading.offer.map((one) => one.offer_a.value ?? 0) : []));
  const data = () => [trace.time_s, trace.high, trace.low];

  /** Ask for what is in view, as finely as the screen shows it: one question at a time, the last one asked counts. */
  async function fetchView() {
    if (figure.querySelector(".reading .stopped")) return; // who stopped the reading did not mean it to begin anew
    if (asking) {
      again = true;
      return;
    }
    asking = true;
    try {
      do {
        again = false;
        const [start, end] = view;
        const query = new URLSearchParams({ what: choice.value, start, end, stretches: Math.max(200, Math.min(4000, place.clientWidth)) });
        const answer = await fetch(`${address}/trace.json?${query}`);
        if (answer.status === 202) {
          const work = await answer.json();
          if (reading.dataset.work !== work.id) htmx.ajax("GET", `/under-way/${work.id}/piece`, { target: reading.lastElementChild, swap: "innerHTML" });
          reading.dataset.work = work.id;
          reading.hidden = false;
        } else if (answer.ok) {
          trace = await answer.json();
          reading.hidden = true;
          figure.dataset.shows = trace.exact ? "rows" : "extremes";
          plot.setData(data(), false);
          plot.setScale("x", { min: view[0], max: view[1] });
          tell();
        }
      } while (again);
    } finally {
      asking = false;
    }
  }

  function show(start, end) {
    view = [start, end];
    plot.setScale("x", { min: view[0], max: view[1] });
    tell();
    fetchView();
  }
  const middle = () => (view[0] + view[1]) / 2;
  const hand = new Hand(place, {
    plots: () => [plot],
    view: () => view,
    whole: () => whole,
    least: () => 2 * source.usual_interval_s || 1e-3,
    show,
    held: () => hands[inHand] ?? null,
    marked: () => (hands.a == null || hands.b == null ? null : [hands.a, hands.b]),
    click: (at) => {
      const [name, before] = [inHand, { ...hands }];
      put(at);
      return () => {
        inHand = name;
        Object.assign(hands, before);
        tell();
      };
    },
    pointed: (at) => (pointed = at),
  });

  const at = (seconds) => {
    let best = 0;
    trace.time_s.forEach((one, index) => {
      if (Math.abs(one - seconds) < Math.abs(trace.time_s[best] - seconds)) best = index;
    });
    const [low, high] = [trace.low[best], trace.high[best]];
    if (low == null) return "nothing recorded";
    return low === high ? `${low.toFixed(2)} ${trace.unit}` : `${low.toFixed(2)} to ${high.toFixed(2)} ${trace.unit}`;
  };

  function tell() {
    for (const [name, mark] of Object.entries(lines)) {
      mark.hidden = hands[name] == null || hands[name] < view[0] || hands[name] > view[1];
      if (!mark.hidden) mark.style.left = `${plot.valToPos(hands[name], "x")}px`;
    }
    let [last, level] = [-Infinity, 0];
    for (const flag of flags) {
      const x = flag.follow();
      if (x === null) continue;
      level = x - last < WIDE ? level + 1 : 0;
      flag.button.style.top = `${2 + level * WIDE}px`;
      last = x;
    }
    const told = Object.entries(hands)
      .filter(([, seconds]) => seconds != null)
      .map(([name, seconds]) => `${name.toUpperCase()} ${clock(seconds)} (${seconds.toFixed(1)} s): ${at(seconds)}`);
    if (hands.a != null && hands.b != null) told.push(`between them ${clock(Math.abs(hands.b - hands.a))} (${Math.abs(hands.b - hands.a).toFixed(1)} s)`);
    read.textContent = told.join(" · ");
  }
  /** Put a cursor somewhere and take it in hand. */
  function put(seconds, name = inHand ?? "a") {
    inHand = name;
    figure.querySelector(`input[name=cursor][value=${name}]`).checked = true;
    hands[name] = Math.min(Math.max(seconds, whole[0]), whole[1]);
    if (hands[name] < view[0] || hands[name] > view[1]) hand.move((hands[name] - middle()) / (view[1] - view[0]));
    tell();
  }
  const lines = Object.fromEntries(
    Object.keys(hands).map((name) => {
      const line = document.createElement("div");
      line.className = `hand ${name}`;
      line.dataset.name = name.toUpperCase();
      line.hidden = true;
      return [name, line];
    }),
  );

  // marks stand as buttons on the timeline: drawn along or moved by arrows they fill in the form that writes it down
  let flags = [];
  let [shown, over] = ["", null];
  function flag(number, { at, own, kind }) {
    const item = () => document.getElementById(`mark-${number}`); // the list may have been made anew meanwhile
    const holder = document.createElement("div");
    holder.className = "mark";
    holder.dataset.number = number; // on paper, where no button is
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = number;
    button.setAttribute("aria-label", `Mark ${number}, ${kind}: arrow keys move it, Enter opens it`);
    holder.append(button);
    let seconds = Number(at);
    const follow = () => {
      holder.hidden = !(seconds >= view[0] && seconds <= view[1]);
      if (holder.hidden) return null;
      const x = plot.valToPos(seconds, "x");
      holder.style.left = `${x}px`;
      return x;
    };
    const open = () => {
      const details = item().querySelector("details");
      details.open = true;
      details.scrollIntoView({ block: "nearest" });
      return details;
    };
    const write = () => {
      item().querySelector("input[name=at]").value = written(Number(own) + seconds - Number(at));
    };
    const focusReason = () => open().querySelector("input[name=reason]").focus({ preventScroll: true });
    let held = null;
    button.addEventListener("pointerdown", (event) => {
      held = { x: event.clientX, from: seconds, moved: false };
      holding = true;
      button.setPointerCapture(event.pointerId);
      event.stopPropagation();
    });
    button.addEventListener("mousedown", (event) => event.stopPropagation());
    button.addEventListener("pointermove", (event) => {
      if (!held) return;
      held.moved ||= Math.abs(event.clientX - held.x) > 3;
      if (!held.moved) return;
      seconds = Math.min(Math.max(held.from + ((event.clientX - held.x) / plot.over.clientWidth) * (view[1] - view[0]), whole[0]), whole[1]);
      follow();
    });
    button.addEventListener("pointerup", () => {
      if (held?.moved) write();
      held = null;
      holding = false;
      focusReason();
    });
    button.addEventListener("pointercancel", () => {
      held = null;
      holding = false;
    });
    button.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      if (event.key === "Enter" || event.key === " ") {
        event.preventDefault();
        event.stopPropagation();
        focusReason();
        return;
      }
      if (!step) return;
      event.preventDefault();
      event.stopPropagation();
      seconds = Math.min(Math.max(seconds + step * (event.shiftKey ? 10 : 1) * (source.usual_interval_s || 1), whole[0]), whole[1]);
      follow();
      write();
    });
    return { holder, button, follow };
  }
  function setFlags() {
    const marks = [...document.querySelectorAll(".marks li[data-at]")].map((item) => ({ ...item.dataset }));
    const told = JSON.stringify(marks);
    if (told === shown && over === plot.over) return;
    [shown, over] = [told, plot.over];
    for (const old of flags) old.holder.remove();
    flags = marks.map((mark, index) => flag(index + 1, mark));
    plot.over.append(...flags.map((one) => one.holder));
  }

  /** A time as it is written down: as fine as it could be picked, and how fine that is. */
  function written(seconds) {
    const pixel = (view[1] - view[0]) / plot.over.clientWidth;
    const half = Math.max(source.usual_interval_s / 2, 2 * pixel, 0.05);
    const digits = Math.max(0, Math.min(3, 1 - Math.floor(Math.log10(half))));
    return `${seconds.toFixed(digits)} s ± ${half.toFixed(digits)} s`;
  }

  const ribbon = (u) => {
    const { ctx, bbox } = u;
    const scale = devicePixelRatio;
    const x = (seconds) => u.valToPos(Math.min(Math.max(seconds, view[0]), view[1]), "x", true);
    const top = bbox.top - RIBBON * scale;
    const high = (RIBBON - 8) * scale;
    ctx.save();
    ctx.font = `${12 * scale}px ${getComputedStyle(document.body).fontFamily}`;
    ctx.textBaseline = "middle";
    ctx.textAlign = "center";
    for (const phase of page.charge.reading.phases) {
      if (phase.end_s < view[0] || phase.start_s > view[1]) continue;
      const [left, right] = [x(phase.start_s), x(phase.end_s)];
      const [token, share] = FILLS[phase.kind] ?? ["quiet", 0.08];
      ctx.fillStyle = thin(ink(token), share);
      ctx.fillRect(left, top, right - left, high);
      if (phase.rows === 0 || phase.kind === "supply lost") {
        ctx.save();
        ctx.beginPath();
        ctx.rect(left, top, right - left, bbox.height + RIBBON * scale);
        ctx.clip();
        ctx.strokeStyle = thin(ink(phase.rows === 0 ? "quiet" : "bad"), 0.35);
        ctx.lineWidth = scale;
        ctx.beginPath();
        for (let slant = left - bbox.height - high; slant < right; slant += 9 * scale) {
          ctx.moveTo(slant, bbox.top + bbox.height);
          ctx.lineTo(slant + bbox.height + RIBBON * scale, top);
        }
        ctx.stroke();
        ctx.restore();
      }
      ctx.strokeStyle = ink("line");
      ctx.lineWidth = scale;
      ctx.strokeRect(left, top, right - left, high);
      if (ctx.measureText(phase.kind).width + 8 * scale < right - left) {
        ctx.fillStyle = ink("ink");
        ctx.fillText(phase.kind, (left + right) / 2, top + high / 2);
      }
    }
    if (trace.unit === "A") {
      ctx.strokeStyle = ink("open");
      ctx.lineWidth = 1.5 * scale;
      ctx.setLineDash([7 * scale, 4 * scale]);
      for (const one of page.charge.reading.offer) {
        const phase = page.charge.reading.phases[one.phase];
        if (one.offer_a.value == null || phase.end_s < view[0] || phase.start_s > view[1]) continue;
        const y = u.valToPos(one.offer_a.value, "y", true);
        ctx.beginPath();
        ctx.moveTo(x(phase.start_s), y);
        ctx.lineTo(x(phase.end_s), y);
        ctx.stroke();
      }
      ctx.setLineDash([]);
    }
    ctx.fillStyle = thin(ink("ink"), 0.12);
    for (const item of document.querySelectorAll(".marks li[data-low]")) {
      const [low, high] = [Number(item.dataset.low), Number(item.dataset.high)];
      if (high < view[0] || low > view[1]) continue;
      ctx.fillRect(x(low), bbox.top, Math.max(x(high) - x(low), 1), bbox.height);
    }
    ctx.restore();
  };

  const options = (width) => ({
    width,
    height: 340,
    padding: [RIBBON + 6, 28, 0, 0],
    legend: { show: false },
    cursor: { drag: { x: false, y: false }, points: { show: false }, y: false },
    scales: { x: { time: false, range: () => view }, y: { range: () => [Math.min(0, ...trace.low.filter((one) => one != null)), 1.12 * most()] } },
    axes: [
      axis({ incrs: STEPS, space: 90, values: (u, places) => places.map(clock), label: "from the first row" }),
      axis({ size: 58, label: `${choice.value}, ${trace.unit}` }),
    ],
    bands: [{ series: [1, 2], fill: thin(ink("good"), 0.3) }],
    series: [{}, ...[1, 2].map(() => ({ stroke: ink("good"), width: 1.25, points: { show: false } }))],
    hooks: {
      draw: [ribbon],
      ready: [
        (u) => {
          u.over.append(...Object.values(lines));
        },
      ],
      setSize: [() => plot && tell()],
    },
  });
  const redraw = keepDrawn(place, (width) => {
    place.replaceChildren();
    plot = new uPlot(options(width), data(), place);
    setFlags();
    tell();
    return [plot];
  });

  const buttons = { ".closer": () => hand.closer(), ".wider": () => hand.wider(), ".earlier": () => hand.move(-0.5), ".later": () => hand.move(0.5), ".whole": () => hand.all() };
  for (const [name, act] of Object.entries(buttons)) figure.querySelector(`.hands ${name}`).addEventListener("click", act);
  for (const radio of figure.querySelectorAll("input[name=cursor]")) radio.addEventListener("change", () => put(hands[radio.value] ?? middle(), radio.value));
  figure.querySelector(".here").addEventListener("click", () => {
    form.elements.at.value = written(hands[inHand] ?? middle());
    form.elements.event.focus();
  });
  choice.addEventListener("change", async () => {
    await fetchView();
    redraw();
  });
  place.addEventListener("keydown", (event) => {
    if (event.target !== place) return;
    const step = ((view[1] - view[0]) / plot.over.clientWidth) * (event.shiftKey ? 20 : 2);
    const take = (name) => put(pointed ?? hands[name] ?? middle(), name);
    const ofCursor = inHand && {
      ArrowLeft: () => put(hands[inHand] - step),
      ArrowRight: () => put(hands[inHand] + step),
      Home: () => put(whole[0]),
      End: () => put(whole[1]),
    };
    const keys = { ...ofCursor, a: () => take("a"), b: () => take("b"), m: () => figure.querySelector(".here").click() };
    if (event.key === "Escape") inHand = null;
    if (!keys[event.key] || event.ctrlKey || event.metaKey || event.altKey) {
      hand.key(event);
      return;
    }
    event.preventDefault();
    keys[event.key]();
  });
  /** Take over what the server knows now; a mark that is being moved, or corrected in its form, is left alone. */
  async function refresh() {
    page = (await record(`${address}.json`)) ?? page;
    if (!holding) setFlags();
    plot.redraw();
    tell();
  }
  document.body.addEventListener("put", () => {
    form.reset();
    form.querySelector(".told").replaceChildren();
  });
  document.body.addEventListener("assessed", () => {
    if (!reading.hidden) fetchView();
    if (!holding && !document.querySelector(".marks details[open]")) document.body.dispatchEvent(new Event("marked"));
  });
  document.addEventListener("htmx:after:swap", () => figure.isConnected && refresh());
  fetchView();
});
