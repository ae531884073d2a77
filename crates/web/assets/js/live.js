// Follows the shop: when something comes in or is changed anywhere, the open page shows it.
import { fetchPage, showPage } from "./swap.js";
import { isTouched } from "./forms.js";
import { isLost, stand } from "./saved.js";

let waiting = false;
let again = false;

/** Something on this page is in hand (a handle is being dragged, a log is on its way). */
const busy = () => document.querySelector("[data-in-hand]") !== null;

/** A page that renews itself part by part. */
const renewsItself = () => document.querySelector("[data-own-news]") !== null;

/** The job that the page belongs to, if it belongs to one. */
const jobOf = () => document.querySelector("[data-job]")?.dataset.job;

export function listen() {
  if (!("EventSource" in window)) return;
  let source;
  const open = () => {
    source = new EventSource("/events");
    source.addEventListener("change", (event) => changed(JSON.parse(event.data)));
    source.addEventListener("progress", (event) => {
      document.dispatchEvent(new CustomEvent("reading", { detail: JSON.parse(event.data) }));
    });
    source.addEventListener("open", () => {
      const was = isLost();
      stand({ lost: null, signedOut: false });
      document.dispatchEvent(new CustomEvent("link-back"));
      if (was && !renewsItself()) refresh();
    });
    source.addEventListener("error", async () => {
      // A stream that the shop refuses is closed; one without link is tried again by the browser.
      const refused = source.readyState === EventSource.CLOSED;
      if (refused && (await isSignedOut())) {
        stand({ lost: null, signedOut: true });
        if (!renewsItself()) refresh();
        setTimeout(open, 10000);
        return;
      }
      if (!isLost()) stand({ lost: new Date() });
      if (refused) setTimeout(open, 2000);
    });
  };
  open();
  addEventListener("pagehide", () => source.close());
  // A page that was laid aside comes back as it was; whoever signed out meanwhile must not find it.
  addEventListener("pageshow", async (event) => {
    if (!event.persisted) return;
    if (!isTouched() && (await isSignedOut())) location.reload();
    else open();
  });
}

/** The shop answers, but not to this browser: the session has ended. */
async function isSignedOut() {
  try {
    const answer = await fetch(location.href, { method: "HEAD", credentials: "same-origin", headers: { accept: "application/json" } });
    return answer.status === 401;
  } catch {
    return false;
  }
}

/** News of jobs alone leave a page of another job as it is. */
function changed({ jobs, other }) {
  if (renewsItself()) return void document.dispatchEvent(new CustomEvent("news", { detail: { jobs: other ? undefined : jobs } }));
  const job = jobOf();
  if (job && jobs && !other && !jobs.includes(job)) return;
  void refresh();
}

async function refresh() {
  if (busy()) {
    again = true;
    setTimeout(() => again && ((again = false), refresh()), 500);
    return;
  }
  if (isTouched()) {
    say("kept", "The shop has something newer. Send or leave what you typed here, then it shows.");
    return;
  }
  if (waiting) {
    again = true;
    return;
  }
  waiting = true;
  try {
    const { page } = await fetchPage(location.href);
    if (!busy() && !isTouched()) showPage(page);
    document.dispatchEvent(new CustomEvent("refreshed"));
  } catch (fault) {
    if (fault.page) showPage(fault.page);
  } finally {
    waiting = false;
    if (again) {
      again = false;
      refresh();
    }
  }
}

/** Writes into the saved state of the spine. */
export function say(state, words) {
  const place = document.getElementById("saved");
  if (!place) return;
  place.dataset.state = state;
  place.querySelector(".words").textContent = words;
}
