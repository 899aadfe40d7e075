/* Numbers as the page writes them: a unit that suits, a true minus, a space before the unit. */

const TIMES = [[1, "s"], [1e-3, "ms"], [1e-6, "µs"], [1e-9, "ns"]];
const RATES = [[1e6, "MHz"], [1e3, "kHz"], [1, "Hz"], [1e-3, "mHz"]];

function written(value, digits) {
  return Number(value.toPrecision(digits)).toString().replace("-", "−");
}

function inUnits(value, units, digits) {
  if (value === 0) return `0 ${units[0][1]}`;
  const [factor, unit] = units.find(([size]) => Math.abs(value) >= size) ?? units.at(-1);
  return `${written(value / factor, digits)} ${unit}`;
}

/** A time, with digits enough for one part in `digits` powers of ten. */
export const time = (seconds, digits = 7) => inUnits(seconds, TIMES, digits);

/** A rate of one over a time. */
export const rate = (hertz) => inUnits(hertz, RATES, 5);

/** Volts, to a millivolt below a kilovolt. */
export const volts = (value) => `${written(value, Math.abs(value) < 100 ? 4 : 5)} V`;

/** A whole number in groups of three. */
export const counted = (number) => number.toLocaleString("en").replaceAll(",", "\u202f");
