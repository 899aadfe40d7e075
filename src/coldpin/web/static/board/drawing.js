// A drawing while it is edited: GeoJSON, one polygon a feature. Each step makes a new one, so that it can be undone.
// It knows neither screen nor server, and judges nothing.

const MOST_STEPS = 200;

export class Drawing extends EventTarget {
  constructor(plain) {
    super();
    this.plain = plain;
    this.chosen = -1;
    this.past = [];
    this.future = [];
  }

  get features() { return this.plain.features; }

  feature(index = this.chosen) { return this.plain.features[index]; }

  // The corners of a ring; in the file the first stands again at the end.
  ring(index, ring = 0) { return this.feature(index).geometry.coordinates[ring].slice(0, -1); }

  choose(index) {
    this.chosen = index;
    this.dispatchEvent(new Event("chosen"));
  }

  // `moving` is true of what is still under way: it takes the place of the step before and is no step of its own.
  become(plain, { moving = false, from = this.plain } = {}) {
    if (!moving) {
      this.past.push(from);
      if (this.past.length > MOST_STEPS) this.past.shift();
      this.future = [];
    }
    this.plain = plain;
    if (this.chosen >= plain.features.length) this.chosen = -1;
    this.dispatchEvent(new Event(moving ? "moving" : "changed"));
  }

  undo() { this.#step(this.past, this.future); }

  redo() { this.#step(this.future, this.past); }

  #step(from, to) {
    if (!from.length) return;
    to.push(this.plain);
    this.plain = from.pop();
    if (this.chosen >= this.features.length) this.chosen = -1;
    this.dispatchEvent(new Event("changed"));
    this.dispatchEvent(new Event("chosen"));
  }

  withFeature(index, feature) {
    return { ...this.plain, features: this.features.map((one, at) => (at === index ? feature : one)) };
  }

  withRing(index, ring, corners) {
    const feature = this.feature(index);
    const rings = feature.geometry.coordinates.map((one, at) => (at === ring ? [...corners, corners[0]] : one));
    return this.withFeature(index, { ...feature, geometry: { ...feature.geometry, coordinates: rings } });
  }

  withCorner(index, ring, corner, place) {
    return this.withRing(index, ring, this.ring(index, ring).map((one, at) => (at === corner ? place : one)));
  }

  withNewCorner(index, ring, after, place) {
    const corners = this.ring(index, ring);
    return this.withRing(index, ring, [...corners.slice(0, after + 1), place, ...corners.slice(after + 1)]);
  }

  // A shape keeps three corners, an opening goes with its third.
  withoutCorner(index, ring, corner) {
    const left = this.ring(index, ring).filter((_, at) => at !== corner);
    if (left.length >= 3) return this.withRing(index, ring, left);
    if (ring === 0) return null;
    const feature = this.feature(index);
    const rings = feature.geometry.coordinates.filter((_, at) => at !== ring);
    return this.withFeature(index, { ...feature, geometry: { ...feature.geometry, coordinates: rings } });
  }

  withProperties(index, said) {
    const feature = this.feature(index);
    const properties = { ...feature.properties, ...said };
    for (const [name, value] of Object.entries(properties)) if (value === "" || value === null || value === false) delete properties[name];
    return this.withFeature(index, { ...feature, properties });
  }

  withMembers(members) {
    const plain = { ...this.plain, ...members };
    for (const [name, value] of Object.entries(plain)) if (value === null) delete plain[name];
    return plain;
  }

  withShape(feature) {
    const name = this.#freeName(feature.properties);
    const named = { ...feature, properties: { ...feature.properties, name } };
    return { ...this.plain, features: [...this.features, named] };
  }

  withoutShape(index) { return { ...this.plain, features: this.features.filter((_, at) => at !== index) }; }

  // As the reader of the file names what has no name: a conductor by its net, all else by what it is, with a number.
  #freeName({ name, net, role }) {
    const taken = new Set(this.features.map((one) => one.properties.name));
    if (name && !taken.has(name)) return name;
    const stem = name || net || role;
    if (net && !name && !taken.has(net)) return net;
    for (let count = 1; ; count += 1) if (!taken.has(`${stem} ${count}`)) return `${stem} ${count}`;
  }
}
