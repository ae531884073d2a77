// Places a reading on a limit bar that the server drew. The bar carries two values and where they lie; everything
// between follows. A reading beyond the ends is drawn as an arrow at the end, never as if it lay there.

const SVG = "http://www.w3.org/2000/svg";

function make(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}

const round = (value) => Math.round(value * 10) / 10;

/** Where a value lies: {x, beyond: -1 | 0 | 1}; none where the bar has no scale. */
export function placeOn(bar, value) {
  const { v0, v1, x0, x1, left, right } = bar.dataset;
  if (v0 === undefined || !Number.isFinite(value)) return null;
  const x = Number(x0) + ((value - v0) / (v1 - v0)) * (x1 - x0);
  if (x < Number(left)) return { x: Number(left), beyond: -1 };
  if (x > Number(right)) return { x: Number(right), beyond: 1 };
  return { x: round(x), beyond: 0 };
}

/** Draws a reading: a dot inside, a diamond outside, an arrow off the scale. */
export function drawReading(bar, value, verdict) {
  bar.querySelector(".at")?.remove();
  const at = placeOn(bar, value);
  if (!at) return;
  const y = Number(bar.dataset.y);
  const r = Number(bar.dataset.r);
  let mark;
  if (at.beyond) {
    const tip = at.x + at.beyond * r;
    const back = at.x - at.beyond * r;
    mark = make("path", { d: `M${tip} ${y}L${back} ${y - r}L${back} ${y + r}Z` });
  } else if (verdict === "outside") {
    mark = make("path", { d: `M${at.x} ${y - r}l${r} ${r}l${-r} ${r}l${-r} ${-r}Z` });
  } else {
    mark = make("circle", { cx: at.x, cy: y, r: round(r * 0.92) });
  }
  mark.setAttribute("class", `at ${verdict}`);
  bar.append(mark);
}

/** Draws the neighbours as small open rings over the rail. */
export function drawNeighbours(bar, values) {
  for (const ring of bar.querySelectorAll(".near")) ring.remove();
  for (const value of values) {
    const at = placeOn(bar, value);
    if (at && !at.beyond) bar.append(make("circle", { class: "near", cx: at.x, cy: Number(bar.dataset.y) - 5, r: 3 }));
  }
}
