// Forms of a page: knows which hold something not sent yet, and prints on request.

let touched = false;

/** Whether something has been typed or picked on this page and not sent. */
export function isTouched() {
  return touched;
}

/** Says that the page stands as sent. */
export function untouched() {
  touched = false;
}

export function watchForms() {
  document.addEventListener("input", (event) => {
    const form = event.target.closest?.("main form");
    if (form && !form.hasAttribute("data-at-once")) touched = true;
  });
  document.addEventListener("change", (event) => {
    const form = event.target.closest?.("form[data-at-once]");
    if (form && event.target.matches("select")) form.requestSubmit();
  });
  document.addEventListener("submit", () => {
    touched = false;
  });
  // "Leave pull 2 out?" beside a flag opens the pull's own form.
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("[data-open]");
    const fold = link && document.getElementById(link.dataset.open);
    if (!fold) return;
    event.preventDefault();
    for (let part = fold; part; part = part.parentElement?.closest("details")) part.open = true;
    fold.scrollIntoView({ block: "center" });
    fold.querySelector("input:not([type=hidden])")?.focus({ preventScroll: true });
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-print]");
    if (!button) return;
    event.preventDefault();
    window.print();
  });
}
