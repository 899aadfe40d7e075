/* The states above the wave: by word, by hatch, by tint; and above them what happened, each with its mark. */

const SVG = "http://www.w3.org/2000/svg";
const ROOM = 16; // for the marks above the states
const TALL = 34;
const WORD = 9; // pixels a letter takes

function made(name, attributes, inside = "") {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (inside) element.textContent = inside;
  return element;
}

export class Ribbon {
  constructor(place, marks) {
    Object.assign(this, { place, marks });
    place.setAttribute("height", ROOM + TALL);
  }

  /** Draw what is in view, between two times [s], from `left` over `width` pixels. */
  show(from, to, left, width) {
    const across = (time) => left + ((time - from) / (to - from)) * width;
    this.place.setAttribute("width", left + width + 20);
    const parts = [];
    let before = -1;
    for (const { state, stretch, words } of this.marks.states) {
      if (stretch.to_s <= from || stretch.from_s >= to) continue;
      const begin = Math.max(across(stretch.from_s), left);
      const end = Math.min(across(stretch.to_s), left + width);
      if (end - before < 0.5) continue; // narrower than half a pixel, and nothing new since
      before = end;
      parts.push(this.state(state, words, begin, Math.max(end - begin, 1)));
    }
    for (const event of this.marks.events) {
      if (event.at_s < from || event.at_s > to) continue;
      if (event.kind === "state") continue; // the states themselves show it
      parts.push(this.event(event, across(event.at_s)));
    }
    this.place.replaceChildren(...parts);
  }

  state(state, words, begin, width) {
    const group = made("g", { class: `of-${state}` });
    group.append(made("title", {}, `${state}: ${words}`), made("rect", { class: "ground", x: begin, y: ROOM, width, height: TALL - 1 }));
    if (state.endsWith("2")) group.append(made("rect", { class: "pulses", x: begin, y: ROOM + TALL - 10, width, height: 9 }));
    if (/^[EFu]/.test(state)) group.append(made("rect", { class: "astray", x: begin, y: ROOM, width, height: TALL - 1 }));
    const name = state === "undefined" ? "?" : state;
    const room = width - 8;
    const middle = begin + width / 2;
    const both = `${name} ${words.split(";")[0]}`;
    if (room > name.length * WORD) group.append(made("text", { x: middle, y: ROOM + 15 }, room > both.length * WORD ? both : name));
    return group;
  }

  event({ kind, words }, at) {
    const group = made("g", { class: `mark ${kind}` });
    const shape = kind === "glitch" ? `M${at} 2l5 6l-5 6l-5 -6z` : `M${at} 14l-6 -11h12z`;
    group.append(made("title", {}, words), made("path", { d: shape }));
    return group;
  }
}
