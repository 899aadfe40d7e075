/* Windows of a capture, fetched as numbers of 32 bits: the lowest and highest sample of each column, or every sample. */

const MARGIN = 0.5; // of the view, fetched to either side, so that a wave that is moved is there already
const FINE = 2; // columns for a pixel, since a column holds a power of two of samples
const WAITS = 202; // the answer while so wide a window is being prepared
const FEWEST = 16;
const MOST = 4096;
const APART = 3; // pixels from cycle to cycle, under which each is not told from the next

/** What was fetched: where it begins, how many samples a column holds, and the numbers of each channel. */
class Cut {
  constructor(record, numbers) {
    Object.assign(this, record);
    this.per = record.samples_per_column;
    this.columns = Math.ceil((record.stop - record.first) / this.per);
    const sides = this.per === 1 ? 1 : 2;
    this.channels = record.channels.map((channel, place) => {
      const from = place * sides * this.columns;
      const low = numbers.subarray(from, from + this.columns);
      return { name: channel.name, low, high: sides === 1 ? low : numbers.subarray(from + this.columns, from + 2 * this.columns) };
    });
  }

  /** The column that holds a sample, or -1. */
  column(sample) {
    const found = Math.floor((sample - this.first) / this.per);
    return sample >= this.first && sample < this.stop ? found : -1;
  }

  holds(view) {
    return this.first <= Math.floor(view.first) && Math.min(Math.ceil(view.stop), view.samples) <= this.stop;
  }
}

export class Samples {
  /** Of what repeats, `beats` says how many samples it takes; a column holds a whole one where many stand side by side. */
  constructor(address, beats) {
    Object.assign(this, { address, beats });
  }

  /** Fetch what is about a view, in columns for so many pixels; null while so wide a window is being prepared. */
  async about(view, pixels) {
    const first = Math.max(0, Math.floor(view.first - MARGIN * view.count));
    const stop = Math.min(view.samples, Math.ceil(view.stop + MARGIN * view.count));
    const wide = (stop - first) / view.count;
    const close = this.beats.filter((beat) => (beat / view.count) * pixels < APART);
    const whole = close.map((beat) => Math.floor((stop - first) / beat));
    const columns = Math.max(FEWEST, Math.min(MOST, Math.round(FINE * pixels * wide), ...whole));
    const given = new URLSearchParams({ first, count: stop - first, columns });
    const answer = await fetch(`${this.address}/samples?${given}`);
    if (answer.status === WAITS) return null;
    if (!answer.ok) throw new Error(`the window from sample ${first} was not given (${answer.status})`);
    const numbers = new Float32Array(await answer.arrayBuffer());
    return new Cut({ ...JSON.parse(answer.headers.get("coldpin-wave")), even: close.length > 0 }, numbers);
  }
}
