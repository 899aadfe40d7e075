// Shapes, handles and the outline being drawn, as SVG over the photograph. Sizes of marks are those of the screen.

const SPACE = "http://www.w3.org/2000/svg";

export function mark(name, attributes, parent) {
  const made = document.createElementNS(SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  parent?.append(made);
  return made;
}

export const outline = (places, closed = true) => places.map(([x, y], at) => `${at ? "L" : "M"}${x} ${y}`).join("") + (closed ? "Z" : "");

// The group of a net by its first word, for its colour alone; what it is judged as the server says.
const group = (net = "") => net.trim().toLowerCase().split(/[\s_-]/)[0].replace(/[^a-z]/g, "");

export class Shapes {
  constructor(layers, drawing, pane, flip) {
    Object.assign(this, { layers, drawing, pane, flip, face: "", made: [], started: [], proposed: null, grabbed: null });
    for (const name of ["changed", "moving", "chosen"]) drawing.addEventListener(name, () => this.show());
    pane.addEventListener("view", () => this.showMarks());
    pane.addEventListener("cross", () => this.showMarks());
    this.show();
  }

  show() {
    const { drawing, layers } = this;
    layers.shapes.replaceChildren();
    this.made = drawing.features.map((feature, at) => {
      const said = feature.properties;
      const places = feature.geometry.coordinates.map((ring) => ring.slice(0, -1).map(this.flip));
      const kind = `shape ${said.role} ${group(said.net)}${said.proposed ? " proposed" : ""}${at === drawing.chosen ? " chosen" : ""}`;
      const path = mark("path", { d: places.map((ring) => outline(ring)).join(""), class: kind }, layers.shapes);
      if (this.face && said.face && said.face !== this.face) path.classList.add("aside");
      mark("title", {}, path).textContent = [said.name, said.net, said.role].filter(Boolean).join(", ");
      return path;
    });
    this.showMarks();
  }

  showMarks() {
    const { drawing, layers, pane, flip } = this;
    const pixel = pane.pixel;
    layers.handles.replaceChildren();
    if (drawing.chosen >= 0) {
      drawing.feature().geometry.coordinates.forEach((ring, at) => {
        const corners = ring.slice(0, -1).map(flip);
        corners.forEach(([x, y], number) => {
          const [u, v] = corners[(number + 1) % corners.length];
          if (Math.hypot(u - x, v - y) > 44 * pixel) mark("circle", { cx: (x + u) / 2, cy: (y + v) / 2, r: 3.5 * pixel, class: "between" }, layers.handles);
          const taken = this.grabbed && this.grabbed.ring === at && this.grabbed.corner === number;
          mark("circle", { cx: x, cy: y, r: (taken ? 9 : 6) * pixel, class: taken ? "corner taken" : "corner" }, layers.handles);
        });
      });
    }
    if (this.started.length) {
      mark("path", { d: outline(this.started.map(flip), false), class: "started" }, layers.handles);
      for (const [x, y] of this.started.map(flip)) mark("circle", { cx: x, cy: y, r: 5 * pixel, class: "corner" }, layers.handles);
    }
    if (this.proposed) {
      const { outline_px: corners, openings_px: openings, corner_u_px: known } = this.proposed.outline;
      mark("path", { d: [corners, ...openings].map((ring) => outline(ring)).join(""), class: "proposal" }, layers.handles);
      corners.forEach(([x, y], at) => mark("circle", { cx: x, cy: y, r: Math.max(2 * (known[at] ?? 0), 1.5 * pixel), class: "known" }, layers.handles));
    }
    layers.cross.replaceChildren();
    const { x, y } = pane.cross;
    for (const [dx, dy] of [[1, 0], [0, 1]]) {
      for (const way of [1, -1]) {
        const d = `M${x + way * dx * 4 * pixel} ${y + way * dy * 4 * pixel}L${x + way * dx * 16 * pixel} ${y + way * dy * 16 * pixel}`;
        for (const kind of ["arm under", "arm"]) mark("path", { d, class: kind }, layers.cross);
      }
    }
  }

  // The corner of the chosen shape within reach of a place, or the side between two corners; both in the sheet.
  near(place, reach) {
    const { drawing, flip } = this;
    if (drawing.chosen < 0) return null;
    const found = { corner: null, side: null };
    const best = { corner: reach, side: reach };
    drawing.feature().geometry.coordinates.forEach((whole, ring) => {
      const corners = whole.slice(0, -1).map(flip);
      corners.forEach(([x, y], corner) => {
        const [u, v] = corners[(corner + 1) % corners.length];
        const far = Math.hypot(place.x - x, place.y - y);
        if (far < best.corner) [best.corner, found.corner] = [far, { ring, corner }];
        const along = Math.min(Math.max(((place.x - x) * (u - x) + (place.y - y) * (v - y)) / ((u - x) ** 2 + (v - y) ** 2 || 1), 0), 1);
        const aside = Math.hypot(place.x - x - along * (u - x), place.y - y - along * (v - y));
        if (aside < best.side) [best.side, found.side] = [aside, { ring, corner }];
      });
    });
    return found;
  }

  // The smallest shape under a place: what lies on the board before the board.
  under({ x, y }) {
    const point = this.layers.shapes.ownerSVGElement.createSVGPoint();
    Object.assign(point, { x, y });
    const size = (path) => { const box = path.getBBox(); return box.width * box.height; };
    const over = this.made.flatMap((path, at) => (!path.classList.contains("aside") && path.isPointInFill(point) ? [at] : []));
    return over.sort((one, other) => size(this.made[one]) - size(this.made[other]))[0] ?? -1;
  }
}
