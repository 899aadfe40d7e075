import { ask, RECORD } from "./asking.js";

// Unsaved work is kept in this browser until it is filed or discarded; filing tells where another filed meanwhile.

export class Draft {
  constructor(name) { this.name = `coldpin drawing ${name}`; }

  read() {
    try {
      return JSON.parse(localStorage.getItem(this.name));
    } catch {
      return null;
    }
  }

  // Says whether it could be kept.
  write(plain, before) {
    try {
      localStorage.setItem(this.name, JSON.stringify({ plain, before, at: new Date().toISOString() }));
      return true;
    } catch {
      return false;
    }
  }

  // With what was filed: what another tab keeps under the same name stays.
  forget(filed) {
    if (!filed || JSON.stringify(this.read()?.plain) === JSON.stringify(filed)) localStorage.removeItem(this.name);
  }
}

export const asFile = (plain) => new Blob([`${JSON.stringify(plain)}\n`], { type: "application/geo+json" });

// Returns the entry that was filed; an error says why it was not, with the status 409 where another version came between.
export async function file(address, plain, form, before, over) {
  const body = new FormData(form);
  body.set("drawing", asFile(plain), "drawing.geojson");
  body.set("before", before);
  if (over) body.set("over", "yes");
  const made = await ask(`${address}/filed`, body, RECORD);
  return made.entry.id;
}
