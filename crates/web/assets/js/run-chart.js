// The picture of a run, in hand: read it at a speed, and judge another band.
//
// The server draws the picture; this only moves what is there. Band ends snap to 25 rpm, and when
// one is let go the server judges the new band and sends the page again.
import { bandEnds } from "./band-ends.js";
import { Readout } from "./readout.js";
import { fetchPage, showPage } from "./swap.js";
import { say } from "./live.js";

let lastRead = null;

class RunChart extends HTMLElement {
  #stop = null;
  #readout = null;

  connectedCallback() {
    this.#stop = new AbortController();
    const svg = this.querySelector("svg");
    if (!svg) return;
    const scale = scaleOf(svg);
    this.#readout = new Readout(this, svg, scale, this.#stop.signal, (rpm) => (lastRead = rpm));
    if (lastRead !== null) this.#readout.restore(lastRead);
    bandEnds(this, svg, scale, this.#stop.signal, (from, to) => this.#judge(from, to));
    fitSheet(this, svg, this.#stop.signal);
  }

  disconnectedCallback() {
    this.#stop?.abort();
  }

  async #judge(from, to) {
    const address = new URL(location.href);
    address.searchParams.set("from", String(from));
    address.searchParams.set("to", String(to));
    try {
      const { page } = await fetchPage(address.href);
      history.replaceState(history.state, "", address.href);
      showPage(page);
    } catch (fault) {
      say("lost", `The band was not judged. ${fault.message}`);
    }
  }
}

/** Place of a speed in the picture and back. Places are in the picture's own pixels. */
function scaleOf(svg) {
  const get = (name) => Number(svg.getAttribute(`data-${name}`));
  const [x0, x1, rpm0, rpm1] = [get("x0"), get("x1"), get("rpm0"), get("rpm1")];
  return {
    x0, x1, rpm0, rpm1,
    x: (rpm) => x0 + ((rpm - rpm0) / (rpm1 - rpm0)) * (x1 - x0),
    rpm: (x) => rpm0 + ((x - x0) / (x1 - x0)) * (rpm1 - rpm0),
    at: (event) => {
      const box = svg.getBoundingClientRect();
      return ((event.clientX - box.left) / box.width) * svg.viewBox.baseVal.width;
    },
  };
}

/** Tells the server how much room the picture has, so that its letters keep their size. */
function fitSheet(element, svg, signal) {
  const fit = async () => {
    const place = element.parentElement;
    if (!place || document.querySelector("[data-in-hand]") || matchMedia("print").matches) return;
    const width = Math.round(place.clientWidth);
    const top = element.getBoundingClientRect().top + window.scrollY;
    const phone = window.innerWidth < 641;
    const room = phone ? 620 : window.innerHeight - top - (window.innerWidth > 1180 ? 16 : 6);
    const height = Math.round(Math.min(900, Math.max(phone ? 560 : 540, room)) / 10) * 10;
    const [, , now, high] = svg.getAttribute("viewBox").split(" ").map(Number);
    const asked = Number(element.dataset.high ?? high);
    if (width < 280 || (Math.abs(width - now) <= 12 && Math.abs(height - asked) <= 24)) return;
    const size = `${Math.max(280, Math.min(2400, width))}x${height}`;
    if (element.dataset.size === size) return;
    document.cookie = `plot=${size}; path=/; max-age=31536000; samesite=strict`;
    try {
      const { page } = await fetchPage(location.href);
      if (element.isConnected) showPage(page);
    } catch {
      // The picture stays as it is, only scaled.
    }
  };
  let timer = 0;
  addEventListener("resize", () => {
    clearTimeout(timer);
    timer = setTimeout(fit, 200);
  }, { signal });
  document.fonts.ready.then(fit);
}

customElements.define("run-chart", RunChart);
