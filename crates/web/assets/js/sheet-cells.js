// Cells of a measuring sheet as a script sees them: what a reading amounts to by its number alone, and a reading that
// the shop does not have yet drawn over what the shop had there.
import { drawReading } from "./limit-bar.js";
import { isLost } from "./saved.js";

export const number = (text) => (text === undefined || text === "" ? null : Number(text));
export const list = (text) => (text ?? "").split(" ").filter(Boolean);
export const replacing = (ids) => (ids?.length ? { replaces: ids } : {});

/** A reading against the limits of its place, without its uncertainty. */
export function byNumber(value, { lo, hi }) {
  if (!Number.isFinite(value)) return "";
  const [low, high] = [number(lo), number(hi)];
  if (low === null && high === null) return "none";
  return (low !== null && value < low) || (high !== null && value > high) ? "outside" : "inside";
}

export function over(value, { lo, hi, decimals }) {
  const digits = number(decimals) ?? 3;
  const [low, high] = [number(lo), number(hi)];
  if (high !== null && value > high) return `${(value - high).toFixed(digits)} over`;
  return low !== null && value < low ? `${(low - value).toFixed(digits)} under` : "";
}

/** What the panel says about a reading that stands. */
export function says(d) {
  if (d.waits !== undefined) {
    const by = byNumber(Number(d.number), d);
    const verdict = { outside: `By its number it is ${over(Number(d.number), d)}.`, inside: "By its number it is inside.", none: "" }[by] ?? "";
    return `${verdict} ${isLost() ? "The verdict, and what hangs on it, is worked out when the link is back." : "On its way to the shop."}`.trim();
  }
  return d.say ?? "";
}

/** Writes a reading into a cell, remembering what the shop had there. */
export function fill(cell, { id, text, typed = "", state }) {
  cell.shopHad ??= { html: cell.innerHTML, data: { ...cell.dataset }, name: cell.className, label: cell.getAttribute("aria-label") };
  cell.classList.remove("out", "cant", "blank", "two");
  cell.classList.add("waits");
  const d = cell.dataset;
  for (const key of ["beyond", "say", "two", "ask", "taint"]) delete d[key];
  Object.assign(d, { number: text, typed, state, standing: id, waits: "" });
  d.verdict = state === "read" ? byNumber(Number(text), d) : "none";
  cell.classList.toggle("out", d.verdict === "outside");
  cell.classList.toggle("blank", state === "empty");
  const value = cell.querySelector(".v");
  const prefix = text.startsWith(d.prefix ?? "") ? (d.prefix ?? "") : "";
  const quiet = document.createElement("i");
  quiet.textContent = prefix;
  value.replaceChildren(...(prefix ? [quiet] : []), state === "empty" ? "··" : text.slice(prefix.length));
  const bar = cell.querySelector("svg.bar");
  if (bar) {
    if (state === "read") drawReading(bar, Number(text), d.verdict === "outside" ? "outside" : "inside");
    else bar.querySelector(".at")?.remove();
  }
  cell.setAttribute("aria-label", `${d.name}: ${state === "empty" ? "not measured" : text}, kept on this tablet`);
}

export function restore(cell) {
  const before = cell.shopHad;
  if (!before) return;
  cell.innerHTML = before.html;
  cell.className = before.name;
  for (const key of Object.keys(cell.dataset)) delete cell.dataset[key];
  Object.assign(cell.dataset, before.data);
  if (before.label === null) cell.removeAttribute("aria-label");
  else cell.setAttribute("aria-label", before.label);
  delete cell.shopHad;
}
