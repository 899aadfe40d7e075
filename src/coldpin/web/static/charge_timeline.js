// A charge over time: extremes of every stretch that turn into rows on zooming, phases above, marks and two cursors.
import { axis, forEvery, ink, keepDrawn, record, thin } from "./plot.js";

const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800, 604800];
const RIBBON = 34;
const WAIT = 150;
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
  const choice = figure.querySelector(".what");
  let page = await record(`${address}.json`);
  if (!page) return;
  document.documentElement.classList.add("drawing");
  const source = page.charge.reading.source;
  const whole = [0, source.duration_s];
  let trace = page.charge.trace;
  let view = [...whole];
  let plot;
  let asked;
  const hands = { a: null, b: null };
  let moving = "a";

  const most = () => Math.max(1e-9, ...trace.high.filter((one) => one != null), ...(trace.unit === "A" ? page.charge.reading.offer.map((one) => one.offer_a.value ?? 0) : []));
  const data = () => [trace.time_s, trace.high, trace.low];

  /** Ask for what is in view, as finely as the screen shows it; what was asked before is given up. */
  async function fetchView() {
    asked?.abort();
    const mine = (asked = new AbortController());
    const [start, end] = view;
    const query = new URLSearchParams({ what: choice.value, start, end, stretches: Math.max(200, Math.min(4000, place.clientWidth)) });
    try {
      for (;;) {
        const answer = await fetch(`${address}/trace.json?${query}`, { signal: mine.signal });
        if (answer.status === 202) {
          await new Promise((go) => setTimeout(go, WAIT));
          if (mine.signal.aborted) return;
          continue;
        }
        if (!answer.ok) return;
        trace = await answer.json();
        figure.dataset.shows = trace.exact ? "rows" : "extremes";
        plot.setData(data(), false);
        plot.setScale("x", { min: start, max: end });
        return tell();
      }
    } catch (error) {
      if (error.name !== "AbortError") throw error;
    }
  }

  function show(start, end) {
    const least = 2 * source.usual_interval_s || 1e-3;
    const length = Math.min(Math.max(end - start, least), whole[1] - whole[0]);
    const from = Math.min(Math.max(start, whole[0]), whole[1] - length);
    view = [from, from + length];
    plot.setScale("x", { min: view[0], max: view[1] });
    fetchView();
  }
  const zoom = (by) => {
    const about = hands[moving] ?? (view[0] + view[1]) / 2;
    const inside = about >= view[0] && about <= view[1] ? about : (view[0] + view[1]) / 2;
    show(inside - (inside - view[0]) * by, inside + (view[1] - inside) * by);
  };
  const pan = (share) => show(view[0] + share * (view[1] - view[0]), view[1] + share * (view[1] - view[0]));

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
    for (const flag of flags) flag.follow();
    const told = Object.entries(hands)
      .filter(([, seconds]) => seconds != null)
      .map(([name, seconds]) => `${name.toUpperCase()} ${clock(seconds)} (${seconds.toFixed(1)} s): ${at(seconds)}`);
    if (hands.a != null && hands.b != null) told.push(`between them ${clock(Math.abs(hands.b - hands.a))} (${Math.abs(hands.b - hands.a).toFixed(1)} s)`);
    read.textContent = told.join(" · ");
  }
  function put(seconds) {
    hands[moving] = Math.min(Math.max(seconds, whole[0]), whole[1]);
    if (hands[moving] < view[0] || hands[moving] > view[1]) pan((hands[moving] - (view[0] + view[1]) / 2) / (view[1] - view[0]));
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
  function flag(item, number) {
    const holder = document.createElement("div");
    holder.className = "mark";
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = number;
    button.setAttribute("aria-label", `Mark ${number}, ${item.dataset.kind}: arrow keys move it, Enter opens it`);
    holder.append(button);
    let seconds = Number(item.dataset.at);
    const follow = () => {
      holder.hidden = !(seconds >= view[0] && seconds <= view[1]);
      if (!holder.hidden) holder.style.left = `${plot.valToPos(seconds, "x")}px`;
    };
    const open = () => {
      const details = item.querySelector("details");
      details.open = true;
      details.scrollIntoView({ block: "nearest" });
      return details;
    };
    const write = () => {
      const field = item.querySelector("input[name=at]");
      const moved = Number(item.dataset.own) + seconds - Number(item.dataset.at);
      field.value = written(moved);
    };
    const focusReason = () => open().querySelector("input[name=reason]").focus({ preventScroll: true });
    let held = null;
    button.addEventListener("pointerdown", (event) => {
      held = { x: event.clientX, from: seconds, moved: false };
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
      focusReason();
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
    return { holder, follow };
  }
  function setFlags() {
    for (const old of flags) old.holder.remove();
    flags = [...document.querySelectorAll(".marks li[data-at]")].map((item, index) => flag(item, index + 1));
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
    padding: [RIBBON + 6, 12, 0, 0],
    legend: { show: false },
    cursor: { drag: { x: true, y: false, dist: 6, setScale: false }, points: { show: false }, y: false },
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
          u.over.addEventListener("click", (event) => {
            if (event.target !== u.over) return;
            put(u.posToVal(event.offsetX, "x"));
          });
          u.over.addEventListener("dblclick", () => show(...whole));
        },
      ],
      setSelect: [
        (u) => {
          const { left, width: wide } = u.select;
          if (wide < 6) return;
          const [start, end] = [u.posToVal(left, "x"), u.posToVal(left + wide, "x")];
          u.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
          show(start, end);
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

  const buttons = { ".in": () => zoom(0.5), ".out": () => zoom(2), ".back": () => pan(-0.5), ".on": () => pan(0.5), ".all": () => show(...whole) };
  for (const [name, act] of Object.entries(buttons)) figure.querySelector(`.hands ${name}`).addEventListener("click", act);
  for (const radio of figure.querySelectorAll("input[name=cursor]")) radio.addEventListener("change", () => (moving = radio.value));
  figure.querySelector(".here").addEventListener("click", () => {
    const form = document.querySelector(".new-mark");
    form.elements.at.value = written(hands[moving] ?? (view[0] + view[1]) / 2);
    form.elements.event.focus();
  });
  choice.addEventListener("change", async () => {
    await fetchView();
    redraw();
  });
  place.addEventListener("keydown", (event) => {
    if (event.target !== place) return;
    const step = ((view[1] - view[0]) / plot.over.clientWidth) * (event.shiftKey ? 20 : 2);
    const here = hands[moving] ?? (view[0] + view[1]) / 2;
    const choose = (name) => {
      moving = name;
      figure.querySelector(`input[name=cursor][value=${name}]`).checked = true;
      put(hands[name] ?? here);
    };
    const keys = {
      ArrowLeft: () => put(here - step),
      ArrowRight: () => put(here + step),
      Home: () => put(whole[0]),
      End: () => put(whole[1]),
      PageUp: () => pan(-0.5),
      PageDown: () => pan(0.5),
      "+": () => zoom(0.5),
      "=": () => zoom(0.5),
      "-": () => zoom(2),
      Escape: () => show(...whole),
      a: () => choose("a"),
      b: () => choose("b"),
      m: () => figure.querySelector(".here").click(),
    };
    if (!keys[event.key] || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    keys[event.key]();
  });
  place.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      const about = plot.posToVal(event.clientX - plot.over.getBoundingClientRect().left, "x");
      const by = event.deltaY > 0 ? 1.25 : 0.8;
      show(about - (about - view[0]) * by, about + (view[1] - about) * by);
    },
    { passive: false },
  );
  document.addEventListener("htmx:after:swap", async () => {
    if (!figure.isConnected) return;
    page = (await record(`${address}.json`)) ?? page;
    setFlags();
    plot.redraw();
    tell();
  });
  fetchView();
});
