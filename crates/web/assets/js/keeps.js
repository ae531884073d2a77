// Pages without link: hands the worker to the browser, and says from when a page is that came from its store.
import { clock } from "./saved.js";

/** Says "As of 14:19" on a page that came from this tablet. */
function sayAge() {
  const at = document.documentElement.dataset.asOf;
  const main = document.querySelector("main");
  if (!at || !main || main.querySelector(".as-of")) return;
  const then = new Date(at);
  const today = then.toDateString() === new Date().toDateString();
  const words = today ? clock(then) : `${then.getDate()} ${then.toLocaleString("en", { month: "short" })}, ${clock(then)}`;
  const line = document.createElement("p");
  line.className = "as-of";
  line.setAttribute("role", "status");
  line.textContent = `As of ${words}. No link to the shop; this page came from this tablet.`;
  main.prepend(line);
}

/** The page is the shop's own again. */
export function fresh() {
  delete document.documentElement.dataset.asOf;
  document.querySelector("main .as-of")?.remove();
}

export function keepPages() {
  sayAge();
  document.addEventListener("refreshed", fresh);
  const refuse = () => (document.documentElement.dataset.keepsPages = "no");
  // Not under a certificate that the browser does not trust, and not in every private window.
  if (!("serviceWorker" in navigator)) return refuse();
  navigator.serviceWorker.register("/worker.js").then(
    async (there) => {
      document.documentElement.dataset.keepsPages = "yes";
      // The page that brought the worker was fetched before it: fetch it once more, through the worker, to keep it.
      if (!navigator.serviceWorker.controller) {
        await navigator.serviceWorker.ready;
        if (there.active) void firstCopy();
      }
    },
    refuse,
  );
}

async function firstCopy() {
  const taken = () => navigator.serviceWorker.controller;
  for (let tries = 0; !taken() && tries < 20; tries++) await new Promise((resolve) => setTimeout(resolve, 100));
  if (!taken()) return;
  const files = [...document.querySelectorAll('link[rel="stylesheet"],script[src]')].map((e) => e.href || e.src);
  const modules = performance.getEntriesByType("resource").map((entry) => entry.name).filter((name) => name.includes("/assets/"));
  for (const address of new Set([...files, ...modules])) await fetch(address).catch(() => null);
  await fetch(location.href, { headers: { accept: "text/html" }, credentials: "same-origin" }).catch(() => null);
}
