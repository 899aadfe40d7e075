// What every drawn figure shares: the colours of the page, drawing anew when these or the width change, and keys.

/** The colour of one of the page's tokens, as it is now. */
export const ink = (token) => getComputedStyle(document.documentElement).getPropertyValue(`--${token}`).trim();

/** A colour that lets through what lies under it: `share` of it is left. */
export const thin = (colour, share) => `color-mix(in srgb, ${colour} ${share * 100}%, transparent)`;

const dark = matchMedia("(prefers-color-scheme: dark)");
const paper = matchMedia("print");

/**
 * Keep a figure drawn in a place: `draw(width)` draws it and returns its plots, which are drawn anew on a change of
 * theme and set to the new width on a change of size. Returns a function that draws it anew.
 */
export function keepDrawn(place, draw) {
  let plots = [];
  let width = 0;
  const again = () => {
    for (const plot of plots) plot.destroy();
    width = place.clientWidth;
    plots = draw(width);
  };
  const fit = () => {
    if (!place.isConnected) return;
    if (Math.abs(place.clientWidth - width) < 1) return;
    width = place.clientWidth;
    for (const plot of plots) plot.setSize({ width, height: plot.height });
  };
  new ResizeObserver(fit).observe(place);
  for (const change of [dark, paper]) change.addEventListener("change", () => place.isConnected && again());
  again();
  // words that were drawn before the page's own font came stand in another
  if (document.fonts.status !== "loaded") document.fonts.ready.then(() => place.isConnected && again());
  return again;
}

/** Do something for every element of a selector, now and whenever a part of the page is made anew. */
export function forEvery(selector, act) {
  const look = () => {
    for (const found of document.querySelectorAll(selector)) {
      if (found.dataset.taken) continue;
      found.dataset.taken = "yes";
      act(found);
    }
  };
  look();
  document.addEventListener("htmx:after:swap", look);
}

/** An axis in the page's own ink. */
export const axis = (more) => ({
  stroke: ink("quiet"),
  font: `12px ${getComputedStyle(document.body).fontFamily}`,
  labelFont: `12px ${getComputedStyle(document.body).fontFamily}`,
  labelSize: 18,
  grid: { stroke: thin(ink("line"), 0.6), width: 1 },
  ticks: { stroke: ink("line"), width: 1, size: 4 },
  ...more,
});

/** Fetch a record of the server, or nothing where it has none. */
export async function record(address, more) {
  const answer = await fetch(address, { headers: { accept: "application/json" }, ...more });
  return answer.ok ? answer.json() : null;
}
