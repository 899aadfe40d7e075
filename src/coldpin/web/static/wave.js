/* The page of a capture: the wave in any zoom, moved about in by pointer, wheel, fingers, keys and buttons. */

import { Cursors } from "./wave_cursors.js";
import { Drawing } from "./wave_drawing.js";
import { counted, time } from "./numbers.js";
import { Ribbon } from "./wave_ribbon.js";
import { Samples } from "./wave_samples.js";
import { View } from "./wave_view.js";

const STEP = 1.6; // how much closer a button or a key comes
const WHEEL = 1.0015; // how much closer one unit of the wheel comes
const CLICK = 5; // pixels by which a click may move
const AROUND = 6e-3; // of an event: shown with so much time about it [s]
const PART = 1 / 12; // of the whole, in which a change is shown at most
const NEAR = 400_000; // samples that are drawn before a long capture is prepared
const WIDEST = 2000; // pixels; a wider drawing has columns of two
const LINE = 33; // units of a wheel that counts lines
const BARS = 40; // a glitch is shown with so many times its own length

class Wave {
  constructor(section, marks) {
    this.section = section;
    this.here = section.dataset.here;
    this.marks = marks;
    this.interval = marks.sample_interval_s;
    this.view = new View(marks.samples);
    this.samples = new Samples(this.here, marks.beats_s.map((beat) => beat / marks.sample_interval_s));
    this.cut = null;
    this.fit = false;
    this.stands = null; // the event that was gone to
    section.hidden = false;
    const bands = new Map(marks.bands.map((band) => [band.state, band]));
    this.place = section.querySelector(".drawing");
    this.drawings = marks.channels.map((channel) => {
      const place = section.querySelector(`.plot[data-channel="${channel}"]`);
      return new Drawing(place, channel, marks, { interval: this.interval, bands, lowest: channel === marks.channels.at(-1) });
    });
    for (const place of section.querySelectorAll(".plot:empty")) place.hidden = true;
    section.classList.toggle("one-channel", marks.channels.length < 2);
    this.ribbon = new Ribbon(section.querySelector(".ribbon"), marks);
    this.cursors = new Cursors(section.querySelector(".cursors"), section.querySelector(".readout"), {
      interval: this.interval,
      samples: marks.samples,
      moved: () => this.draw(),
    });
    this.told = section.querySelector(".telling");
    this.listen();
    if (!marks.prepared) this.view.show(0, NEAR);
    this.change();
  }

  /** Take what became known since: states and events, and that it is prepared; who has not moved sees the whole then. */
  learn(marks) {
    this.marks.states = marks.states;
    this.marks.events = marks.events;
    this.samples.beats = marks.beats_s.map((beat) => beat / this.interval);
    const now = marks.prepared && !this.marks.prepared;
    this.marks.prepared = marks.prepared;
    if (now && this.view.first === 0 && this.view.count === Math.min(NEAR, this.view.samples)) this.view.whole();
    this.change();
  }

  /* ---- drawing ---- */

  /** The view changed: draw what is there at once, and fetch what belongs there. */
  change() {
    this.stands = null;
    this.draw();
    this.asked ??= requestAnimationFrame(() => {
      this.asked = null;
      this.fetch();
    });
  }

  /** Fetch what belongs into the view: one window at a time, and the newest when that is there. */
  async fetch() {
    if (this.fetching) {
      this.more = true;
      return;
    }
    this.fetching = true;
    try {
      do {
        this.more = false;
        this.takeIn(await this.samples.about(this.view, Math.min(this.box().width, WIDEST)));
      } while (this.more);
    } catch (error) {
      this.told.textContent = `Could not be drawn: ${error.message}. What is seen is of before; load the page anew.`;
    } finally {
      this.fetching = false;
    }
  }

  takeIn(cut) {
    if (!cut) {
      this.told.textContent = "So wide a window is being prepared; come closer, and it is drawn already.";
      return;
    }
    this.cut = cut;
    document.body.classList.add("with-wave");
    for (const drawing of this.drawings) {
      drawing.put(cut);
      if (cut.first === 0 && cut.stop === this.view.samples) drawing.hold();
    }
    this.draw();
    if (!this.more) this.tell();
  }

  draw() {
    const [from, to] = [this.view.first * this.interval, this.view.stop * this.interval];
    for (const drawing of this.drawings) drawing.show(from, to, this.fit);
    const { left, width } = this.box();
    this.ribbon.show(from, to, left, width);
    this.cursors.show(this.view, left + this.drawings[0].plot.root.offsetLeft, width, this.cut);
  }

  /** Where the wave lies within its drawing, in pixels. */
  box() {
    const { over } = this.drawings[0].plot;
    return { left: over.offsetLeft, width: over.clientWidth };
  }

  tell() {
    const { per } = this.cut;
    const span = time(this.view.count * this.interval, 4);
    const columns = per === 1 ? "every sample is drawn" : `each column shows lowest and highest of ${counted(per)} samples`;
    const there = this.stands ? ` In the middle: ${this.stands.words}.` : "";
    const wait = this.marks.prepared ? "" : " The whole is being prepared.";
    this.told.textContent = `${span} in view, from ${time(this.view.first * this.interval)}; ${columns}, ${time(this.interval, 4)} apart.${there}${wait}`;
    this.section.dataset.perColumn = per;
  }

  /** Draw all of it anew, in the colours that the page has now. */
  again() {
    for (const drawing of this.drawings) {
      drawing.make();
      if (this.cut) drawing.put(this.cut);
    }
    this.draw();
  }

  /* ---- moving about ---- */

  closer(factor, at = 0.5) {
    this.view.closer(factor, at);
    this.change();
  }

  move(part) {
    this.view.move(part);
    this.change();
  }

  /** Show something that begins at a time and lasts for a while, as close as it asks for. [s] */
  show(at, lasts = 0) {
    const around = Math.max(lasts ? BARS * lasts : AROUND, 40 * this.interval);
    this.view.bring((at + lasts / 2) / this.interval, around / this.interval);
    this.change();
  }

  /** Go to the event of some kinds before or after the one that was gone to, else before or after the middle of the view. */
  go(kinds, way) {
    const events = this.marks.events.filter((event) => kinds.includes(event.kind));
    const middle = this.stands?.at_s ?? (this.view.first + this.view.count / 2) * this.interval;
    const found = way > 0 ? events.find((event) => event.at_s > middle) : events.findLast((event) => event.at_s < middle);
    if (!found) {
      this.told.textContent = `No ${kinds.includes("glitch") ? "glitch that is listed" : "change"} ${way > 0 ? "after" : "before"} this.`;
      return;
    }
    const wide = Math.max(this.view.samples * PART, AROUND / this.interval);
    if (found.kind === "glitch") this.show(found.at_s, found.lasts_s);
    else this.view.bring(found.at_s / this.interval, wide);
    this.change();
    this.stands = found;
  }

  do(what) {
    const deeds = {
      whole: () => (this.view.whole(), this.change()),
      closer: () => this.closer(STEP),
      wider: () => this.closer(1 / STEP),
      earlier: () => this.move(-0.25),
      later: () => this.move(0.25),
      "event-before": () => this.go(["state", "switching"], -1),
      "event-after": () => this.go(["state", "switching"], 1),
      "glitch-before": () => this.go(["glitch"], -1),
      "glitch-after": () => this.go(["glitch"], 1),
      cursors: () => (this.cursors.toggle(this.view), this.draw()),
      fit: () => ((this.fit = !this.fit), this.draw()),
    };
    deeds[what]();
    this.section.querySelector('[data-do="cursors"]').setAttribute("aria-pressed", this.cursors.shown);
    this.section.querySelector('[data-do="fit"]').setAttribute("aria-pressed", this.fit);
  }

  /** Show the figures of the cycle at a sample, and what they were taken from in the drawing. */
  async figures(sample) {
    const at = Math.min(Math.max(sample, 0), this.view.samples - 1) * this.interval;
    const answer = await fetch(`${this.here}/cycle?at=${at}`);
    if (!answer.ok) return;
    const made = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("#cycle");
    this.section.querySelector("#cycle").replaceWith(made);
    const stretch = (name) => (made.dataset[name] ? [made.dataset[name].split(" ").map(Number)] : []);
    this.shade([...stretch("high"), ...stretch("low")]);
  }

  shade(stretches) {
    for (const drawing of this.drawings) {
      drawing.shades = drawing.channel === "pilot" ? stretches.map(([from, to]) => ({ from, to })) : [];
      drawing.plot.redraw();
    }
  }

  /* ---- listening ---- */

  listen() {
    this.section.addEventListener("click", (event) => {
      const what = event.target.closest("[data-do]")?.dataset.do;
      if (what) this.do(what);
    });
    document.addEventListener("click", (event) => {
      const shown = event.target.closest("[data-show]");
      if (!shown) return;
      this.show(Number(shown.dataset.show), Number(shown.dataset.lasts));
      this.place.focus({ preventScroll: true });
      this.section.scrollIntoView({ block: "start" });
    });
    this.section.querySelector("form").addEventListener("submit", (event) => {
      event.preventDefault();
      const at = Number(event.target.elements.at.value.replace(",", "."));
      if (!Number.isFinite(at)) return;
      this.view.bring(at / this.interval, Math.min(this.view.count, AROUND / this.interval));
      this.change();
      this.figures(at / this.interval);
    });
    this.place.addEventListener("keydown", (event) => this.key(event));
    for (const { plot } of this.drawings) this.point(plot);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.again());
    let width = this.place.clientWidth;
    new ResizeObserver(() => {
      if (this.place.clientWidth === width) return;
      width = this.place.clientWidth;
      for (const drawing of this.drawings) drawing.resize();
      this.change();
    }).observe(this.place);
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const inHand = event.target.classList.contains("cursor") ? this.cursors.inHand : null;
    const pixel = Math.max(this.view.count / this.box().width, 1) * (event.shiftKey ? 10 : 1);
    const steps = { ArrowLeft: -1, ArrowRight: 1 };
    const deeds = {
      ArrowUp: "closer", "+": "closer", "=": "closer", ArrowDown: "wider", "-": "wider", 0: "whole",
      ArrowLeft: "earlier", ArrowRight: "later", p: "event-before", n: "event-after", f: "fit",
      g: event.shiftKey ? "glitch-before" : "glitch-after",
    };
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (inHand && key in steps) this.cursors.put(inHand, this.cursors.at[inHand] + steps[key] * pixel);
    else if (key === "Home") (this.view.show(0, this.view.count), this.change());
    else if (key === "End") (this.view.show(this.view.samples, this.view.count), this.change());
    else if (key === "a" || key === "b") this.take(key);
    else if (key === "Enter") this.figures(this.cursors.inHand ? this.cursors.at[this.cursors.inHand] : this.view.first + this.view.count / 2);
    else if (key in deeds) this.do(deeds[key]);
    else return;
    event.preventDefault();
  }

  /** Put a cursor where the pointer is, else in the middle, and take it in hand. */
  take(name) {
    this.cursors.put(name, this.pointer ?? this.view.first + this.view.count / 2);
    this.cursors.handles[name].focus({ preventScroll: true });
    this.section.querySelector('[data-do="cursors"]').setAttribute("aria-pressed", true);
  }

  /** Pointers over one of the drawings: drag, wheel, two fingers, a click. */
  point() {
    const place = this.place;
    if (this.pointed) return;
    this.pointed = true;
    const held = new Map();
    let begun = null;
    let ranged = null;
    const part = (event) => {
      const { left } = this.drawings[0].plot.over.getBoundingClientRect();
      return (event.clientX - left) / this.box().width;
    };
    const over = (event) => this.drawings.some(({ plot }) => plot.over.contains(event.target));
    place.addEventListener("wheel", (event) => {
      if (!over(event)) return;
      event.preventDefault();
      const unit = event.deltaMode === WheelEvent.DOM_DELTA_PIXEL ? 1 : LINE;
      if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) this.move((unit * event.deltaX) / this.box().width);
      else this.closer(WHEEL ** (-unit * event.deltaY), part(event));
    }, { passive: false });
    place.addEventListener("pointerdown", (event) => {
      if (!over(event) || event.button !== 0) return;
      place.focus({ preventScroll: true });
      held.set(event.pointerId, part(event));
      begun = { x: event.clientX, first: this.view.first, count: this.view.count, moved: false };
      if (event.shiftKey) ranged = { from: part(event) };
    });
    place.addEventListener("pointermove", (event) => {
      if (over(event)) this.pointer = this.view.first + part(event) * this.view.count;
      if (!held.has(event.pointerId)) return;
      if (!begun.moved && Math.abs(event.clientX - begun.x) < CLICK) return;
      if (!begun.moved) place.setPointerCapture(event.pointerId);
      begun.moved = true;
      if (ranged) {
        ranged.to = part(event);
        this.range(ranged);
      } else if (held.size === 2) this.pinch(held, event.pointerId, part(event));
      else {
        this.view.show(begun.first - ((event.clientX - begun.x) / this.box().width) * begun.count, begun.count);
        this.change();
      }
      if (held.size < 2) held.set(event.pointerId, part(event));
    });
    const release = (event) => {
      if (!held.delete(event.pointerId)) return;
      if (event.type === "pointerup" && !begun.moved && !held.size) this.figures(this.view.first + part(event) * this.view.count);
      if (ranged) {
        if (event.type === "pointerup" && ranged.to !== undefined) this.between(ranged);
        ranged = null;
        this.shade([]);
      }
      // with one finger left the drag goes on from here
      begun = { ...begun, x: event.clientX, first: this.view.first, count: this.view.count, moved: true };
    };
    place.addEventListener("pointerup", release);
    place.addEventListener("pointercancel", release);
    place.addEventListener("pointerleave", () => (this.pointer = null));
  }

  /** Two fingers: what lies under them stays under them. */
  pinch(held, moving, now) {
    const [other] = [...held].find(([id]) => id !== moving).slice(1);
    const before = held.get(moving);
    const factor = Math.abs(now - other) / Math.max(Math.abs(before - other), 0.01);
    held.set(moving, now);
    if (factor > 0.2 && factor < 5) this.closer(factor, other);
  }

  range({ from, to }) {
    const at = (part) => (this.view.first + part * this.view.count) * this.interval;
    this.shade([[at(Math.min(from, to)), at(Math.max(from, to))]]);
  }

  between({ from, to }) {
    const [begin, end] = [Math.min(from, to), Math.max(from, to)];
    this.view.show(this.view.first + begin * this.view.count, (end - begin) * this.view.count);
    this.change();
  }
}

/** Show what a correction would make, in the form itself. */
function preview() {
  document.querySelector("[data-preview]")?.addEventListener("click", async (event) => {
    event.preventDefault();
    const given = new URLSearchParams(new FormData(event.target.form));
    for (const name of ["who", "reason"]) given.delete(name);
    const answer = await fetch(`${event.target.dataset.preview}?${given}`, { headers: { "hx-request": "true" } });
    const made = new DOMParser().parseFromString(await answer.text(), "text/html");
    const place = document.querySelector("#previewed");
    place.replaceChildren(...(made.querySelector("#previewed")?.childNodes ?? made.body.childNodes));
  });
}

async function begin() {
  preview();
  const section = document.querySelector(".bench-wave");
  const marks = async () => (await fetch(`${section.dataset.here}/marks.json`)).json();
  let wave = null;
  const look = async () => {
    const found = await marks();
    if (!found.samples) return; // it has to be prepared before anything can be drawn
    if (wave) wave.learn(found);
    else wave = new Wave(section, found);
  };
  document.body.addEventListener("assessed", look);
  await look();
}

begin();
