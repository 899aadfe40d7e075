// The curve of a heating run: readings, the best curve, its band, what is left; arrows go along the readings.
import { Hand } from "./by_hand.js";
import { axis, forEvery, ink, keepDrawn, record, thin } from "./plot.js";

const MINUTES = [60, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, 86400];
const minutes = (plot, places) => places.map((second) => (second / 60).toFixed(0));
const said = (unit) => (plot, value) => (value == null ? "–" : `${value.toFixed(2)} ${unit}`);

forEvery("figure[data-run]", async (figure) => {
  const page = await record(figure.dataset.run);
  if (!page) return;
  const { chart, part, stop_at_c: stop } = page.run.heated.rise;
  const place = figure.querySelector(".wide");
  const table = uPlot.join([
    [chart.time_s, chart.read_c, chart.fitted_c, chart.residual_k],
    [chart.at_s, chart.high_c, chart.middle_c, chart.low_c],
  ]);
  const [time, read, fitted, residual, high, middle, low] = table;
  let plots = [];
  const whole = [time[0], time.at(-1)];
  let view = [...whole];
  const range = () => {
    const cool = Math.min(...chart.read_c);
    const warm = Math.max(...chart.read_c);
    const span = Math.max(warm - cool, 1);
    const top = Math.min(Math.max(...chart.high_c, warm), warm + span);
    return [cool - 0.06 * span, Math.max(top, stop > warm && stop < warm + span ? stop : top) + 0.06 * span];
  };
  const pointed = (plot) => plot.root.classList.toggle("pointed", plot.cursor.idx != null);
  const dots = (colour) => ({ paths: () => null, points: { show: true, size: 4, stroke: colour, fill: colour } });
  const shared = (width, height) => ({
    width,
    height,
    cursor: { sync: { key: figure.dataset.run }, drag: { x: false, y: false }, points: { size: 7 } },
  });
  const across = (plot) => {
    const { ctx, bbox } = plot;
    ctx.save();
    ctx.lineWidth = devicePixelRatio;
    ctx.setLineDash([4, 4]);
    const end = plot.valToPos(chart.time_s.at(-1), "x", true);
    ctx.strokeStyle = ink("line");
    ctx.beginPath();
    ctx.moveTo(end, bbox.top);
    ctx.lineTo(end, bbox.top + bbox.height);
    ctx.stroke();
    if (stop != null) {
      const height = plot.valToPos(stop, "y", true);
      if (height > bbox.top) {
        ctx.strokeStyle = ctx.fillStyle = ink("bad");
        ctx.beginPath();
        ctx.moveTo(bbox.left, height);
        ctx.lineTo(bbox.left + bbox.width, height);
        ctx.stroke();
        ctx.textAlign = "left";
        ctx.textBaseline = "alphabetic";
        ctx.font = `${12 * devicePixelRatio}px ${getComputedStyle(document.body).fontFamily}`;
        ctx.fillText("stop", bbox.left + 6 * devicePixelRatio, height - 5 * devicePixelRatio);
      }
    }
    ctx.restore();
  };
  const curve = (width) => ({
    ...shared(width, 300),
    scales: { x: { time: false, range: () => view }, y: { range } },
    axes: [axis({ incrs: MINUTES, values: minutes }), axis({ label: `${part}, °C`, size: 52 })],
    bands: [{ series: [3, 5], fill: thin(ink("good"), 0.18) }],
    series: [
      { label: "minutes", value: (plot, value) => (value == null ? "–" : (value / 60).toFixed(1)) },
      { label: "read", value: said("°C"), ...dots(ink("quiet")) },
      { label: "best curve", value: said("°C"), stroke: ink("good"), width: 2, spanGaps: true, points: { show: false } },
      { label: "at most", value: said("°C"), stroke: thin(ink("good"), 0.35), width: 1, spanGaps: true, points: { show: false } },
      { label: "middle", value: said("°C"), stroke: ink("good"), dash: [5, 4], width: 1, spanGaps: true, points: { show: false } },
      { label: "at least", value: said("°C"), stroke: thin(ink("good"), 0.35), width: 1, spanGaps: true, points: { show: false } },
    ],
    hooks: { draw: [across], setCursor: [pointed] },
  });
  const most = Math.max(...chart.residual_k.map(Math.abs), 1e-3);
  const decade = 10 ** Math.floor(Math.log10(most));
  const edge = Number((Math.ceil(most / decade) * decade).toPrecision(3));
  const left = (width) => ({
    ...shared(width, 130),
    scales: { x: { time: false, range: () => view }, y: { range: [-1.15 * edge, 1.15 * edge] } },
    axes: [
      axis({ incrs: MINUTES, values: minutes, label: "minutes from the first row" }),
      axis({ label: "left, K", size: 52, splits: () => [-edge, 0, edge], values: (plot, places) => places.map((one) => String(one).replace("-", "−")) }),
    ],
    series: [{ label: "minutes", value: (plot, value) => (value == null ? "–" : (value / 60).toFixed(1)) }, { label: "left over", value: said("K"), ...dots(ink("quiet")) }],
    hooks: { setCursor: [pointed] },
  });
  keepDrawn(place, (width) => {
    place.replaceChildren();
    plots = [
      new uPlot(curve(width), [time, read, fitted, high, middle, low], place),
      new uPlot(left(width), [time, residual], place),
    ];
    return plots;
  });
  const go = (at) =>
    plots[0].setCursor({ left: plots[0].valToPos(time[at], "x"), top: plots[0].valToPos(fitted[at] ?? middle[at] ?? read[at], "y") });
  const nearest = (second) => time.reduce((best, one, index) => (Math.abs(one - second) < Math.abs(time[best] - second) ? index : best), 0);
  const hand = new Hand(place, {
    plots: () => plots,
    view: () => view,
    whole: () => whole,
    least: () => (3 * (whole[1] - whole[0])) / (time.length - 1),
    show: (begin, end) => {
      view = [begin, end];
      for (const plot of plots) plot.setScale("x", { min: begin, max: end });
    },
    held: () => time[plots[0].cursor.idx] ?? null,
    click: (at) => void go(nearest(at)),
  });
  place.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!step) {
      hand.key(event);
      return;
    }
    event.preventDefault();
    const at = Math.min(Math.max((plots[0].cursor.idx ?? nearest(view[0])) + step, 0), time.length - 1);
    if (time[at] < view[0] || time[at] > view[1]) hand.to(time[at] - (view[1] - view[0]) / 2, time[at] + (view[1] - view[0]) / 2);
    queueMicrotask(() => go(at)); // once the drawing has moved
  });
});
