// Files are brought to a form by drop anywhere on the page, by paste (a picture, or a table as text), and sent with
// progress and a way to stop. Without this script the form's own fields and button do the same.

const form = document.querySelector("form[data-bringing]");

if (form) {
  const field = form.querySelector("input[type=file]");
  const told = form.querySelector(".told");

  const send = form.querySelector("button:not([type=button])");

  const say = (text) => {
    send.disabled = false;
    const line = document.createElement("p");
    line.className = "problem";
    line.setAttribute("role", "alert");
    line.textContent = text;
    told.replaceChildren(line);
  };

  const bring = (files) => {
    if (!files.length) return;
    const held = new DataTransfer();
    for (const file of [...field.files, ...files]) held.items.add(file);
    field.files = held.files;
    if (form.matches(".bring")) form.requestSubmit();
  };

  document.addEventListener("dragover", (event) => {
    if (event.dataTransfer?.types.includes("Files")) {
      event.preventDefault();
      document.body.dataset.drop = "Drop it: it is brought to this case";
    }
  });
  document.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) delete document.body.dataset.drop;
  });
  document.addEventListener("drop", (event) => {
    delete document.body.dataset.drop;
    if (!event.dataTransfer?.files.length) return;
    event.preventDefault();
    bring(event.dataTransfer.files);
  });

  document.addEventListener("paste", (event) => {
    const files = [...(event.clipboardData?.files ?? [])];
    if (files.length) {
      event.preventDefault();
      bring(files);
      return;
    }
    if (event.target.closest("input, textarea, select")) return;
    const text = event.clipboardData?.getData("text/plain") ?? "";
    if (!text.trim()) return;
    event.preventDefault();
    const ending = text.includes("\t") ? "tsv" : text.includes("\n") ? "csv" : "txt";
    bring([new File([text], `pasted.${ending}`, { type: "text/plain" })]);
  });

  for (const chooser of form.matches(".bring") ? form.querySelectorAll("input[type=file]") : [])
    chooser.addEventListener("change", () => form.requestSubmit());

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const request = new XMLHttpRequest();
    const line = document.createElement("p");
    const bar = document.createElement("progress");
    const stop = document.createElement("button");
    bar.max = 1;
    bar.setAttribute("aria-label", "Sent");
    stop.type = "button";
    stop.textContent = "Stop";
    stop.addEventListener("click", () => request.abort());
    line.append(bar, " ", stop);
    told.replaceChildren(line);
    request.upload.addEventListener("progress", (sent) => {
      if (sent.lengthComputable) bar.value = sent.loaded / sent.total;
    });
    request.upload.addEventListener("load", () => {
      bar.removeAttribute("value");
      bar.setAttribute("aria-label", "Being read and filed");
      line.prepend("Being read and filed ");
      stop.remove();
    });
    request.addEventListener("abort", () => say("Stopped: nothing of it was kept."));
    request.addEventListener("error", () => say("The connection broke: nothing of it was kept; send it again."));
    request.addEventListener("load", () => {
      const place = request.getResponseHeader("location");
      if (request.status < 300 && place) {
        const here = location.pathname + location.search;
        location.assign(place);
        if (place.split("#")[0] === here) location.reload();
        return;
      }
      let message = request.responseText;
      try {
        message = JSON.parse(message).error ?? message;
      } catch {
        // plain words from the door
      }
      say(message);
    });
    request.open("POST", form.action);
    send.disabled = true;
    request.setRequestHeader("accept", "application/json");
    request.send(new FormData(form));
  });
}
