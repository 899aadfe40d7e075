// The forms beside the sheet: the list of shapes, what the chosen one is, thickness and face.

export function panels(drawing, shapes, by) {
  const list = by("shapes-list");
  const form = by("shape");
  const { role, net, name, height_mm: height, face, joint, plated, proposed } = form.elements;

  const called = ({ name: said, net: on, role: kind }) => [said, on && on !== said ? on : "", kind === "conductor" ? "" : kind].filter(Boolean).join(" · ");

  function showList() {
    const options = drawing.features.map((feature, at) => new Option(called(feature.properties), String(at)));
    list.replaceChildren(new Option("none", ""), ...options);
    list.value = drawing.chosen < 0 ? "" : String(drawing.chosen);
    const nets = new Set(drawing.features.map((feature) => feature.properties.net).filter(Boolean));
    for (const on of nets) if (!by("nets").querySelector(`[value="${CSS.escape(on)}"]`)) by("nets").append(new Option(on, on));
    by("ends").replaceChildren(...[...nets, ...drawing.features.map((feature) => feature.properties.name)].map((end) => new Option(end, end)));
    by("thickness").value = drawing.plain.thickness_mm ?? "";
  }

  function showShape() {
    form.hidden = drawing.chosen < 0;
    if (form.hidden) return;
    const said = drawing.feature().properties;
    role.value = said.role;
    net.value = said.net ?? "";
    name.value = said.name ?? "";
    height.value = said.height_mm ?? "";
    face.value = said.face ?? "";
    joint.value = said.joint ?? "";
    plated.checked = Boolean(said.plated);
    proposed.checked = Boolean(said.proposed);
    const known = said.pick_u ? `Its corners are known within ${said.pick_u}, in the unit of the drawing.` : "";
    by("shape-told").textContent = [said.told, known].filter(Boolean).join(". ");
    const only = { net: said.role === "conductor" || (said.role === "slot" && said.plated), joint: said.role === "barrier", plated: said.role === "slot", face: drawing.plain.thickness_mm !== undefined };
    for (const [word, shown] of Object.entries(only)) {
      const field = form.elements[word];
      (field.type === "checkbox" ? field.parentElement : field).hidden = !shown;
      const label = form.querySelector(`label[for="${field.id}"]`);
      if (label && field.id) label.hidden = !shown;
    }
    proposed.parentElement.hidden = !said.proposed;
  }

  const number = (text) => (text.trim() === "" ? null : Number.isFinite(Number(text.replace(",", "."))) ? Number(text.replace(",", ".")) : text.trim());

  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("change", () => {
    const conducts = role.value === "conductor" || (role.value === "slot" && plated.checked);
    drawing.become(drawing.withProperties(drawing.chosen, {
      role: role.value, net: conducts ? net.value.trim() : "", name: name.value.trim(), height_mm: number(height.value), face: face.value,
      joint: role.value === "barrier" ? joint.value : "", plated: role.value === "slot" && plated.checked, proposed: proposed.checked,
    }));
  });
  list.addEventListener("change", () => {
    drawing.choose(list.value === "" ? -1 : Number(list.value));
    if (drawing.chosen >= 0) shapes.pane.bring(shapes.made[drawing.chosen].getBBox());
  });
  by("thickness").addEventListener("change", ({ target }) => drawing.become(drawing.withMembers({ thickness_mm: number(target.value) })));
  by("shown-face").addEventListener("change", ({ target }) => {
    shapes.face = target.value;
    shapes.show();
  });
  for (const word of ["changed", "chosen"]) drawing.addEventListener(word, () => { showList(); showShape(); });
  showList();
  showShape();
}
