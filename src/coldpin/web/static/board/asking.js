// Asking the server: one message where it does not answer, its own where it refuses.

const SILENT = "The server does not answer. Nothing is lost: what is drawn is kept in this browser.";
export const PIECE = { "hx-request": "true" };
export const RECORD = { accept: "application/json" };

// Returns what was answered, a piece of the page or a record; an error carries the status where there is one.
export async function ask(address, body, headers, signal) {
  let answer;
  try {
    answer = await fetch(address, { method: "POST", body, headers, signal });
  } catch (error) {
    throw error.name === "AbortError" ? error : new Error(SILENT);
  }
  if (headers === RECORD) {
    const record = await answer.json().catch(() => ({}));
    if (!answer.ok) throw refused(answer, record.error);
    return record;
  }
  const made = document.createElement("template");
  made.innerHTML = await answer.text();
  if (!answer.ok) throw refused(answer, made.content.textContent.trim());
  return made.content.firstElementChild;
}

const refused = ({ status }, message) => Object.assign(new Error(message || `The server answered ${status}.`), { status });
