/* Two cursors over the wave, moved by hand, finger or key, and what is read off between them. */

import { rate, time, volts } from "./numbers.js";

export class Cursors {
  constructor(place, table, { interval, samples, moved }) {
    Object.assign(this, { place, table, interval, samples, moved });
    this.at = { a: null, b: null };
    this.inHand = null;
    this.handles = Object.fromEntries(["a", "b"].map((name) => [name, this.handle(name)]));
    place.append(...Object.values(this.handles));
  }

  handle(name) {
    const handle = document.createElement("div");
    handle.className = `cursor ${name}`;
    handle.hidden = true;
    handle.tabIndex = 0;
    handle.setAttribute("role", "slider");
    handle.setAttribute("aria-label", `Cursor ${name.toUpperCase()}`);
    handle.setAttribute("aria-valuemin", 0);
    handle.setAttribute("aria-valuemax", this.samples - 1);
    handle.append(document.createElement("span"));
    handle.firstChild.textContent = name.toUpperCase();
    handle.addEventListener("focus", () => (this.inHand = name));
    handle.addEventListener("pointerdown", (event) => {
      event.stopPropagation();
      handle.setPointerCapture(event.pointerId);
      handle.focus({ preventScroll: true });
      handle.classList.add("held");
    });
    handle.addEventListener("pointermove", (event) => {
      if (handle.hasPointerCapture(event.pointerId)) this.put(name, this.sampleAt(event.clientX));
    });
    handle.addEventListener("lostpointercapture", () => handle.classList.remove("held"));
    return handle;
  }

  get shown() {
    return !this.handles.a.hidden;
  }

  /** Show both in the middle of a view, or put them away. */
  toggle(view) {
    if (this.shown) {
      for (const handle of Object.values(this.handles)) handle.hidden = true;
      this.table.hidden = true;
      this.inHand = null;
      return;
    }
    this.put("a", view.first + view.count / 3);
    this.put("b", view.first + (2 * view.count) / 3);
    this.inHand = "a";
  }

  put(name, sample) {
    this.at[name] = Math.round(Math.min(Math.max(sample, 0), this.samples - 1));
    this.at.a ??= this.at[name];
    this.at.b ??= this.at[name];
    this.handles.a.hidden = this.handles.b.hidden = this.table.hidden = false;
    this.moved();
  }

  sampleAt(clientX) {
    const { left } = this.place.getBoundingClientRect();
    return this.view.first + ((clientX - left - this.left) / this.width) * this.view.count;
  }

  /** Draw both for a view that stands from `left` over `width` pixels, and tell what they stand on in a cut. */
  show(view, left, width, cut) {
    Object.assign(this, { view, left, width });
    for (const [name, handle] of Object.entries(this.handles)) {
      if (this.at[name] === null) continue;
      const part = (this.at[name] - view.first) / view.count;
      handle.classList.toggle("away", part < 0 || part > 1);
      handle.style.setProperty("left", `${left + Math.min(Math.max(part, 0), 1) * width}px`);
      handle.setAttribute("aria-valuenow", this.at[name]);
    }
    if (this.shown) this.tell(cut);
  }

  tell(cut) {
    const read = { a: this.read("a", cut), b: this.read("b", cut) };
    for (const name of ["a", "b"]) {
      const cells = [time(this.at[name] * this.interval), ...read[name].map(([low, high]) => (low === null ? "" : low === high ? volts(low) : `${volts(low)} … ${volts(high)}`))];
      this.write(name, cells);
      this.handles[name].setAttribute("aria-valuetext", cells.filter(Boolean).join(", "));
    }
    const apart = (this.at.b - this.at.a) * this.interval;
    const between = `${time(apart)}${apart ? `, 1/Δt ${rate(1 / Math.abs(apart))}` : ""}`;
    this.write("difference", [between, ...read.a.map(([low, high], place) => {
      const [otherLow, otherHigh] = read.b[place];
      if (low === null || otherLow === null) return "";
      return low === high && otherLow === otherHigh ? volts(otherLow - low) : "come closer";
    })]);
  }

  read(name, cut) {
    if (!cut) return [];
    const column = cut.column(this.at[name]);
    return cut.channels.map(({ low, high }) => (column < 0 || Number.isNaN(low[column]) ? [null, null] : [low[column], high[column]]));
  }

  write(row, cells) {
    const places = this.table.querySelectorAll(`[data-row="${row}"] td`);
    places.forEach((place, index) => (place.textContent = cells[index] ?? ""));
  }
}
