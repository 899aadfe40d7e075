/* The part of a capture in view, in samples: where it begins and how much it is. It never leaves the capture. */

export const FEWEST = 12; // samples in the closest view

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

  /** Bring a place into the middle, with `around` samples in view where it is wider than that. */
  bring(place, around = this.count) {
    const count = Math.min(this.count, around);
    this.show(place - count / 2, count);
  }

  get stop() {
    return this.first + this.count;
  }
}
