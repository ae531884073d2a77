// Puts a newer copy of the page's sheet in place of the old one, keeping focus, scroll, opened folds
// and what has been typed.

/** Fetches a page of ours and returns its document and address, or throws with words for a person. */
export async function fetchPage(address, options = {}) {
  const answer = await fetch(address, { credentials: "same-origin", headers: { accept: "text/html" }, ...options });
  const text = await answer.text();
  const page = new DOMParser().parseFromString(text, "text/html");
  if (!answer.ok) {
    const words = page.querySelector("main .finding")?.textContent?.trim();
    throw Object.assign(new Error(words || `The shop answered ${answer.status}.`), { page, status: answer.status });
  }
  return { page, address: answer.url };
}

/** Replaces the sheet, the spine's trail and the saved state by those of another document. */
export function showPage(page) {
  const old = document.querySelector("main");
  const fresh = page.querySelector("main");
  if (!old || !fresh) return;
  const focus = document.activeElement;
  const keep = focus && old.contains(focus) ? mark(focus) : null;
  const folds = [...old.querySelectorAll("details[id]")].map((d) => [d.id, d.open]);
  const boxes = [...old.querySelectorAll(".scroll[id]")].map((b) => [b.id, b.scrollTop]);
  const [left, top] = [window.scrollX, window.scrollY];

  old.replaceWith(document.adoptNode(fresh));
  document.title = page.title;
  for (const part of [".trail", "#saved", ".shop"]) {
    const before = document.querySelector(part);
    const after = page.querySelector(part);
    if (before && after && before.innerHTML !== after.innerHTML) before.replaceWith(document.adoptNode(after));
  }
  for (const [id, open] of folds) {
    const fold = document.getElementById(id);
    if (fold) fold.open = open;
  }
  for (const [id, y] of boxes) {
    const box = document.getElementById(id);
    if (box) box.scrollTop = y;
  }
  if (keep) document.querySelector(keep)?.focus({ preventScroll: true });
  window.scrollTo(left, top);
}

/** A way to find the focused element again in the new sheet. */
function mark(element) {
  if (element.id) return `#${CSS.escape(element.id)}`;
  const end = element.getAttribute("data-end");
  if (end) return `run-chart g.handle[data-end="${CSS.escape(end)}"]`;
  const name = element.getAttribute("name");
  const form = element.closest("form[id]");
  if (name && form) return `#${CSS.escape(form.id)} [name="${CSS.escape(name)}"]`;
  const href = element.getAttribute("href");
  return href ? `main a[href="${CSS.escape(href)}"]` : "main";
}
