// A file let go on a page of a case that takes none would have the browser leave the page: it stays, and says where files are brought.

const takes = () => document.querySelector("form[data-bringing]");
const holds = (event) => event.dataTransfer?.types.includes("Files");
const evidence = document.querySelector('#sections a[href$="/evidence"]');

const say = () => {
  const line = document.createElement("p");
  const link = document.createElement("a");
  link.href = evidence.href;
  link.textContent = "Evidence";
  line.className = "problem astray";
  line.setAttribute("role", "alert");
  line.append("Nothing was brought: files are dropped on the page ", link, ".");
  document.querySelector("main > .astray")?.remove();
  document.querySelector("main").prepend(line);
  line.scrollIntoView({ block: "nearest" });
};

document.addEventListener("dragover", (event) => {
  if (takes() || !holds(event)) return;
  event.preventDefault();
  document.body.classList.add("astray");
  document.body.dataset.drop = "Not here: drop it on the page Evidence";
});
document.addEventListener("dragleave", (event) => {
  if (!takes() && !event.relatedTarget) delete document.body.dataset.drop;
});
document.addEventListener("drop", (event) => {
  if (takes() || !holds(event)) return;
  event.preventDefault();
  delete document.body.dataset.drop;
  say();
});
