// The curve of a heating run: readings, the best curve, its band, what is left; a drag or + zooms, arrows go along it.
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
  const range = () => {
    const cool = Math.min(...chart.read_c);
    const warm = Math.max(...chart.read_c);
    const span = Math.max(warm - cool, 1);
    const top = Math.min(Math.max(...chart.high_c, warm), warm + span);
    return [cool - 0.06 * span, Math.max(top, stop > warm && stop < warm + span ? stop : top) + 0.06 * span];
  };
  const follow = (plot, scale) => {
    if (scale !== "x") return;
    const { min, max } = plot.scales.x;
    for (const other of plots)
      if (other !== plot && (other.scales.x.min !== min || other.scales.x.max !== max)) other.setScale("x", { min, max });
  };
  const dots = (colour) => ({ paths: () => null, points: { show: true, size: 4, stroke: colour, fill: colour } });
  const shared = (width, height) => ({
    width,
    height,
    cursor: { sync: { key: figure.dataset.run }, drag: { x: true, y: false }, points: { size: 7 } },
    scales: { x: { time: false } },
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
    scales: { x: { time: false }, y: { range } },
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
    hooks: { draw: [across], setScale: [follow] },
  });
  const most = Math.max(...chart.residual_k.map(Math.abs), 1e-3);
  const decade = 10 ** Math.floor(Math.log10(most));
  const edge = Number((Math.ceil(most / decade) * decade).toPrecision(3));
  const left = (width) => ({
    ...shared(width, 130),
    scales: { x: { time: false }, y: { range: [-1.15 * edge, 1.15 * edge] } },
    axes: [
      axis({ incrs: MINUTES, values: minutes, label: "minutes from the first row" }),
      axis({ label: "left, K", size: 52, splits: () => [-edge, 0, edge], values: (plot, places) => places.map((one) => String(one).replace("-", "−")) }),
    ],
    series: [{ label: "minutes", value: (plot, value) => (value == null ? "–" : (value / 60).toFixed(1)) }, { label: "left over", value: said("K"), ...dots(ink("quiet")) }],
    hooks: { setScale: [follow] },
  });
  keepDrawn(place, (width) => {
    place.replaceChildren();
    plots = [
      new uPlot(curve(width), [time, read, fitted, high, middle, low], place),
      new uPlot(left(width), [time, residual], place),
    ];
    return plots;
  });
  const whole = [time[0], time.at(-1)];
  const show = (min, max) => plots[0].setScale("x", { min: Math.max(min, whole[0]), max: Math.min(max, whole[1]) });
  place.addEventListener("keydown", (event) => {
    const { min, max } = plots[0].scales.x;
    const at = plots[0].cursor.idx ?? time.findIndex((one) => one >= min);
    const middleTime = time[at] ?? (min + max) / 2;
    const go = (step) => {
      const next = Math.min(Math.max(at + step, 0), time.length - 1);
      plots[0].setCursor({ left: plots[0].valToPos(time[next], "x"), top: plots[0].valToPos(fitted[next] ?? middle[next] ?? read[next], "y") });
    };
    const keys = {
      ArrowLeft: () => go(-1),
      ArrowRight: () => go(1),
      "+": () => show(middleTime - (max - min) / 4, middleTime + (max - min) / 4),
      "-": () => show(middleTime - (max - min), middleTime + (max - min)),
      Escape: () => show(...whole),
    };
    if (!keys[event.key]) return;
    event.preventDefault();
    keys[event.key]();
  });
});
