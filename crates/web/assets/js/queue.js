// Entries on their way to the shop: kept first, then sent, in order, once. An entry leaves the tablet when the shop
// has answered that it is written, or when a person strikes one that the shop refused. Never otherwise.
import * as keep from "./keep.js";
import { newId } from "./id.js";
import { isLost, stand, write } from "./saved.js";

const MOST = 40; // entries in one request
const FIRST = 1000; // first wait after a failure, ms
const LONGEST = 30000;
const PATIENCE = 15000; // longest wait for an answer, ms

const tabs = "BroadcastChannel" in window ? new BroadcastChannel("plateau-queue") : null;
const who = () => document.documentElement.dataset.who ?? "";

let wait = FIRST;
let timer = null;
let running = null;
let again = false;

/**
 * Keeps an entry and begins to send. Resolves with the entry when it is kept.
 * `words` is what a person reads if the shop refuses it.
 */
export async function put({ job, kind, body, words, place = null, sheet = null }) {
  const at = new Date();
  const entry = { id: newId(at.getTime()), job, at: at.toISOString(), kind, body, words, place, sheet, who: who(), state: "kept", why: "" };
  await keep.add(entry);
  await tell();
  void navigator.storage?.persist?.().catch(() => {});
  send();
  return entry;
}

/** Entries of one sheet that the shop does not have yet, oldest first. */
export const waitingFor = async (sheet) => (await keep.all()).filter((entry) => entry.sheet === sheet && entry.state === "kept");

/** Entries that the shop refused. */
export const refused = async () => (await keep.all()).filter((entry) => entry.state === "refused");

/** Everything kept. */
export const everything = () => keep.all();

/** A person strikes a refused entry. */
export async function strike(id) {
  await keep.remove([id]);
  await tell();
}

/** A person asks to send a refused entry again. */
export async function tryAgain(id) {
  await keep.mark(id, { state: "kept", why: "" });
  await tell();
  send();
}

/** Begins to send what is kept; called again while it runs, it looks once more at the end. */
export function send() {
  clearTimeout(timer);
  if (running) {
    again = true;
    return;
  }
  running = one().finally(() => {
    running = null;
    if (again) {
      again = false;
      send();
    }
  });
}

/** One tab at a time sends. */
function one() {
  return navigator.locks ? navigator.locks.request("plateau-queue", drain) : drain();
}

async function drain() {
  for (;;) {
    const kept = (await keep.all()).filter((entry) => entry.state === "kept");
    const mine = kept.filter((entry) => !entry.who || !who() || entry.who === who());
    if (!mine.length) {
      wait = FIRST;
      return;
    }
    const job = mine[0].job;
    const end = mine.findIndex((entry) => entry.job !== job);
    const batch = mine.slice(0, end < 0 ? MOST : Math.min(end, MOST));
    let answer;
    let said = null;
    try {
      answer = await fetch("/entries", {
        method: "POST",
        credentials: "same-origin",
        headers: { "content-type": "application/json", accept: "application/json" },
        body: JSON.stringify({ job, author: batch[0].who, entries: batch.map(({ id, at, kind, body }) => ({ id, at, kind, body })) }),
        signal: AbortSignal.timeout(PATIENCE),
      });
      said = await answer.json().catch(() => null);
    } catch {
      return later(isLost() ? {} : { lost: new Date() });
    }
    if (answer.ok && said?.written) {
      const written = new Set(said.written.map((one) => one.id));
      await keep.remove([...written]);
      wait = FIRST;
      const newest = said.written.at(-1)?.received;
      await tell({ lost: null, signedOut: false, saved: newest ? new Date(newest) : new Date() });
      announce("written", [...written]);
      continue;
    }
    if (answer.status === 401) return later({ signedOut: true });
    // Somebody else is signed in than the one who wrote them: they wait for their writer.
    if (answer.status === 403 && said?.stranger) return later({});
    // What the shop may take later: it is busy, closing, or stands behind something that is.
    if (answer.status >= 500 || [408, 425, 429].includes(answer.status) || answer.ok) return later({});
    // The shop refuses: the entry it names, or the first. The others go on without it.
    const number = Number.isInteger(said?.entry) ? said.entry : 1;
    const bad = batch[Math.min(Math.max(number, 1), batch.length) - 1];
    await keep.mark(bad.id, { state: "refused", why: said?.error ?? `The shop answered ${answer.status}.` });
    await tell({ lost: null, signedOut: false });
    announce("refused", [bad.id]);
  }
}

async function later(change) {
  await tell(change);
  clearTimeout(timer);
  timer = setTimeout(send, wait * (0.8 + 0.4 * Math.random()));
  wait = Math.min(wait * 2, LONGEST);
}

/** Counts what is kept and writes how things stand, here and in the other tabs. */
async function tell(change = {}) {
  await count(change);
  tabs?.postMessage({ changed: true, saved: change.saved });
}

async function count(change = {}) {
  const entries = await keep.all();
  const kept = entries.filter((entry) => entry.state === "kept");
  const others = kept.filter((entry) => entry.who && who() && entry.who !== who());
  stand({
    ...change,
    kept: kept.length,
    readings: kept.every((entry) => entry.kind === "reading"),
    refused: entries.length - kept.length,
    stranger: kept.length && others.length === kept.length ? others[0].who : "",
    memory: keep.inMemory(),
  });
  document.dispatchEvent(new CustomEvent("queue", { detail: { kept, refused: entries.filter((e) => e.state === "refused") } }));
}

function announce(what, ids) {
  document.dispatchEvent(new CustomEvent(`queue-${what}`, { detail: ids }));
  tabs?.postMessage({ what, ids });
}

/** Starts with the page. */
export function followQueue() {
  tabs?.addEventListener("message", ({ data }) => {
    if (data.changed) void count(data.saved ? { saved: data.saved, lost: null } : {});
    if (data.what) document.dispatchEvent(new CustomEvent(`queue-${data.what}`, { detail: data.ids }));
  });
  const now = () => {
    wait = FIRST;
    send();
  };
  addEventListener("online", now);
  addEventListener("offline", () => isLost() || stand({ lost: new Date() }));
  document.addEventListener("link-back", now);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && now());
  addEventListener("pageshow", (event) => event.persisted && void count().then(now));
  document.addEventListener("refreshed", write);
  addEventListener("beforeunload", (event) => {
    // Only where leaving would lose something.
    if (keep.inMemory() && document.querySelector('[data-state="lost"]')) event.preventDefault();
  });
  void count().then(send);
}
