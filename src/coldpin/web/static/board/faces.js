// The other face of the board: its photograph is laid under the drawing by marks that are seen in both pictures, seen
// through the board, and faded in. Where it lies, and how well that is known, the server says.

import { ask, PIECE } from "./asking.js";
import { asFile } from "./keeping.js";
import { mark } from "./shapes.js";

const FEWEST = 2;
const DIM = 25; // of a hundred: how far the face that is not drawn on is seen
const STEP = 10;
const HALF = 0.5; // a pixel's middle is its place, so a picture begins half a pixel before it

export class Faces extends EventTarget {
  constructor(address, drawing, pane, by) {
    super();
    const [top, laid, raw] = ["top", "laid", "raw"].map((name) => by(`${name}-picture`));
    Object.assign(this, { address, drawing, pane, by, top, laid, raw, marks: [], pending: null, size: null, u: 0, key: "" });
    if (!laid) return;
    by("other-picture").addEventListener("change", () => this.#choose());
    by("fade").addEventListener("input", () => this.#fade());
    by("shown-face").addEventListener("change", () => this.#turn());
    for (const name of ["view", "cross"]) pane.addEventListener(name, () => this.#show());
    drawing.addEventListener("changed", () => this.#follow());
    this.#follow();
  }

  get #chosen() { return this.by("other-picture").selectedOptions[0]; }

  get #said() { return this.drawing.plain.other_face; }

  // The hint for the next press, or null where no picture of the other face is chosen.
  get hint() {
    if (!this.laid || !this.#chosen.value) return null;
    if (this.pending) return "Now the same place on the other face, which is shown mirrored. Esc takes the mark back.";
    const more = this.marks.length < FEWEST ? "" : ` ${this.marks.length} marks. Four or more near the corners of the board are best.`;
    return `Press a place that is seen on both faces: a hole, a corner of the board.${more}`;
  }

  // Whether the face that is drawn on is the one whose photograph was laid under the drawing.
  get below() { return Boolean(this.laid) && !this.laid.hasAttribute("hidden") && this.by("shown-face").value === "bottom"; }

  // A shape as drawn on that photograph: known no better than it lies.
  known(feature) {
    if (!this.below || !this.u || ["board", "slot"].includes(feature.properties.role)) return feature;
    const picked = feature.properties.pick_u ?? this.drawing.plain.scale?.pick_u_px ?? 0;
    return { ...feature, properties: { ...feature.properties, pick_u: Math.round(100 * Math.hypot(picked, this.u)) / 100 } };
  }

  // One half of a mark: first in the drawing, then in the other picture. Answers once it is whole.
  async mark([x, y]) {
    if (!this.pending) {
      if (!(await this.#load())) return;
      this.pending = { at: [x, y], box: this.pane.box };
      this.#look(true);
      return;
    }
    const px = [Math.round(100 * (this.size[0] - 1 - x)) / 100, y];
    this.marks = [...this.marks, { at: this.pending.at, px }];
    this.rest();
    this.#write();
  }

  // Takes half a mark back and shows the drawing again.
  rest() {
    if (!this.pending) return false;
    const { box } = this.pending;
    this.pending = null;
    this.#look(false, box);
    return true;
  }

  removeMark() {
    if (this.rest()) return;
    this.marks = this.marks.slice(0, -1);
    this.#write();
  }

  fade(way) {
    const { value } = this.by("fade");
    this.by("fade").value = Number(value) + way * STEP;
    this.#fade();
  }

  turn() {
    const face = this.by("shown-face");
    face.value = face.value === "bottom" ? "top" : "bottom";
    face.dispatchEvent(new Event("change"));
  }

  // ---- the pictures ----

  async #load() {
    const address = this.#chosen.dataset.address;
    if (this.raw.getAttribute("href") === address) return true;
    const picture = new Image();
    picture.src = address;
    try {
      await picture.decode();
    } catch {
      this.#tell("The photograph of the other face cannot be shown.");
      return false;
    }
    this.size = [picture.naturalWidth, picture.naturalHeight];
    const [width, height] = this.size;
    for (const [name, value] of Object.entries({ href: address, x: -HALF, y: -HALF, width, height, transform: `matrix(-1 0 0 1 ${width - 1} 0)` })) this.raw.setAttribute(name, value);
    return true;
  }

  #look(other, box) {
    this.pane.svg.toggleAttribute("data-other", other);
    this.raw.toggleAttribute("hidden", !other);
    if (other) {
      this.whole = this.pane.whole;
      const all = [0, 0, ...this.size];
      this.pane.look(all, all);
    } else {
      this.pane.look(this.whole, box);
    }
    this.dispatchEvent(new Event("turned"));
  }

  #choose() {
    this.rest();
    this.marks = [];
    this.#write();
    this.dispatchEvent(new Event("turned"));
  }

  #fade() {
    const { value } = this.by("fade");
    this.laid.setAttribute("opacity", value / 100);
    this.by("fade").setAttribute("aria-valuetext", `${value} % bottom`);
  }

  #turn() {
    const face = this.by("shown-face").value;
    if (!face || this.laid.hasAttribute("hidden")) return;
    this.by("fade").value = face === "bottom" ? 100 - DIM : DIM;
    this.#fade();
  }

  // ---- the marks ----

  #write() {
    const { picture } = this.#chosen.dataset;
    const said = this.marks.length < FEWEST ? null : { picture, picture_size_px: this.size, marks: this.marks };
    if (said || this.#said) this.drawing.become(this.drawing.withMembers({ other_face: said }));
    else this.#show();
  }

  // What the drawing says now, undone and done again too.
  #follow() {
    const said = this.#said;
    if (said) {
      this.marks = said.marks;
      this.size = said.picture_size_px;
      const option = [...this.by("other-picture").options].find(({ dataset }) => dataset.picture === said.picture);
      this.by("other-picture").value = option ? option.value : "";
    } else if (this.marks.length >= FEWEST) {
      this.marks = [];
    }
    this.#show();
    const key = said ? JSON.stringify([said, this.drawing.plain.scale]) : "";
    if (key === this.key) return;
    this.key = key;
    if (key) this.#lay(key);
    else this.#clear();
  }

  #clear() {
    this.u = 0;
    this.laid.setAttribute("hidden", "");
    this.by("fading").hidden = true;
    this.by("face-told").replaceChildren();
  }

  async #lay(key) {
    const form = new FormData();
    form.set("drawing", asFile(this.drawing.plain), "drawing.geojson");
    try {
      const told = await ask(`${this.address}/laid`, form, PIECE);
      const answer = await fetch(`${this.address}/laid/picture`, { method: "POST", body: form });
      if (!answer.ok) throw new Error((await answer.json()).error);
      const address = URL.createObjectURL(await answer.blob());
      if (key !== this.key) return;
      URL.revokeObjectURL(this.laid.getAttribute("href") ?? "");
      this.u = Number(told.dataset.u);
      this.laid.setAttribute("href", address);
      this.laid.removeAttribute("hidden");
      this.by("fading").hidden = false;
      this.by("face-told").replaceChildren(told);
      this.#fade();
      this.dispatchEvent(new Event("laid"));
    } catch (error) {
      if (key !== this.key) return;
      this.#clear();
      this.#tell(error.message);
    }
  }

  #show() {
    const layer = this.by("marks");
    const { pixel } = this.pane;
    layer.replaceChildren();
    const places = this.pending ? this.marks.map(({ px: [x, y] }) => [this.size[0] - 1 - x, y]) : this.marks.map(({ at }) => at);
    if (this.by("sheet").dataset.mode !== "marks") return;
    places.forEach(([x, y], number) => {
      mark("circle", { cx: x, cy: y, r: 9 * pixel, class: "mark-under" }, layer);
      mark("circle", { cx: x, cy: y, r: 9 * pixel, class: "mark-ring" }, layer);
      mark("text", { x: x + 12 * pixel, y: y - 8 * pixel, "font-size": 15 * pixel, "stroke-width": 3 * pixel }, layer).textContent = number + 1;
    });
  }

  showMarks() { if (this.laid) this.#show(); }

  #tell(message) { this.dispatchEvent(new CustomEvent("told", { detail: message })); }
}
