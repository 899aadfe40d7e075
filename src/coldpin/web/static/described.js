// A line of the ledger that was changed and not kept says so, and shows the button that keeps it.

const changed = (field) =>
  field instanceof HTMLSelectElement
    ? ![...field.options].every((one) => one.selected === one.defaultSelected)
    : field.value !== field.defaultValue;

document.addEventListener("input", ({ target }) => {
  const form = target.closest("form.one");
  form?.toggleAttribute("data-changed", changed(target));
  target.closest(".several .field")?.toggleAttribute("data-changed", changed(target));
});

// One does not leave by a slip what was typed and not kept.
addEventListener("beforeunload", (event) => {
  if (document.querySelector("form.one[data-changed]")) event.preventDefault();
});

// Two values for one place are shown where one looks.
document.addEventListener("htmx:after:swap", () =>
  document.querySelector(".conflict")?.scrollIntoView({ block: "nearest" }));
