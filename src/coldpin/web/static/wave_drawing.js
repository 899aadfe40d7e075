/* The wave itself: one drawing for each channel, with the windows of its levels and what the analysis used behind it.
   Its colours are those of the page, read anew when the page turns light or dark. */

const uPlot = window.uPlot;
const HEIGHT = { pilot: 290, output: 150 };
const NARROW = { pilot: 230, output: 130 };
const DOT = 7; // pixels from sample to sample, from which on each is a dot
const AIR = 0.06; // of the height, above and below

const narrow = () => window.innerWidth < 640;

export class Drawing {
  constructor(place, channel, marks, { interval, bands, lowest }) {
    Object.assign(this, { place, channel, marks, interval, bands, lowest });
    this.range = [0, 1];
    this.height = [-1, 1];
    this.most = null;
    this.shades = [];
    this.plot = null;
    this.make();
  }

  make() {
    const data = this.plot?.data ?? [[], [], []];
    this.plot?.destroy();
    const said = getComputedStyle(this.place);
    const colour = (name) => said.getPropertyValue(name).trim();
    this.colours = { band: colour("--wave-band"), edge: colour("--wave-edge"), used: colour("--wave-used"), rule: colour("--line") };
    const ink = colour("--wave-ink");
    const axis = { stroke: colour("--quiet"), grid: { stroke: colour("--wave-grid"), width: 1 }, ticks: { show: false }, font: `12px ${said.fontFamily}` };
    const dots = (plot) => {
      const many = plot.data[0].length;
      return this.single && many > 1 && plot.valToPos(plot.data[0][1], "x") - plot.valToPos(plot.data[0][0], "x") > DOT;
    };
    // what holds whole cycles is one even area; what shows each cycle is a line
    const drawn = () => (this.even ? colour("--wave-even") : ink);
    const line = { stroke: drawn, width: 1.25, points: { show: dots, size: 5, stroke: ink, fill: ink } };
    this.plot = new uPlot(
      {
        width: this.width(),
        height: this.tall(),
        legend: { show: false },
        cursor: { show: true, x: true, y: false, points: { show: false }, drag: { x: false, y: false } },
        scales: { x: { time: false, range: () => this.range }, y: { range: () => this.height } },
        series: [{}, line, { ...line, points: { show: false } }],
        bands: [{ series: [1, 2], fill: () => (this.even ? colour("--wave-even") : colour("--wave-fill")) }],
        axes: [
          { ...axis, size: this.lowest ? 30 : 8, space: 90, values: (_, ticks) => ticks.map((tick) => (this.lowest ? this.said(tick, ticks) : "")) }, // times are told once, under the lowest
          {
            ...axis,
            size: narrow() ? 44 : 58,
            space: 34,
            values: (_, ticks) => ticks.map((tick) => String(Number(tick.toPrecision(6))).replace("-", "−")),
            label: narrow() ? null : `${this.channel} (V)`,
            labelSize: narrow() ? 0 : 20,
            labelFont: axis.font,
            labelGap: 0,
          },
        ],
        hooks: { drawClear: [(plot) => this.behind(plot)] },
      },
      data,
      this.place,
    );
  }

  /** A tick of time, in the unit of the axis, told once at its end. */
  said(tick, ticks) {
    const span = this.range[1] - this.range[0];
    const far = Math.max(Math.abs(this.range[0]), Math.abs(this.range[1]));
    const [factor, unit] = [[1, "s"], [1e-3, "ms"], [1e-6, "µs"]].find(([size]) => Math.max(span, far / 1e4) >= size) ?? [1e-6, "µs"];
    const digits = Math.ceil(Math.log10(Math.max(far / (ticks.length > 1 ? ticks[1] - ticks[0] : span), 1))) + 2;
    return `${Number((tick / factor).toPrecision(Math.min(digits, 15)))}${tick === ticks.at(-1) ? ` ${unit}` : ""}`.replace("-", "−");
  }

  width() {
    return Math.max(this.place.clientWidth, 200);
  }

  tall() {
    return (narrow() ? NARROW : HEIGHT)[this.channel];
  }

  /** Put what was fetched into the drawing; a column without samples is a gap. */
  put(cut) {
    this.even = cut.even;
    this.single = cut.per === 1; // a column of several is no sample, however wide
    const own = cut.channels.find((channel) => channel.name === this.channel);
    const middle = (cut.per - 1) / 2;
    const last = cut.stop - 1;
    const times = Float64Array.from(own.low, (_, column) => {
      const first = cut.first + column * cut.per;
      return Math.min(first + middle, (first + last) / 2) * this.interval;
    });
    const gaps = own.low.some(Number.isNaN);
    const numbers = (side) => (gaps ? Array.from(side, (value) => (Number.isNaN(value) ? null : value)) : side);
    this.plot.setData([times, numbers(own.high), numbers(own.low)], false);
    this.own = own;
  }

  /** Show a stretch of time [s], the height that of the whole capture or of what is in view. */
  show(from, to, fit) {
    this.range = [from, to];
    const [low, high] = fit ? this.extremes(from, to) : this.most ?? this.extremes(-Infinity, Infinity);
    const air = AIR * (high - low) || 0.5;
    this.height = [low - air, high + air];
    this.plot.batch(() => {
      this.plot.setScale("x", { min: from, max: to });
      this.plot.setScale("y", { min: this.height[0], max: this.height[1] });
    });
  }

  /** Hold the height of all that was fetched, which is the whole capture. */
  hold() {
    this.most ??= this.extremes(-Infinity, Infinity);
  }

  extremes(from, to) {
    const [times, high, low] = this.plot.data;
    let least = Infinity;
    let most = -Infinity;
    for (let place = 0; place < times.length; place += 1) {
      if (times[place] < from || times[place] > to || low[place] === null) continue;
      least = Math.min(least, low[place]);
      most = Math.max(most, high[place]);
    }
    return least <= most ? [least, most] : [-1, 1];
  }

  /** What stands behind the wave: the windows of the levels of each state, and what the figures of a cycle were taken from. */
  behind(plot) {
    const { ctx } = plot;
    const { left, top, width, height } = plot.bbox;
    ctx.save();
    ctx.beginPath();
    ctx.rect(left, top, width, height);
    ctx.clip();
    const across = (value) => plot.valToPos(value, "x", true);
    const up = (value) => plot.valToPos(value, "y", true);
    for (const { from, to } of this.shades) {
      ctx.fillStyle = this.colours.used;
      ctx.fillRect(across(from), top, Math.max(across(to) - across(from), 2), height);
    }
    if (this.channel === "pilot") {
      for (const { state, stretch } of this.marks.states) {
        const begin = Math.max(across(stretch.from_s), left);
        const end = Math.min(across(stretch.to_s), left + width);
        const band = this.bands.get(state);
        if (!band || end - begin < 3) continue;
        for (const window of [band.high_v, band.low_v]) {
          if (!window) continue;
          const [bottom, roof] = [up(window[0]), up(window[1])];
          ctx.fillStyle = this.colours.band;
          ctx.fillRect(begin, roof, end - begin, bottom - roof);
          ctx.strokeStyle = this.colours.edge;
          ctx.setLineDash([4, 4]);
          ctx.strokeRect(begin, roof, end - begin, bottom - roof);
        }
      }
    }
    ctx.setLineDash([]);
    ctx.strokeStyle = this.colours.rule;
    ctx.beginPath();
    ctx.moveTo(left, up(0));
    ctx.lineTo(left + width, up(0));
    ctx.stroke();
    ctx.restore();
  }

  resize() {
    this.plot.setSize({ width: this.width(), height: this.tall() });
  }
}
