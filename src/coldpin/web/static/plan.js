/* The next open step, by one key or one tap; a plan looked at again is made anew, for others may have ticked. */
const go = document.getElementById("go-next");

const nextOpen = () => document.querySelector("#plan .line.open :is(button, a.button, a.claim)");

function show() {
  go.hidden = nextOpen() === null;
}

function reach() {
  const found = nextOpen();
  if (!found) return;
  found.closest("details").open = true;
  found.scrollIntoView({ block: "center" });
  found.focus({ preventScroll: true });
}

go.addEventListener("click", reach);
document.addEventListener("keydown", (event) => {
  const writing = event.target.closest("input, textarea, select");
  if (event.key === "n" && !writing && !event.ctrlKey && !event.metaKey && !event.altKey) reach();
});
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") document.body.dispatchEvent(new Event("seen"));
});
new MutationObserver(show).observe(document.querySelector("main"), { childList: true, subtree: true, attributes: true, attributeFilter: ["class", "disabled"] });

/* What is opened stays open when the plan is made anew beside it. */
document.addEventListener("htmx:before:swap", (event) => {
  const open = new Set([...document.querySelectorAll("#plan details[open]")].map((one) => one.id || one.className));
  document.addEventListener("htmx:after:swap", () => {
    for (const one of document.querySelectorAll("#plan details")) {
      if (open.has(one.id || one.className)) one.open = true;
    }
  }, { once: true });
});
show();
