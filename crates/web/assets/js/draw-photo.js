// Drawing on a photo: arrow, circle, words; by pointer or by keyboard. Everything drawn goes into the form's field
// "marks" as shares of width and height; the form sends it as the plain page does. The photo itself is not touched.

const NS = "http://www.w3.org/2000/svg";
const TOOLS = [["arrow", "Arrow"], ["circle", "Circle"], ["words", "Words"]];

class DrawPhoto extends HTMLElement {
  connectedCallback() {
    this.form = this.querySelector("form");
    this.field = this.form?.elements.marks;
    this.frame = this.querySelector(".photo-frame");
    this.svg = this.frame?.querySelector("svg.marks");
    if (!this.field || !this.svg) return;
    this.wide = Number(this.dataset.wide) || 1;
    this.high = Number(this.dataset.high) || 1;
    // A photo whose size is not in its entry: what the browser found counts.
    const image = this.frame.querySelector("img");
    const fit = () => {
      if (!image.naturalWidth) return;
      this.high = (this.wide * image.naturalHeight) / image.naturalWidth;
      this.svg.setAttribute("viewBox", `0 0 ${this.wide} ${this.high}`);
      this.paint();
    };
    image.complete ? queueMicrotask(fit) : image.addEventListener("load", fit, { once: true });
    this.marks = JSON.parse(this.field.value || "[]");
    this.cross = [0.5, 0.5];
    this.from = null;
    this.tool = "";
    this.bar();
    this.frame.tabIndex = 0;
    this.frame.setAttribute("role", "application");
    this.frame.setAttribute("aria-label", "Drawing on the photo");
    this.frame.setAttribute("aria-describedby", "draw-help");
    this.frame.addEventListener("pointerdown", (e) => this.down(e));
    this.frame.addEventListener("pointermove", (e) => this.move(e));
    this.frame.addEventListener("pointerup", (e) => this.up(e));
    this.frame.addEventListener("pointercancel", () => this.drop());
    this.frame.addEventListener("keydown", (e) => this.key(e));
    this.paint();
  }

  bar() {
    const bar = this.querySelector(".drawbar");
    bar.hidden = false;
    const tools = document.createElement("div");
    tools.className = "tools";
    tools.setAttribute("role", "group");
    tools.setAttribute("aria-label", "Marks");
    this.buttons = TOOLS.map(([key, words]) => {
      const button = this.button(words, () => this.take(this.tool === key ? "" : key));
      button.setAttribute("aria-pressed", "false");
      button.dataset.tool = key;
      tools.append(button);
      return button;
    });
    tools.append(this.button("Take the last back", () => this.back()));
    bar.prepend(tools);
    this.words = document.createElement("div");
    this.words.className = "ask";
    this.words.hidden = true;
    const label = document.createElement("label");
    label.htmlFor = "draw-words";
    label.textContent = "Words, set where you press next";
    this.input = document.createElement("input");
    this.input.className = "field";
    this.input.id = "draw-words";
    this.input.autocomplete = "off";
    this.input.maxLength = 80;
    this.words.append(label, this.input);
    bar.append(this.words);
    this.said = document.createElement("p");
    this.said.className = "small";
    this.said.setAttribute("role", "status");
    bar.append(this.said);
  }

  button(words, act) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn";
    button.textContent = words;
    button.addEventListener("click", act);
    return button;
  }

  take(tool) {
    this.tool = tool;
    this.from = null;
    this.toggleAttribute("data-tool", tool !== "");
    for (const button of this.buttons) button.setAttribute("aria-pressed", String(button.dataset.tool === tool));
    this.words.hidden = tool !== "words";
    if (tool === "words") this.input.focus();
    else if (tool) this.frame.focus({ preventScroll: true });
    this.paint();
  }

  place(event) {
    const box = this.svg.getBoundingClientRect();
    const scale = Math.min(box.width / this.wide, box.height / this.high);
    const left = box.left + (box.width - this.wide * scale) / 2;
    const top = box.top + (box.height - this.high * scale) / 2;
    return [round((event.clientX - left) / (this.wide * scale)), round((event.clientY - top) / (this.high * scale))];
  }

  down(event) {
    if (!this.tool || event.button > 0) return;
    event.preventDefault();
    this.frame.focus({ preventScroll: true });
    const at = this.place(event);
    this.cross = at;
    if (this.tool === "words") return this.add(this.made(at, at));
    this.from = at;
    this.setAttribute("data-in-hand", "");
    this.frame.setPointerCapture(event.pointerId);
    this.paint(this.made(at, at));
  }

  move(event) {
    if (!this.from || !this.hasAttribute("data-in-hand")) return;
    this.cross = this.place(event);
    this.paint(this.made(this.from, this.cross));
  }

  up(event) {
    if (!this.from || !this.hasAttribute("data-in-hand")) return;
    const mark = this.made(this.from, this.place(event));
    this.drop();
    if (mark) this.add(mark);
  }

  drop() {
    this.from = null;
    this.removeAttribute("data-in-hand");
    this.paint();
  }

  key(event) {
    const step = event.shiftKey ? 0.05 : 0.01;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (by) {
      event.preventDefault();
      this.cross = this.cross.map((v, i) => round(v + by[i]));
      this.say(`${Math.round(this.cross[0] * 100)} % from the left, ${Math.round(this.cross[1] * 100)} % from above`);
      this.paint(this.from && this.made(this.from, this.cross));
    } else if (event.key === "Enter" && this.tool) {
      event.preventDefault();
      if (this.tool === "words") this.add(this.made(this.cross, this.cross));
      else if (!this.from) {
        this.from = [...this.cross];
        this.say(this.tool === "arrow" ? "Begins here. Move to what it points at, then Enter." : "Middle set. Move to the edge, then Enter.");
        this.paint(this.made(this.from, this.cross));
      } else {
        const mark = this.made(this.from, this.cross);
        this.from = null;
        if (mark) this.add(mark);
      }
    } else if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      this.back();
    } else if (event.key === "Escape" && this.from) {
      event.preventDefault();
      this.drop();
    }
  }

  /** A mark between two places; nothing where they are one and the tool needs two. */
  made(from, to) {
    if (this.tool === "words") {
      const words = this.input.value.trim();
      if (!words) {
        this.say("Write the words first.");
        this.input.focus();
        return null;
      }
      return { mark: "words", at: to, words };
    }
    const far = Math.hypot((to[0] - from[0]) * this.wide, (to[1] - from[1]) * this.high);
    if (far < this.wide * 0.008) return null;
    if (this.tool === "arrow") return { mark: "arrow", from, to };
    return { mark: "circle", at: from, radius: Math.min(1, round(far / this.wide)) };
  }

  add(mark) {
    if (!mark) return;
    this.marks.push(mark);
    if (mark.mark === "words") this.input.value = "";
    this.changed(`${mark.mark} set; ${this.marks.length} on the photo, not saved yet`);
  }

  back() {
    if (!this.marks.length) return;
    const gone = this.marks.pop();
    this.changed(`${gone.mark} taken back; not saved yet`);
  }

  changed(words) {
    this.field.value = JSON.stringify(this.marks);
    this.field.dispatchEvent(new Event("input", { bubbles: true }));
    this.say(words);
    this.paint();
  }

  say(words) {
    this.said.textContent = words;
  }

  paint(inHand) {
    this.svg.replaceChildren();
    const unit = Math.max(this.wide, this.high) / 100;
    for (const mark of inHand ? [...this.marks, inHand] : this.marks) this.drawn(mark, unit);
    if (this.tool && this.frame === document.activeElement) {
      const [x, y] = [this.cross[0] * this.wide, this.cross[1] * this.high];
      this.part("path", { class: "cross", d: `M${x - 2 * unit} ${y}h${4 * unit}M${x} ${y - 2 * unit}v${4 * unit}`, "stroke-width": unit * 0.35 });
    }
  }

  drawn(mark, unit) {
    const at = ([x, y]) => [x * this.wide, y * this.high];
    if (mark.mark === "words") {
      const [x, y] = at(mark.at);
      this.part("text", { x, y, "font-size": unit * 2.6, "stroke-width": unit * 0.7 }).textContent = mark.words;
      return;
    }
    const both = (name, shape) => {
      this.part(name, { ...shape, class: "under", "stroke-width": unit * 1.1 });
      this.part(name, { ...shape, class: "over", "stroke-width": unit * 0.5 });
    };
    if (mark.mark === "circle") {
      const [cx, cy] = at(mark.at);
      return both("circle", { cx, cy, r: mark.radius * this.wide });
    }
    const [a, b] = [at(mark.from), at(mark.to)];
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const long = Math.max(Math.hypot(dx, dy), 1e-9);
    const [ux, uy] = [dx / long, dy / long];
    const head = Math.min(2.2 * unit, long);
    const wing = (side) => `${b[0] - head * ux + side * 0.55 * head * uy} ${b[1] - head * uy - side * 0.55 * head * ux}`;
    both("path", { d: `M${a[0]} ${a[1]}L${b[0]} ${b[1]}M${wing(1)}L${b[0]} ${b[1]}L${wing(-1)}` });
  }

  part(name, shape) {
    const part = document.createElementNS(NS, name);
    for (const [key, value] of Object.entries(shape)) part.setAttribute(key, value);
    this.svg.append(part);
    return part;
  }
}

const round = (v) => Math.min(1, Math.max(0, Math.round(v * 1e4) / 1e4));

customElements.define("draw-photo", DrawPhoto);
