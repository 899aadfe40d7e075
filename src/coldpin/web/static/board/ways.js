// What lies between the nets of the drawing, asked of the server and laid over the sheet. All that judges is there.
// While a corner is dragged one request at a time asks for the ways between the two nets in view; when the drawing
// rests every pair is judged, the pair in view first.

import { ask, PIECE } from "./asking.js";
import { asFile } from "./keeping.js";
import { mark, outline } from "./shapes.js";

const RESTS = 250; // ms after the last change

export class Ways extends EventTarget {
  constructor(address, part, panels, layers, flip) {
    super();
    Object.assign(this, { address, part, panels, layers, flip, waiting: null, busy: false, judging: null, rest: 0 });
    panels.barriers.addEventListener("toggle", (event) => { if (event.target.matches(".barrier")) this.#turned(event.target); }, true);
  }

  get inView() { return this.panels.barriers.querySelector(".barrier[open]"); }

  // Brings a pair of nets into view to which a net belongs, where the pair in view has nothing to do with it.
  lookAt(net) {
    const belongs = ({ dataset }) => [dataset.one, dataset.other].some((name) => net.toLowerCase().startsWith(name.toLowerCase()));
    if (!net || (this.inView && belongs(this.inView))) return;
    const barriers = [...this.panels.barriers.children];
    const found = barriers.find(belongs);
    if (found) for (const one of barriers) one.open = one === found;
  }

  #form(plain, more = {}) {
    const form = new FormData();
    form.set("drawing", asFile(plain), "drawing.geojson");
    for (const [name, value] of Object.entries({ part: this.part(), ...more })) form.set(name, value);
    return form;
  }

  #ask(what, plain, more, signal) { return ask(`${this.address}/${what}`, this.#form(plain, more), PIECE, signal); }

  // While something moves: the last state asked for waits until the one before was answered.
  follow(plain) {
    this.#cancel();
    this.waiting = plain;
    if (!this.busy) this.#next();
  }

  async #next() {
    const view = this.inView;
    while (this.waiting && view) {
      const plain = this.waiting;
      [this.waiting, this.busy] = [null, true];
      try {
        const { one, other } = view.dataset;
        this.#put(await this.#ask("followed", plain, { one, other }));
        this.#tell("");
      } catch (error) {
        this.#tell(error.message);
      }
      this.busy = false;
      if (this.inView?.dataset.one !== view.dataset.one) break;
    }
  }

  #cancel() {
    clearTimeout(this.rest);
    this.judging?.abort();
    this.judging = null;
  }

  // When the drawing rests.
  settle(plain, after = RESTS) {
    this.#cancel();
    this.panels.reckoning.textContent = "Being reckoned for the drawing as it is now…";
    for (const one of this.panels.barriers.children) one.dataset.before = "";
    this.rest = setTimeout(() => this.#judge(plain), after);
  }

  async #judge(plain) {
    this.waiting = null;
    const judging = new AbortController();
    this.judging = judging;
    const { barriers, notes, gaps, reckoning } = this.panels;
    if (!plain.scale || !plain.features.length) {
      barriers.replaceChildren();
      notes.replaceChildren();
      this.#draw();
      this.#tell("");
      reckoning.textContent = plain.scale ? "Nothing is drawn yet." : "No scale yet: without one no distance can be told.";
      return;
    }
    try {
      const look = await this.#ask("looked", plain, {}, judging.signal);
      const pairs = [...look.querySelectorAll(".pairs li")].map(({ dataset }) => ({ ...dataset }));
      look.querySelector(".pairs").remove();
      gaps.replaceChildren(look.querySelector(".gaps"));
      notes.replaceChildren(look);
      this.#tell("");
      const key = ({ one, other }) => JSON.stringify([one, other]);
      const view = this.inView ? key(this.inView.dataset) : "";
      const kept = new Set(pairs.map(key));
      for (const old of [...barriers.children]) if (!kept.has(key(old.dataset))) old.remove();
      pairs.sort((one, other) => (key(other) === view) - (key(one) === view));
      for (const pair of pairs) this.#put(await this.#ask("judged", plain, pair, judging.signal));
      this.#order();
      if (!this.inView && barriers.firstElementChild) barriers.firstElementChild.open = true;
      this.#draw();
      reckoning.textContent = "";
      this.dispatchEvent(new Event("judged"));
    } catch (error) {
      if (error.name === "AbortError") return;
      reckoning.textContent = "Not reckoned: what stands here is of the drawing before.";
      this.#tell(error.message);
    }
  }

  #put(made) {
    const { one, other } = made.dataset;
    const old = [...this.panels.barriers.children].find(({ dataset }) => dataset.one === one && dataset.other === other);
    if (old) {
      made.open = old.open;
      old.replaceWith(made);
    } else {
      this.panels.barriers.append(made);
    }
    if (made.open) this.#draw();
  }

  // What is worst stands first.
  #order() {
    const worth = ["beyond", "undecided", "within"];
    const rank = (one) => worth.findIndex((word) => one.querySelector(`summary .state.${word}`));
    const { barriers } = this.panels;
    barriers.append(...[...barriers.children].sort((one, other) => rank(one) - rank(other)));
  }

  #turned(barrier) {
    if (barrier.open) for (const other of this.panels.barriers.children) if (other !== barrier) other.open = false;
    this.#draw();
  }

  #draw() {
    const { bands, ways } = this.layers;
    bands.replaceChildren();
    ways.replaceChildren();
    const lines = [...(this.inView?.querySelectorAll("[data-path]") ?? [])].reverse();
    for (const line of lines) {
      const kind = `${line.dataset.kind} ${line.dataset.rank === "1" ? "shortest" : "next"}`;
      const places = JSON.parse(line.dataset.path).map(this.flip);
      const rims = JSON.parse(line.dataset.band).map((rim) => rim.map(this.flip));
      if (rims.length) mark("path", { d: rims.map((rim) => outline(rim)).join(""), class: `band ${kind}` }, bands);
      mark("path", { d: outline(places, false), class: `casing ${kind}` }, ways);
      JSON.parse(line.dataset.counts).forEach((counts, at) => {
        mark("path", { d: outline(places.slice(at, at + 2), false), class: `way ${kind}${counts ? "" : " free"}` }, ways);
      });
    }
  }

  #tell(message) { this.dispatchEvent(new CustomEvent("told", { detail: message })); }
}
