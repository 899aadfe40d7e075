// One hand for every figure over time, be it a wave, a charge or a curve of heating: what dragging, fingers, wheel and keys do in all.

const CLICK = 5; // pixels by which a click may move
const STEP = 2; // how much closer a key or a button comes
const WHEEL = 1.002; // how much closer one unit of the wheel comes
const PINCHED = 1.01; // the same where two fingers on a pad say it, whose units are finer
const LINE = 33; // units of a wheel that counts lines
const CLOSE = 0.02; // of the width: fingers as near as this only move

const within = (value, low, high) => Math.min(Math.max(value, low), high);

/**
 * Moves what a figure shows. `figure` says, in whatever unit its axis has:
 *   plots()            those drawn now, one above the other
 *   view(), whole()    the stretch in view, and all there is: [begin, end]
 *   least()            the shortest stretch that is shown
 *   show(begin, end)   shows a stretch, which never leaves the whole
 *   held()             a place that is kept where it is by keys, or nothing
 *   marked()           the stretch between its cursors, or nothing
 *   click(at)          does what a click there does; may return what takes it back
 *   pointed(at)        takes notice of the pointer there, or of its being gone
 */
export class Hand {
  constructor(place, figure) {
    Object.assign(this, { place, figure });
    this.fingers = new Map(); // where each is, in parts of the view
    this.begun = null;
    this.clicks = [];
    const listen = (name, act, more) => place.addEventListener(name, act, more);
    listen("pointerdown", (event) => this.down(event));
    listen("pointermove", (event) => this.drag(event));
    for (const name of ["pointerup", "pointercancel"]) listen(name, (event) => this.up(event));
    listen("pointerleave", () => figure.pointed?.(null));
    listen("wheel", (event) => this.wheel(event), { passive: false });
    listen("dblclick", (event) => this.twice(event));
    // else two fingers that go up or down would scroll the page
    listen("touchstart", (event) => event.touches.length > 1 && this.over(event) && event.preventDefault(), { passive: false });
  }

  /* ---- what is shown ---- */

  /** Show a stretch: no shorter than the shortest, and what would lie outside is moved in. */
  to(begin, end) {
    const [first, last] = this.figure.whole();
    const length = within(end - begin, Math.min(this.figure.least(), last - first), last - first);
    const from = within((begin + end - length) / 2, first, last - length);
    this.figure.show(from, from + length);
  }

  /** Show from one part of what is in view to another: 0 is where it begins, 1 where it ends. */
  part(from, to) {
    const [begin, end] = this.figure.view();
    const [first, last] = this.figure.whole();
    const size = end - begin;
    const length = within((to - from) * size, Math.min(this.figure.least(), last - first), last - first);
    const stretch = to - from;
    // the place that such a stretching leaves where it is, it leaves there too where it ends early
    const left = Math.abs(1 - stretch) < 1e-6 ? from * size : (from / (1 - stretch)) * (size - length);
    const start = within(begin + left, first, last - length);
    this.figure.show(start, start + length);
  }

  /** Come closer by a factor, above one, or go wider; what is at `at` of the view stays where it is. */
  closer(factor = STEP, at = this.middle()) {
    this.part(at - at / factor, at + (1 - at) / factor);
  }

  wider() {
    this.closer(1 / STEP);
  }

  move(part) {
    this.part(part, 1 + part);
  }

  all() {
    this.figure.show(...this.figure.whole());
  }

  /** What keys leave where it is: the place the figure holds, where it is in view, else the middle. */
  middle() {
    const [begin, end] = this.figure.view();
    const held = this.figure.held?.() ?? null;
    return held === null || held < begin || held > end ? 0.5 : (held - begin) / (end - begin);
  }

  /* ---- keys ---- */

  /** Do what a key does in every figure; says whether it does anything. */
  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    const along = event.shiftKey ? 1 : 0.1;
    const [first, last] = this.figure.whole();
    const [begin, end] = this.figure.view();
    const deeds = {
      ArrowLeft: () => this.move(-along),
      ArrowRight: () => this.move(along),
      PageUp: () => this.move(-0.5),
      PageDown: () => this.move(0.5),
      Home: () => this.to(first, first + end - begin),
      End: () => this.to(last - (end - begin), last),
      ArrowUp: () => this.closer(),
      "+": () => this.closer(),
      "=": () => this.closer(),
      ArrowDown: () => this.wider(),
      "-": () => this.wider(),
      0: () => this.all(),
      z: () => this.between(),
      Escape: () => (this.begun?.picks ? this.letGo() : this.all()),
    };
    const deed = deeds[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!deed) return false;
    event.preventDefault();
    deed();
    return true;
  }

  between() {
    const marked = this.figure.marked?.();
    if (marked) this.to(Math.min(...marked), Math.max(...marked));
  }

  /* ---- pointers ---- */

  over(event) {
    return event.target.closest?.(".u-over") != null;
  }

  /** Where a pointer is, in parts of the view. */
  at(event) {
    const { left, width } = this.figure.plots()[0].over.getBoundingClientRect();
    return (event.clientX - left) / width;
  }

  value(part) {
    const [begin, end] = this.figure.view();
    return begin + within(part, 0, 1) * (end - begin);
  }

  down(event) {
    if (!this.over(event) || event.button > 0) return;
    this.place.focus({ preventScroll: true });
    this.fingers.set(event.pointerId, this.at(event));
    if (this.fingers.size > 1) {
      this.letGo();
      this.begun = { moved: true, picks: false };
    } else this.begun = { x: event.clientX, at: this.at(event), moved: false, picks: !event.shiftKey };
  }

  drag(event) {
    if (this.over(event)) this.figure.pointed?.(this.value(this.at(event)));
    if (!this.fingers.has(event.pointerId) || !this.begun) return;
    if (!this.begun.moved && Math.abs(event.clientX - this.begun.x) < CLICK) return;
    if (!this.place.hasPointerCapture(event.pointerId)) this.place.setPointerCapture(event.pointerId);
    this.begun.moved = true;
    const now = this.at(event);
    const before = this.fingers.get(event.pointerId);
    this.fingers.set(event.pointerId, now);
    if (this.fingers.size > 1) this.pinch(event.pointerId, before, now);
    else if (this.begun.picks) this.pick(this.begun.at, now);
    else this.move(before - now);
  }

  /** Two fingers: what lies under each stays under it. */
  pinch(moving, before, now) {
    const [, other] = [...this.fingers].find(([id]) => id !== moving);
    const stretch = (before - other) / (now - other);
    if (Math.abs(now - other) < CLOSE || Math.abs(before - other) < CLOSE || stretch <= 0) this.move((before - now) / 2);
    else this.part(other - other * stretch, other + (1 - other) * stretch);
  }

  /** Shade the stretch that is being picked. */
  pick(from, to) {
    for (const plot of this.figure.plots()) {
      const wide = plot.over.clientWidth;
      const [low, high] = [Math.min(from, to), Math.max(from, to)].map((part) => within(part, 0, 1) * wide);
      plot.setSelect({ left: low, width: high - low, top: 0, height: plot.over.clientHeight }, false);
    }
  }

  /** Give up what is being picked. */
  letGo() {
    for (const plot of this.figure.plots()) plot.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
    this.begun = null;
  }

  up(event) {
    if (!this.fingers.delete(event.pointerId) || !this.begun) return;
    const { at, moved, picks } = this.begun;
    if (this.fingers.size) {
      this.begun = { moved: true, picks: false }; // one finger is left, and goes on moving
      return;
    }
    this.letGo();
    if (event.type === "pointercancel") return;
    if (!moved) this.clicks = [...this.clicks.slice(-1), this.figure.click?.(this.value(this.at(event)))];
    else if (picks) {
      const [from, to] = [at, this.at(event)].map((part) => within(part, 0, 1));
      if (from !== to) this.part(Math.min(from, to), Math.max(from, to));
    }
  }

  /** The whole; what the two clicks did is taken back. */
  twice(event) {
    if (!this.over(event) || event.target.closest("button")) return;
    for (const back of this.clicks.reverse()) back?.(); // the later first
    this.clicks = [];
    this.all();
  }

  wheel(event) {
    if (!this.over(event)) return;
    event.preventDefault();
    const unit = event.deltaMode === WheelEvent.DOM_DELTA_PIXEL ? 1 : LINE;
    const wide = this.figure.plots()[0].over.clientWidth;
    if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) this.move((unit * event.deltaX) / wide);
    else this.closer((event.ctrlKey ? PINCHED : WHEEL) ** (-unit * event.deltaY), within(this.at(event), 0, 1));
  }
}
