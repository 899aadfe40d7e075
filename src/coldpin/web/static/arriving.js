// Another word for "It shows" brings other fields. Their place is taken only once the server has answered; what is typed
// until then is put into the new fields of the same name, so that nobody need wait. Who files meanwhile needs no fields.

const chooser = (context) => context?.sourceElement?.id === "shows";
const named = (place, name) => [...place.querySelectorAll(`[name="${CSS.escape(name)}"]`)];
const picked = (field) => field.type === "radio" || field.type === "checkbox";

let typed = new Set();
let filing = null;
const asking = new Set();
let held = [];
let swapped = null;

for (const event of ["input", "change"])
  document.addEventListener(event, ({ target }) => target.name && target.id !== "shows" && typed.add(target));

document.addEventListener("htmx:before:request", (event) => {
  const { ctx } = event.detail;
  if (filing) {
    event.preventDefault(); // what is filed is not there to be asked about
    return;
  }
  if (chooser(ctx)) typed = new Set();
  if (ctx.sourceElement.matches("form.entry")) {
    filing = ctx;
    for (const one of asking) one.request.abort();
  } else {
    asking.add(ctx);
  }
});

document.addEventListener("htmx:finally:request", ({ detail }) => {
  asking.delete(detail.ctx);
  if (detail.ctx === filing && !detail.ctx.hx?.redirect) filing = null; // it was refused, and may be asked about again
});
addEventListener("pageshow", () => (filing = null)); // one may come back

document.addEventListener("htmx:before:swap", ({ detail }) => {
  if (!chooser(detail.ctx)) return;
  swapped = detail.ctx;
  const form = document.getElementById("shows").form;
  held = [...typed].filter((field) => field.form === form).map((field) => ({
    name: field.name,
    among: named(form, field.name).indexOf(field),
    value: field.value,
    checked: field.checked,
  }));
});

document.addEventListener("htmx:after:swap", ({ detail }) => {
  if (detail.ctx !== swapped) return;
  const { form } = document.getElementById("shows");
  for (const { name, among, value, checked } of held) {
    const fields = named(form, name);
    const field = fields.find((one) => picked(one) && one.value === value) ?? fields[among];
    if (!field) continue;
    if (picked(field)) field.checked = checked;
    else field.value = value;
    field.closest("details:not([open])")?.setAttribute("open", "");
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  [held, swapped] = [[], null];
});
