// Keeps pages that were opened, so that they open again without link to the shop, and says from when they are.
// It sends nothing: entries are the queue's matter. It answers from its store only when the shop does not answer.

const PAGES = "plateau-pages-1";
const ASSETS = "plateau-assets-1";
const MOST = 80; // pages
const MOST_ASSETS = 120;
const PATIENCE = 6000; // ms until a page that is kept is shown instead

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys().then((names) => Promise.all(names.filter((name) => ![PAGES, ASSETS].includes(name)).map((name) => caches.delete(name)))).then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.method === "POST" && url.pathname.startsWith("/sign-out")) {
    // Whoever signs out leaves no pages behind. Entries not sent yet stay.
    event.waitUntil(caches.delete(PAGES));
    return;
  }
  if (request.method !== "GET") return;
  if (url.pathname.startsWith("/assets/")) return event.respondWith(asset(request));
  const wantsPage = request.mode === "navigate" || (request.headers.get("accept") ?? "").includes("text/html");
  if (wantsPage && isKept(url.pathname)) event.respondWith(page(event, request, url));
});

/** Pages that a person at the bench goes on with: jobs and what belongs to them. */
const isKept = (path) => path === "/" || path === "/jobs" || path.startsWith("/jobs/") || path === "/instruments" || path === "/kept";

/** One copy of a page: what is selected on it is not part of its name. */
const nameOf = (url) => url.origin + url.pathname;

async function page(event, request, url) {
  const kept = await caches.open(PAGES);
  const fresh = fetch(request).then((answer) => {
    // A page that led elsewhere (to sign in) is not the page that was asked for.
    if (answer.ok && !answer.redirected && (answer.headers.get("content-type") ?? "").startsWith("text/html")) {
      event.waitUntil(keep(kept, url, answer.clone()));
    }
    return answer;
  });
  const slow = new Promise((resolve) => setTimeout(resolve, PATIENCE, null));
  try {
    const answer = await Promise.race([fresh, slow]);
    if (answer && answer.status < 500) return answer;
    return (await old(kept, url, request)) ?? (answer ?? (await fresh));
  } catch (fault) {
    const answer = await old(kept, url, request);
    if (answer) return answer;
    if (request.mode !== "navigate") throw fault;
    return without(kept);
  }
}

async function keep(kept, url, answer) {
  const headers = new Headers({ "content-type": "text/html; charset=utf-8", "x-kept-at": new Date().toISOString() });
  for (const name of ["content-security-policy", "x-content-type-options", "referrer-policy", "permissions-policy"]) {
    const value = answer.headers.get(name);
    if (value) headers.set(name, value);
  }
  const name = nameOf(url);
  await kept.delete(name); // the newest stands last
  await kept.put(name, new Response(await answer.text(), { headers }));
  const names = await kept.keys();
  for (const old of names.slice(0, Math.max(0, names.length - MOST))) await kept.delete(old);
}

/** A page as it was, with the time on its root, so that the page can say it. */
async function old(kept, url, request) {
  // A script that renews the open page needs the shop's word, not a copy.
  if (request.mode !== "navigate") return null;
  const answer = await kept.match(nameOf(url));
  if (!answer) return null;
  const text = await answer.text();
  const at = answer.headers.get("x-kept-at");
  return new Response(text.replace("<html ", `<html data-as-of="${at}" `), { headers: answer.headers });
}

/** No link and no copy: says so, and names the pages that are here. */
async function without(kept) {
  const names = (await kept.keys()).map((request) => new URL(request.url).pathname).sort();
  const list = names.map((path) => `<li><a href="${path}">${path}</a></li>`).join("");
  const body = `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><title>No link to the shop</title>
<h1>No link to the shop</h1><p>This page was not opened on this tablet before, so there is no copy of it. Entries that were made are kept and are sent when the link is back.</p>${list ? `<p>Pages that can be opened without link:</p><ul>${list}</ul>` : ""}`;
  return new Response(body, { status: 503, headers: { "content-type": "text/html; charset=utf-8" } });
}

/** Files of one version never change: from the store first. */
async function asset(request) {
  const kept = await caches.open(ASSETS);
  const there = await kept.match(request);
  if (there) return there;
  const answer = await fetch(request);
  if (answer.ok && (answer.headers.get("cache-control") ?? "").includes("immutable")) {
    await kept.put(request, answer.clone());
    const names = await kept.keys();
    for (const old of names.slice(0, Math.max(0, names.length - MOST_ASSETS))) await kept.delete(old);
  }
  return answer;
}
