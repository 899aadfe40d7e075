// The drawing desk: what is pressed, typed and chosen becomes a step of the drawing; the ways follow it.

import { ask, PIECE, RECORD } from "./asking.js";
import { Drawing } from "./drawing.js";
import { Faces } from "./faces.js";
import { asFile, Draft, file } from "./keeping.js";
import { Pane } from "./pane.js";
import { panels } from "./panels.js";
import { Shapes } from "./shapes.js";
import { Ways } from "./ways.js";

const REACH = { fine: 10, coarse: 26 }; // screen pixels within which a corner is meant: a mouse, a finger in a glove
const PLACES = 100; // a hundredth of a pixel, or of the tenth of a millimetre
const STEP = { arrow: 12, fine: 1 };
const CONFLICT = 409;
const HINTS = {
  move: "Choose a shape by a press; drag its corners, or a small dot on a side for a new one.",
  waiting: "An outline is begun: go on with it by Draw; Escape drops it.",
  draw: "Press corner after corner; press the first again to close the outline.",
  point: "Press on what you mean: its outline is proposed.",
  pitch: "Press both ends of a length that you know.",
  marks: "Choose first the photograph of the other face, under Two faces.",
  rectangle: "Press four corners of a rectangle that you know: upper left, upper right, lower right, lower left.",
};

const by = (name) => document.getElementById(name);
const desk = by("drawing-desk");
const { boards, photograph, unit } = desk.dataset;
const numbers = (text) => text.split(" ").map(Number);
const flip = unit === "mm" ? ([x, y]) => [x, -y] : (place) => place; // between the drawing and the sheet, both ways
const scaled = unit === "mm" ? PLACES * 10 : PLACES;
const rounded = ({ x, y }) => flip([x, y]).map((value) => Math.round(value * scaled) / scaled);

const layers = Object.fromEntries(["shapes", "bands", "ways", "handles", "cross"].map((name) => [name, by(name)]));
const drawing = new Drawing(JSON.parse(by("drawing-file").textContent));
const pane = new Pane(by("sheet"), numbers(desk.dataset.view), numbers(desk.dataset.near));
const shapes = new Shapes(layers, drawing, pane, flip);
const part = () => by("save-part")?.value.trim() ?? desk.dataset.part;
const ways = new Ways(boards, part, { barriers: by("barriers"), notes: by("notes"), gaps: by("gaps"), reckoning: by("reckoning") }, layers, flip);
const faces = new Faces(boards, drawing, pane, by);
const draft = new Draft(`${location.pathname}`);
let before = desk.dataset.entry && desk.dataset.newest; // the version that the next one would take the place of
let mode = "move";
let begun = []; // the corners of an outline that is not closed yet: they wait while another tool is in hand
let taken = null; // the corner under the pointer or the cross, with the drawing from before it was taken up

// ---- what is told ----

function tell(message) {
  by("told").textContent = message;
  by("told").hidden = !message;
}

// After the press is over: where a finger brings a field into sight, what follows the press would fall on what is there then.
function focus(field) { setTimeout(() => field.focus()); }

function backToSheet() {
  by("sheet").focus({ preventScroll: true });
  by("sheet").scrollIntoView({ block: "nearest" });
}

function hint(message = (mode === "marks" && faces.hint) || usual()) { by("hint").textContent = message; }

function usual() { return mode === "move" && shapes.started.length ? `${HINTS.move} ${HINTS.waiting}` : HINTS[mode]; }

for (const one of [ways, faces]) one.addEventListener("told", ({ detail }) => tell(detail));
for (const word of ["turned", "laid"]) faces.addEventListener(word, () => { hint(); showSteps(); });

// ---- modes ----

function setMode(next) {
  if (drawsOrMoves()) begun = shapes.started;
  mode = next;
  tell("");
  faces.rest();
  shapes.started = drawsOrMoves() ? begun : [];
  leave();
  for (const button of desk.querySelectorAll("button[data-mode]")) button.setAttribute("aria-pressed", String(button.dataset.mode === mode));
  by("kind").hidden = !["draw", "point"].includes(mode);
  by("sheet").dataset.mode = mode;
  showKind();
  hint();
  shapes.showMarks();
  faces.showMarks();
  if (!by("kind").hidden) by("kind").scrollIntoView({ block: "nearest" });
}

function drawsOrMoves() { return ["draw", "move"].includes(mode); }

function showKind() {
  const { role } = by("kind").elements;
  by("kind").querySelector(".of-net").hidden = role.value !== "conductor";
  by("kind").querySelector(".with-outline").hidden = mode !== "draw" || !shapes.started.length;
  showSteps();
}

by("kind").addEventListener("input", showKind);
by("kind").addEventListener("submit", (event) => event.preventDefault());

// What is being drawn, as the server reads what is pointed out: a net, or a role; then a name.
function kindOf() {
  const { role, net, name, snap } = by("kind").elements;
  const what = role.value === "conductor" ? net.value.trim() : role.value;
  if (!what) {
    tell("Say first on which net the copper is, such as mains L.");
    focus(net);
    return null;
  }
  const properties = { role: role.value, ...(role.value === "conductor" && { net: what }), ...(name.value.trim() && { name: name.value.trim() }) };
  if (by("shown-face").value && !["board", "slot"].includes(role.value)) properties.face = by("shown-face").value;
  return { said: name.value.trim() ? `${what}, ${name.value.trim()}` : what, properties, snap: Boolean(snap?.checked) };
}

// ---- corners taken up and put down ----

function takeUp(place, reach) {
  const found = shapes.near(place, reach * pane.pixel);
  if (!found?.corner && !found?.side) return false;
  const from = drawing.plain;
  if (found.corner) {
    taken = { ...found.corner, from };
  } else {
    taken = { ring: found.side.ring, corner: found.side.corner + 1, from };
    drawing.become(drawing.withNewCorner(drawing.chosen, found.side.ring, found.side.corner, rounded(place)), { moving: true });
  }
  shapes.grabbed = taken;
  shapes.showMarks();
  return true;
}

function carry(place) { drawing.become(drawing.withCorner(drawing.chosen, taken.ring, taken.corner, rounded(place)), { moving: true }); }

function putDown(undone = false) {
  const { from } = taken;
  taken = null;
  shapes.grabbed = null;
  if (undone || from === drawing.plain) {
    drawing.become(from, { moving: true });
    ways.settle(drawing.plain);
  } else {
    drawing.become(drawing.plain, { from });
  }
  shapes.showMarks();
}

// ---- the pane ----

pane.addEventListener("press", (event) => {
  if (mode !== "move" || taken) return;
  const { x, y, coarse } = event.detail;
  if (takeUp({ x, y }, coarse ? REACH.coarse : REACH.fine)) event.hold(taken);
});
pane.addEventListener("drag", ({ detail }) => { if (taken) carry(detail); });
pane.addEventListener("drop", ({ detail }) => { if (taken) putDown(detail.undone); });
pane.addEventListener("tap", ({ detail }) => {
  pane.putCross(detail.x, detail.y);
  if (!detail.held) act(detail, detail.coarse ? REACH.coarse : REACH.fine);
});

// What a press or Enter does at a place of the sheet.
function act(place, reach, byKey = false) {
  tell("");
  if (mode === "draw") addCorner(place, reach);
  else if (mode === "point") point(place);
  else if (mode === "marks") faces.hint && faces.mark(rounded(place));
  else if (mode === "pitch" || mode === "rectangle") addKnown(place);
  else if (byKey && taken) putDown();
  else if (!(byKey && takeUp(place, reach))) drawing.choose(shapes.under(place));
}

// The first corner pressed again closes the outline; not while the last one lies as near to it, as in a slot seen from afar.
function addCorner(place, reach) {
  const started = shapes.started;
  const nearFirst = ([x, y]) => Math.hypot(x - flip(started[0])[0], y - flip(started[0])[1]) < reach * pane.pixel;
  if (started.length > 2 && nearFirst([place.x, place.y]) && !nearFirst(flip(started.at(-1)))) {
    close();
    return;
  }
  shapes.started = [...started, rounded(place)];
  showKind();
  shapes.showMarks();
}

async function close() {
  const corners = shapes.started;
  if (corners.length < 3) {
    tell("An outline has three corners or more.");
    return;
  }
  const kind = kindOf();
  if (!kind) return;
  shapes.started = [];
  showKind();
  if (kind.snap && photograph) {
    await propose(corners, kind.said, null);
    if (shapes.proposed) return;
  }
  addShape({ type: "Feature", properties: kind.properties, geometry: { type: "Polygon", coordinates: [[...corners, corners[0]]] } });
}

function addShape(feature) {
  drawing.become(drawing.withShape(faces.known(feature)));
  drawing.choose(drawing.features.length - 1);
}

// ---- outlines proposed ----

// Asks what takes a look at the picture; says so meanwhile, and tells what went wrong.
async function looked(address, form, headers) {
  hint("Looking at the picture…");
  try {
    const found = await ask(address, form, headers);
    tell("");
    return found;
  } catch (error) {
    tell(error.message);
    return null;
  } finally {
    hint();
  }
}

async function point({ x, y }) {
  const kind = kindOf();
  if (kind) await propose([rounded({ x, y })], kind.said, null);
}

// `instead` is the shape whose outline the proposal would take the place of.
async function propose(places, said, instead) {
  const form = new FormData();
  form.set("photograph", photograph);
  form.set("at", `${places.map((place) => place.join(",")).join(" ")} = ${said}`);
  form.set("snap", "true");
  form.set("face", by("shown-face").value);
  if (faces.below) form.set("under", asFile(drawing.plain), "drawing.geojson");
  const found = await looked(`${boards}/outline`, form, RECORD);
  if (!found) return;
  shapes.proposed = { ...found, instead };
  by("proposal").hidden = false;
  by("proposal").querySelector("ul").replaceChildren(...found.outline.remarks.map((one) => Object.assign(document.createElement("li"), { textContent: one })));
  shapes.showMarks();
}

function take() {
  const { feature, instead } = shapes.proposed;
  leave();
  if (instead === null) {
    addShape(feature);
    return;
  }
  const { told, pick_u: known } = faces.known(feature).properties;
  const whole = { ...drawing.feature(instead), geometry: feature.geometry };
  drawing.become({ ...drawing.plain, features: drawing.features.map((one, at) => (at === instead ? { ...whole, properties: { ...whole.properties, told, pick_u: known } } : one)) });
}

function leave() {
  shapes.proposed = null;
  by("proposal").hidden = true;
  shapes.showMarks();
}

by("proposal").addEventListener("submit", (event) => event.preventDefault());

// ---- a known length or rectangle ----

let known = [];

function addKnown(place) {
  const wanted = mode === "pitch" ? 2 : 4;
  known = [...(known.length < wanted ? known : []), rounded(place)];
  shapes.started = known;
  shapes.showMarks();
  by("scale").querySelector("[value=known]").disabled = known.length < wanted;
  if (known.length === wanted) focus(by("known"));
}

by("scale")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = new FormData(event.target);
  form.set("photograph", photograph);
  const text = form.get("known");
  form.delete("known");
  if (event.submitter?.value === "known") form.set(known.length === 2 ? "pitch" : "rectangle", `${known.map((place) => place.join(",")).join(" ")} = ${text}`);
  const told = await looked(`${boards}/scale`, form, PIECE);
  if (!told) return;
  const scale = Object.fromEntries(Object.entries(JSON.parse(told.dataset.scale)).filter(([, value]) => value !== null && value !== ""));
  by("scale-told").replaceChildren(told);
  by("scale").closest("details").open = false;
  setMode("move");
  drawing.become(drawing.withMembers({ scale }));
  backToSheet();
});

// ---- keys ----

by("sheet").addEventListener("keydown", (event) => {
  const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  const { x, y } = pane.cross;
  if (event.ctrlKey || event.metaKey) {
    if (!["z", "y", "Z"].includes(event.key)) return;
    if (event.key === "z") undo();
    else drawing.redo();
  } else if (arrow) {
    const step = (event.shiftKey ? STEP.fine : STEP.arrow) * pane.pixel;
    pane.moveCross(x + arrow[0] * step, y + arrow[1] * step);
    if (taken) carry(pane.cross);
  } else if (event.key in KEYS) {
    KEYS[event.key]();
  } else {
    return;
  }
  event.preventDefault();
});

const KEYS = {
  "+": () => pane.zoom(1 / 1.4), "=": () => pane.zoom(1 / 1.4), "-": () => pane.zoom(1.4), "0": () => pane.showAll(),
  Enter: () => (shapes.proposed ? take() : act(pane.cross, REACH.fine, true)),
  Escape: cancel, Backspace: back, Delete: back, c: () => mode === "draw" && close(), n: () => nextCorner(1), p: () => nextCorner(-1),
  m: () => setMode("move"), d: () => setMode("draw"), o: () => photograph && setMode("point"),
  f: () => faces.turn(), ",": () => faces.fade(-1), ".": () => faces.fade(1),
};

function cancel() {
  if (taken) putDown(true);
  else if (faces.rest()) tell("");
  else if (shapes.proposed) leave();
  else if (shapes.started.length) shapes.started = [];
  else drawing.choose(-1);
  known = [];
  hint();
  showKind();
  shapes.showMarks();
}

function back() {
  if (mode !== "move" && shapes.started.length) {
    shapes.started = shapes.started.slice(0, -1);
    showKind();
    shapes.showMarks();
  } else {
    removeCorner();
  }
}

// What is under way goes first: the last corner of an outline, half a mark; with a finger there is no other key for it.
function undo() {
  if (mode === "draw" && shapes.started.length) back();
  else if (!faces.rest()) drawing.undo();
}

function removeCorner() {
  const found = shapes.near(pane.cross, REACH.coarse * pane.pixel);
  const left = found?.corner ? drawing.withoutCorner(drawing.chosen, found.corner.ring, found.corner.corner) : null;
  if (left) drawing.become(left);
  else tell(found?.corner ? "A shape has three corners or more: remove the shape instead." : "Put the cross on a corner of the chosen shape first.");
}

function nextCorner(way) {
  if (drawing.chosen < 0) return;
  const corners = drawing.ring(drawing.chosen).map(flip);
  const at = corners.findIndex(([x, y]) => Math.hypot(x - pane.cross.x, y - pane.cross.y) < pane.pixel);
  const [x, y] = corners[(at < 0 ? 0 : at + way + corners.length) % corners.length];
  pane.moveCross(x, y);
}

// ---- buttons ----

const DO = {
  undo, redo: () => drawing.redo(),
  closer: () => pane.zoom(1 / 1.4, middle()), farther: () => pane.zoom(1.4, middle()), whole: () => pane.showAll(),
  close, cancel, take, leave,
  remove: () => { drawing.become(drawing.withoutShape(drawing.chosen)); drawing.choose(-1); },
  "remove-corner": removeCorner,
  lay: () => {
    const { role, net, name } = drawing.feature().properties;
    propose(drawing.ring(drawing.chosen), `${role === "conductor" ? net : role}, ${name}`, drawing.chosen);
  },
  over: () => save(true),
  "remove-mark": () => { faces.removeMark(); hint(); },
  fetch: () => {
    const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(asFile(drawing.plain)), download: "drawing.geojson" });
    link.click();
    URL.revokeObjectURL(link.href);
  },
  discard: () => { draft.forget(); location.reload(); },
};

const middle = () => ({ x: pane.box[0] + pane.box[2] / 2, y: pane.box[1] + pane.box[3] / 2 });

desk.addEventListener("click", ({ target }) => {
  const button = target.closest("button[data-do], button[data-mode]");
  if (!button) return;
  if (button.dataset.mode) {
    known = [];
    setMode(button.dataset.mode);
    if (button.closest(".drawing-side")) backToSheet();
  } else {
    DO[button.dataset.do]();
  }
});

// ---- filing ----

async function save(over) {
  const form = by("save");
  if (!form.reportValidity()) return;
  try {
    const entry = await file(boards, drawing.plain, form, before, over);
    draft.forget(drawing.plain);
    location.assign(`${boards}/${encodeURIComponent(entry)}`);
  } catch (error) {
    tell(error.message);
    for (const one of form.querySelectorAll("[data-do=over], [data-theirs]")) one.hidden = error.status !== CONFLICT;
  }
}

by("save").addEventListener("submit", (event) => { event.preventDefault(); save(false); });

function keep() {
  const kept = draft.write(drawing.plain, before);
  showDraft(kept ? "Not filed yet. Your changes are kept in this browser." : "Not filed yet, and this browser keeps nothing: file it before you leave.");
}

function showDraft(message) {
  by("draft").textContent = message;
  by("draft").hidden = !message;
  desk.querySelector("[data-do=discard]").hidden = !message;
}

// ---- everything together ----

drawing.addEventListener("moving", () => ways.follow(drawing.plain));
drawing.addEventListener("changed", () => {
  ways.settle(drawing.plain);
  keep();
});
drawing.addEventListener("changed", showSteps);
drawing.addEventListener("chosen", () => ways.lookAt(drawing.feature()?.properties.net ?? ""));
document.body.addEventListener("recorded", () => {
  by("calliper").reset();
  ways.settle(drawing.plain, 0);
});

function showSteps() {
  const underWay = (mode === "draw" && shapes.started.length) || faces.pending;
  desk.querySelector("[data-do=undo]").disabled = !underWay && !drawing.past.length;
  desk.querySelector("[data-do=redo]").disabled = !drawing.future.length;
}

panels(drawing, shapes, by);
by("sheet").setAttribute("tabindex", "0");
by("sheet").setAttribute("role", "application");
by("sheet").setAttribute("aria-describedby", "hint");
for (const one of desk.querySelectorAll("[data-scripted]")) one.hidden = false;
tell("");
const found = draft.read();
if (found?.plain && JSON.stringify(found.plain) !== JSON.stringify(drawing.plain)) {
  before = found.before;
  drawing.become(found.plain);
  showDraft(`Changes of ${new Date(found.at).toLocaleString()} were kept in this browser and are shown; they are not filed yet.`);
} else {
  draft.forget();
  ways.settle(drawing.plain, 0);
}
setMode("move");
desk.dataset.ready = "";
