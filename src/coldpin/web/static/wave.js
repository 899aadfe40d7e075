/* The page of a capture: the wave in any zoom, moved about in by pointer, wheel, fingers, keys and buttons. */

import { Hand } from "./by_hand.js";
import { Cursors } from "./wave_cursors.js";
import { Drawing } from "./wave_drawing.js";
import { counted, time } from "./numbers.js";
import { Ribbon } from "./wave_ribbon.js";
import { Samples } from "./wave_samples.js";
import { FEWEST, View } from "./wave_view.js";

const AROUND = 6e-3; // of an event: shown with so much time about it [s]
const PART = 1 / 12; // of the whole, in which a change is shown at most
const NEAR = 400_000; // samples that are drawn before a long capture is prepared
const WIDEST = 2000; // pixels; a wider drawing has columns of two
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
    this.hand = new Hand(this.place, {
      plots: () => this.drawings.map((drawing) => drawing.plot),
      view: () => [this.view.first, this.view.stop],
      whole: () => [0, this.view.samples],
      least: () => FEWEST,
      show: (begin, end) => (this.view.show(begin, end - begin), this.change()),
      held: () => this.cursors.at[this.cursors.inHand] ?? null,
      marked: () => (this.cursors.shown ? [this.cursors.at.a, this.cursors.at.b] : null),
      click: (at) => this.clicked(at),
      pointed: (at) => (this.pointer = at),
    });
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
      whole: () => this.hand.all(),
      closer: () => this.hand.closer(),
      wider: () => this.hand.wider(),
      earlier: () => this.hand.move(-0.5),
      later: () => this.hand.move(0.5),
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

  /** Show the figures of the cycle that was clicked; gives back what takes that back. */
  clicked(sample) {
    const [card, shades] = [this.section.querySelector("#cycle"), this.drawings.map((drawing) => drawing.shades)];
    this.figures(sample);
    return () => {
      this.asking = null;
      this.section.querySelector("#cycle").replaceWith(card);
      this.drawings.forEach((drawing, place) => (drawing.shades = shades[place]));
    };
  }

  /** Show the figures of the cycle at a sample, and what they were taken from in the drawing. */
  async figures(sample) {
    const at = Math.min(Math.max(sample, 0), this.view.samples - 1) * this.interval;
    const asking = (this.asking = {}); // the last one asked counts
    const answer = await fetch(`${this.here}/cycle?at=${at}`);
    if (!answer.ok) return;
    const made = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("#cycle");
    if (asking !== this.asking) return;
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
    const deeds = { p: "event-before", n: "event-after", f: "fit", g: event.shiftKey ? "glitch-before" : "glitch-after" };
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (key === "Escape") this.cursors.inHand = null;
    if (inHand && key in steps) this.cursors.put(inHand, this.cursors.at[inHand] + steps[key] * pixel);
    else if (key === "a" || key === "b") this.take(key);
    else if (key === "Enter") this.figures(this.cursors.inHand ? this.cursors.at[this.cursors.inHand] : this.view.first + this.view.count / 2);
    else if (key in deeds) this.do(deeds[key]);
    else if (!this.hand.key(event)) return;
    event.preventDefault();
  }

  /** Put a cursor where the pointer is, else in the middle, and take it in hand. */
  take(name) {
    this.cursors.put(name, this.pointer ?? this.view.first + this.view.count / 2);
    this.cursors.handles[name].focus({ preventScroll: true });
    this.section.querySelector('[data-do="cursors"]').setAttribute("aria-pressed", true);
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
