// Another word for "It shows" brings other fields. Their place is taken only once the server has answered; what is typed
// until then is put into the new fields of the same name, so that nobody need wait. Who files meanwhile needs no fields.

const chooser = (context) => context?.sourceElement?.id === "shows";
const named = (place, name) => [...place.querySelectorAll(`[name="${CSS.escape(name)}"]`)];
const picked = (field) => field.type === "radio" || field.type === "checkbox";

let typed = new Set();
let held = [];
let swapped = null;

for (const event of ["input", "change"])
  document.addEventListener(event, ({ target }) => target.name && target.id !== "shows" && typed.add(target));

document.addEventListener("htmx:before:request", ({ detail }) => {
  if (chooser(detail.ctx)) typed = new Set();
  else if (detail.ctx.sourceElement.matches("form.entry")) document.getElementById("shows").dispatchEvent(new Event("htmx:abort"));
});

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
