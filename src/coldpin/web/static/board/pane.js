// The sheet under hand and eye: zoom about the pointer, pan, pinch, a cross for the keyboard. It tells where something
// is pressed, in the coordinates of the sheet (y down), and knows nothing of what lies there.

const CLOSEST = 60; // screen pixels for one of the sheet, at the most
const STILL = 5; // screen pixels within which a press is no drag

export class Pane extends EventTarget {
  constructor(svg, whole, near) {
    super();
    this.svg = svg;
    this.whole = whole;
    this.box = near;
    this.cross = { x: near[0] + near[2] / 2, y: near[1] + near[3] / 2 };
    this.pressed = new Map();
    this.held = null; // what takes part in a drag, as the owner says on "press"
    this.#listen();
    this.#show();
  }

  // Units of the sheet in one pixel of the screen.
  get pixel() {
    const matrix = this.svg.getScreenCTM();
    return matrix ? 1 / matrix.a : 1;
  }

  at(event) {
    const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return { x: place.x, y: place.y };
  }

  zoom(by, about = this.cross) {
    const [x, y, width, height] = this.box;
    const widest = Math.max(this.whole[2] / width, this.whole[3] / height) * 1.5;
    const factor = Math.min(Math.max(by, this.pixel > 0 ? 1 / (CLOSEST * this.pixel) : by), widest);
    this.box = [about.x + (x - about.x) * factor, about.y + (y - about.y) * factor, width * factor, height * factor];
    this.#show();
  }

  pan(x, y) {
    this.box = [this.box[0] + x, this.box[1] + y, this.box[2], this.box[3]];
    this.#show();
  }

  showAll() {
    this.box = [...this.whole];
    this.#show();
  }

  // Another sheet, or the same again, from where it is looked at.
  look(whole, box) {
    this.whole = whole;
    this.box = [...box];
    this.cross = { x: box[0] + box[2] / 2, y: box[1] + box[3] / 2 };
    this.#show();
    this.#tell("cross", this.cross);
  }

  // Brings a box of the sheet into view where it is not, no nearer than it is looked at.
  bring({ x, y, width, height }) {
    const [left, top, wide, high] = this.box;
    if (x >= left && y >= top && x + width <= left + wide && y + height <= top + high) return;
    this.pan(x + width / 2 - left - wide / 2, y + height / 2 - top - high / 2);
  }

  // Where it was pressed, which is in sight.
  putCross(x, y) {
    this.cross = { x, y };
    this.#tell("cross", this.cross);
  }

  // By keys: what it comes near to is brought into sight.
  moveCross(x, y) {
    this.cross = { x, y };
    const [left, top, width, height] = this.box;
    const edge = 0.08;
    const over = (value, low, size) => Math.min(value - low - edge * size, 0) + Math.max(value - low - (1 - edge) * size, 0);
    this.pan(over(x, left, width), over(y, top, height));
    this.#tell("cross", this.cross);
  }

  #show() {
    this.svg.setAttribute("viewBox", this.box.join(" "));
    this.#tell("view", {});
  }

  #tell(name, detail) { this.dispatchEvent(new CustomEvent(name, { detail })); }

  #listen() {
    const svg = this.svg;
    svg.addEventListener("wheel", (event) => {
      event.preventDefault();
      this.zoom(Math.exp(event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), this.at(event));
    }, { passive: false });
    svg.addEventListener("pointerdown", (event) => this.#down(event));
    svg.addEventListener("pointermove", (event) => this.#move(event));
    svg.addEventListener("pointerup", (event) => this.#up(event));
    svg.addEventListener("pointercancel", (event) => this.#up(event));
    new ResizeObserver(() => this.#tell("view", {})).observe(svg);
  }

  #down(event) {
    if (event.button > 0) return;
    this.svg.setPointerCapture(event.pointerId);
    this.pressed.set(event.pointerId, { x: event.clientX, y: event.clientY, from: [event.clientX, event.clientY], moved: false });
    if (this.pressed.size > 1) {
      if (this.held) this.#tell("drop", { undone: true });
      this.held = null;
      for (const one of this.pressed.values()) one.moved = true;
      return;
    }
    const place = this.at(event);
    const press = new CustomEvent("press", { detail: { ...place, coarse: event.pointerType !== "mouse" } });
    press.hold = (what) => { this.held = what; };
    this.dispatchEvent(press);
  }

  #move(event) {
    const before = this.pressed.get(event.pointerId);
    if (!before) return;
    const was = { x: before.x, y: before.y };
    if (!before.moved && Math.hypot(event.clientX - before.from[0], event.clientY - before.from[1]) < STILL) return;
    before.moved = true;
    if (this.pressed.size === 2) {
      const [one, other] = this.pressed.values();
      const apart = () => Math.hypot(one.x - other.x, one.y - other.y) || 1;
      const middle = () => ({ clientX: (one.x + other.x) / 2, clientY: (one.y + other.y) / 2 });
      const [gap, from] = [apart(), this.at(middle())];
      before.x = event.clientX;
      before.y = event.clientY;
      this.zoom(gap / apart(), from);
      const to = this.at(middle());
      this.pan(from.x - to.x, from.y - to.y);
      return;
    }
    before.x = event.clientX;
    before.y = event.clientY;
    if (this.held) {
      this.#tell("drag", this.at(event));
    } else {
      this.pan((was.x - event.clientX) * this.pixel, (was.y - event.clientY) * this.pixel);
    }
  }

  #up(event) {
    const press = this.pressed.get(event.pointerId);
    if (!press) return;
    this.pressed.delete(event.pointerId);
    if (this.pressed.size) return;
    const place = { ...this.at(event), coarse: event.pointerType !== "mouse" };
    if (this.held) this.#tell("drop", { undone: event.type === "pointercancel" || !press.moved });
    if (!press.moved && event.type === "pointerup") this.#tell("tap", { ...place, held: this.held });
    this.held = null;
  }
}
