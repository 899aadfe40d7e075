/* The part of a capture in view, in samples: where it begins and how much it is. It never leaves the capture. */

const FEWEST = 12; // samples in the closest view

export class View {
  constructor(samples) {
    this.samples = samples;
    this.first = 0;
    this.count = samples;
  }

  /** Show a part; what would lie outside is moved in. */
  show(first, count) {
    this.count = Math.min(Math.max(count, Math.min(FEWEST, this.samples)), this.samples);
    this.first = Math.min(Math.max(first, 0), this.samples - this.count);
  }

  whole() {
    this.show(0, this.samples);
  }

  /** Come closer by a factor, above one, or go wider; what is at `at` of the width stays where it is. */
  closer(factor, at = 0.5) {
    const held = this.first + at * this.count;
    const count = Math.min(Math.max(this.count / factor, FEWEST), this.samples);
    this.show(held - at * count, count);
  }

  /** Move by a part of the width. */
  move(part) {
    this.show(this.first + part * this.count, this.count);
  }

  /** Bring a place into the middle, with `around` samples in view where it is wider than that. */
  bring(place, around = this.count) {
    const count = Math.min(this.count, around);
    this.show(place - count / 2, count);
  }

  get stop() {
    return this.first + this.count;
  }
}
