// Follows the shop: when a run comes in or is changed anywhere, the open page shows it.
import { fetchPage, showPage } from "./swap.js";
import { isTouched } from "./forms.js";

let waiting = false;
let again = false;
let lost = null;

/** Something on this page is in hand (a handle is being dragged, a log is on its way). */
const busy = () => document.querySelector("[data-in-hand]") !== null;

export function listen() {
  if (!("EventSource" in window)) return;
  let source;
  const open = () => {
    source = new EventSource("/events");
    source.addEventListener("change", () => refresh());
    source.addEventListener("progress", (event) => {
      document.dispatchEvent(new CustomEvent("reading", { detail: JSON.parse(event.data) }));
    });
    source.addEventListener("open", () => {
      if (lost) refresh();
      lost = null;
    });
    source.addEventListener("error", () => {
      if (!lost) {
        lost = new Date();
        say("lost", `No link to the shop since ${clock(lost)}`);
      }
      if (source.readyState === EventSource.CLOSED) setTimeout(open, 2000);
    });
  };
  open();
  addEventListener("pagehide", () => source.close());
  addEventListener("pageshow", (event) => event.persisted && open());
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

const clock = (time) => `${String(time.getHours()).padStart(2, "0")}:${String(time.getMinutes()).padStart(2, "0")}`;
