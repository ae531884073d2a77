// Reads the curves at one speed: under the pointer, under a finger, or by arrow keys.
// Values come from the server's numbers, never from the picture.

const STEP = 25;
const STRIDE = 250;

export class Readout {
  #element;
  #svg;
  #scale;
  #group;
  #reader;
  #strips = null;
  #loading = null;
  #rpm = null;
  #changed;

  constructor(element, svg, scale, signal, changed) {
    this.#element = element;
    this.#svg = svg;
    this.#scale = scale;
    this.#changed = changed;
    this.#group = svg.querySelector("g.readout");
    if (!this.#group) return;
    this.#reader = this.#makeReader();
    svg.addEventListener("pointermove", (event) => this.#follow(event), { signal });
    svg.addEventListener("pointerdown", (event) => this.#follow(event), { signal });
    svg.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && this.#leave(), { signal });
    this.#reader.addEventListener("keydown", (event) => this.#key(event), { signal });
    this.#reader.addEventListener("focus", () => this.#show(this.#rpm ?? this.#middle()), { signal });
    this.#reader.addEventListener("blur", () => this.#hide(), { signal });
    (window.requestIdleCallback ?? setTimeout)(() => this.#load().catch(() => {}));
  }

  /** Shows the speed again that was read before the page was renewed. */
  restore(rpm) {
    if (this.#group) this.#show(rpm);
  }

  #makeReader() {
    const old = this.#element.querySelector(".reader");
    if (old) return old;
    const reader = document.createElement("div");
    reader.className = "reader";
    reader.id = "reader";
    reader.tabIndex = 0;
    reader.setAttribute("role", "slider");
    reader.setAttribute("aria-label", "Read the curves at a speed");
    const { rpm0, rpm1 } = this.#scale;
    reader.setAttribute("aria-valuemin", String(rpm0));
    reader.setAttribute("aria-valuemax", String(rpm1));
    reader.setAttribute("aria-valuenow", String(this.#middle()));
    reader.setAttribute("aria-valuetext", `${words(this.#middle())} rpm`);
    this.#element.append(reader);
    return reader;
  }

  #middle() {
    const band = this.#svg.querySelector("g.band");
    const [from, to] = band ? [Number(band.dataset.from), Number(band.dataset.to)] : [this.#scale.rpm0, this.#scale.rpm1];
    return Math.round((from + to) / 2 / STEP) * STEP;
  }

  async #load() {
    this.#loading ??= fetch(this.#element.dataset.curve, { credentials: "same-origin" }).then((answer) => {
      if (!answer.ok) throw new Error(`The shop answered ${answer.status}.`);
      return answer.json();
    });
    this.#strips ??= (await this.#loading).strips;
    return this.#strips;
  }

  #follow(event) {
    if (this.#element.hasAttribute("data-in-hand") || event.target.closest?.("g.handle")) return this.#hide();
    const x = this.#scale.at(event);
    if (x < this.#scale.x0 - 4 || x > this.#scale.x1 + 4) return;
    this.#show(this.#scale.rpm(x));
  }

  #leave() {
    if (document.activeElement !== this.#reader) this.#hide();
    else this.#show(Number(this.#reader.getAttribute("aria-valuenow")));
  }

  #key(event) {
    const reach = event.shiftKey ? STRIDE : STEP;
    const steps = { ArrowRight: reach, ArrowUp: reach, ArrowLeft: -reach, ArrowDown: -reach, PageUp: STRIDE, PageDown: -STRIDE };
    let rpm = this.#rpm ?? this.#middle();
    if (event.key in steps) rpm += steps[event.key];
    else if (event.key === "Home") rpm = this.#scale.rpm0;
    else if (event.key === "End") rpm = this.#scale.rpm1;
    else return;
    event.preventDefault();
    this.#show(rpm);
  }

  #hide() {
    this.#rpm = null;
    this.#changed(null);
    this.#group.setAttribute("visibility", "hidden");
  }

  async #show(wanted) {
    const { rpm0, rpm1 } = this.#scale;
    const rpm = Math.min(rpm1, Math.max(rpm0, Math.round(wanted / STEP) * STEP));
    this.#rpm = rpm;
    this.#changed(rpm);
    const x = this.#scale.x(rpm);
    this.#group.setAttribute("transform", `translate(${x.toFixed(2)} 0)`);
    this.#group.querySelector(".readout-rpm").textContent = words(rpm);
    this.#group.setAttribute("visibility", "visible");
    const left = x > this.#scale.x1 - 0.18 * (this.#scale.x1 - this.#scale.x0) - 60;
    this.#group.dataset.side = left ? "left" : "right";
    try {
      await this.#load();
    } catch {
      return;
    }
    if (this.#rpm === rpm) this.#fill(rpm, left);
  }

  #fill(rpm, left) {
    const said = [];
    for (const strip of this.#strips) {
      const panel = this.#svg.querySelector(`g.strip[data-key="${CSS.escape(strip.key)}"]`);
      if (!panel) continue;
      const get = (name) => Number(panel.getAttribute(`data-${name}`));
      const y = (v) => get("y0") + ((v - get("v0")) / (get("v1") - get("v0"))) * (get("y1") - get("y0"));
      const rows = [];
      strip.lines.forEach((line, index) => {
        const value = at(line.points.map((p) => p[0]), line.points.map((p) => p[1]), rpm);
        const spread = line.spread ? at(line.points.map((p) => p[0]), line.spread, rpm) : null;
        const find = (kind) => this.#group.querySelector(`${kind}[data-strip="${CSS.escape(strip.key)}"][data-line="${index}"]`);
        const ring = find(".readout-ring");
        const text = find(".readout-value");
        if (ring) {
          ring.setAttribute("visibility", value === null ? "hidden" : "inherit");
          if (value !== null) ring.setAttribute("cy", y(value).toFixed(2));
        }
        if (!text) return;
        const shown = value === null ? "" : number(value, strip.decimals, strip.difference);
        const plus = value === null || spread === null ? "" : ` \u00b1${number(spread, strip.decimals, false)}`;
        text.textContent = shown && `${text.getAttribute("data-words") ?? ""}${shown}${plus}`;
        text.setAttribute("x", text.getAttribute(left ? "data-left-x" : "data-right-x"));
        text.setAttribute("text-anchor", left ? "end" : "start");
        if (!shown) return;
        if (text.getAttribute("data-words")) rows.push(text.textContent);
        else rows.unshift(text.textContent);
      });
      if (rows.length) said.push(`${strip.name} ${rows.join(", ")} ${strip.unit}`.trim());
    }
    this.#reader.setAttribute("aria-valuenow", String(rpm));
    this.#reader.setAttribute("aria-valuetext", `${words(rpm)} rpm: ${said.join("; ") || "not tested here"}`);
  }
}

const words = (rpm) => Math.round(rpm).toLocaleString("en-US");

function number(value, decimals, signed) {
  const text = Math.abs(value).toFixed(decimals);
  const zero = Number(text) === 0;
  if (value < 0 && !zero) return `\u2212${text}`;
  return signed && !zero ? `+${text}` : text;
}

/** The value at a speed, on the straight line between neighbours; null in a gap and beyond the ends. */
function at(xs, ys, x) {
  let low = 0;
  let high = xs.length - 1;
  if (high < 0 || x < xs[0] || x > xs[high]) return null;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (xs[middle] <= x) low = middle;
    else high = middle;
  }
  if (xs[low] === x) return ys[low] ?? null;
  if (xs[high] === x) return ys[high] ?? null;
  if (ys[low] == null || ys[high] == null) return null;
  return ys[low] + ((ys[high] - ys[low]) * (x - xs[low])) / (xs[high] - xs[low]);
}
