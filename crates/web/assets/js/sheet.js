// A measuring sheet under the hand: which place is in hand, what is typed there, what is kept and what the shop has.
// Verdicts are the shop's; without link a reading is held against the numbers of its place alone, and that is said.
import { Typing } from "./keypad.js";
import { drawNeighbours, drawReading } from "./limit-bar.js";
import { put, waitingFor } from "./queue.js";
import { write } from "./saved.js";
import { byNumber, fill, list, number, over, replacing, restore, says } from "./sheet-cells.js";
import { fetchPage } from "./swap.js";

const PARTS = ["#sheet-head", "#sheet-grid", "#sheet-under"];

class MeasuringSheet extends HTMLElement {
  connectedCallback() {
    if (this.ready) return;
    this.ready = true;
    this.kept = [];
    this.undo = [];
    this.piece = (name) => this.querySelector(`[data-hand="${name}"]`);
    this.field = this.querySelector("input[name=typed]");
    this.dress();
    this.listen();
    this.typing = new Typing();
    const chosen = this.querySelector("[data-place][aria-current]");
    void this.overlay().then(() => {
      const start = this.start(chosen);
      if (start) this.select(start.dataset.place, false);
      this.classList.add("alive");
    });
  }

  // Controls that only work with scripts come out of their template.
  dress() {
    const keys = this.querySelector("template[data-keys]");
    if (keys) keys.replaceWith(keys.content);
    // The tablet's own keys stay away; ours are larger.
    this.field.inputMode = "none";
    this.field.removeAttribute("required");
  }

  listen() {
    this.addEventListener("click", (event) => this.clicked(event));
    this.addEventListener("submit", (event) => this.submitted(event));
    // Also where nothing has the focus: a gloved hand on a keyboard does not look for it.
    document.addEventListener("keydown", (event) => {
      if (this.isConnected && (this.contains(event.target) || event.target === document.body)) this.key(event);
    });
    this.field.addEventListener("input", () => {
      this.began();
      this.typing.take(this.field.value);
      this.showTyped();
    });
    const mine = (jobs) => !jobs || jobs.includes(this.dataset.job);
    const news = (event) => mine(event.detail?.jobs) && void this.refresh();
    const written = (event) => event.detail.some((id) => this.kept.some((entry) => entry.id === id)) && void this.refresh();
    const changed = () => void this.overlay().then(() => this.showHand());
    const events = [["news", news], ["queue-written", written], ["queue-refused", changed], ["link-back", () => void this.refresh()]];
    for (const [name, how] of events) document.addEventListener(name, how);
  }

  // --- places

  cell(place) {
    return place === null ? null : this.querySelector(`[data-place="${CSS.escape(place)}"]`);
  }

  /** Places to read, column by column. */
  order() {
    const cells = [...this.querySelectorAll("a[data-place][data-order]")];
    return cells.sort((a, b) => a.dataset.order - b.dataset.order);
  }

  /** The next place without a reading after a place, from the start again if there is none. */
  next(place) {
    const order = this.order();
    const at = order.findIndex((cell) => cell.dataset.place === place);
    const wanted = (cell) => cell.dataset.state === "empty" && cell.dataset.optional === undefined;
    return [...order.slice(at + 1), ...order.slice(0, at + 1)].find(wanted) ?? null;
  }

  /** The place to begin with: the one of the address; else what the shop chose, unless something is kept there. */
  start(chosen) {
    const asked = this.cell(new URL(location.href).searchParams.get("place"));
    const taken = chosen?.dataset.waits !== undefined;
    return asked ?? (taken ? this.next(chosen.dataset.place) : chosen) ?? this.querySelector("[data-place]");
  }

  select(place, focus = true) {
    const cell = this.cell(place);
    if (!cell) return;
    this.place = place;
    this.typing = new Typing(cell.dataset.prefix ?? "", number(cell.dataset.decimals));
    this.known = null;
    this.again = false;
    this.markCurrent();
    this.layOut(cell.dataset);
    this.showHand();
    if (focus) cell.focus({ preventScroll: true });
    cell.scrollIntoView({ block: "nearest", inline: "nearest" });
    const address = new URL(location.href);
    address.searchParams.set("place", place);
    history.replaceState(history.state, "", address);
  }

  markCurrent() {
    for (const cell of this.querySelectorAll("a[data-place]")) {
      const here = cell.dataset.place === this.place;
      cell.classList.toggle("cur", here);
      cell.tabIndex = here ? 0 : -1;
      if (here) cell.setAttribute("aria-current", "true");
      else cell.removeAttribute("aria-current");
    }
  }

  /** By arrow: the next place in a row or column of the table. */
  move(rows, columns) {
    const cell = this.cell(this.place);
    const at = cell?.closest("td");
    const row = at?.closest("tr");
    if (!row) return;
    if (columns) {
      let side = at;
      do side = columns > 0 ? side.nextElementSibling : side.previousElementSibling;
      while (side && !side.querySelector("a[data-place]"));
      const found = side?.querySelector("a[data-place]");
      if (found) this.select(found.dataset.place);
      return;
    }
    const lines = [...this.querySelectorAll("#sheet-grid tr")];
    for (let y = lines.indexOf(row) + rows; y >= 0 && y < lines.length; y += rows) {
      const found = lines[y].querySelector(`td[data-column="${at.dataset.column}"] a[data-place]`);
      if (found) return this.select(found.dataset.place);
    }
  }

  // --- the panel

  showHand() {
    const cell = this.cell(this.place);
    if (!cell) return;
    const { dataset: d } = cell;
    const derived = d.order === undefined;
    this.piece("name").textContent = d.name;
    this.piece("unit").textContent = d.unit;
    this.piece("label").textContent = `${d.name}, ${d.unit || "number"}`;
    this.querySelector(".hand").dataset.kind = derived ? "derived" : "read";
    this.field.readOnly = derived;
    const bar = this.piece("bar");
    const drawn = this.querySelector(`template#bar-${d.bar}`)?.content.cloneNode(true);
    bar.replaceChildren(...(drawn ? [drawn] : []));
    const was = this.piece("was");
    was.replaceChildren();
    for (const line of (d.was ?? "").split("\n").filter(Boolean)) {
      const item = document.createElement("li");
      item.textContent = line;
      was.append(item);
    }
    this.showTyped();
  }

  showTyped() {
    const cell = this.cell(this.place);
    if (!cell) return;
    const { dataset: d } = cell;
    const { typing } = this;
    const derived = d.order === undefined;
    const shown = !typing.started && !this.again && d.state !== "empty" && !typing.wholeAsked;
    const prefix = shown ? (d.number.startsWith(typing.given) ? typing.given : "") : typing.prefix;
    const digits = shown ? d.number.slice(prefix.length) : typing.digits;
    this.piece("pre").textContent = prefix;
    if (this.field.value !== digits) this.field.value = digits;
    this.field.size = Math.max(digits.length, 2);
    const value = shown ? Number(d.number.replaceAll("−", "-").replaceAll(",", "")) : typing.number;
    const fits = typing.ready && typing.text.split(".")[1]?.length >= (typing.decimals ?? 0);
    const verdict = shown ? d.verdict : fits || (typing.ready && !typing.decimals) ? byNumber(value, d) : "";
    const hand = this.querySelector(".hand");
    hand.dataset.verdict = verdict || "none";
    const beyond = shown ? (d.beyond ?? "") : verdict === "outside" ? over(value, d) : "";
    this.piece("beyond").textContent = beyond;
    this.piece("flag").hidden = beyond === "";
    const bar = this.piece("bar").querySelector("svg");
    if (bar) {
      drawNeighbours(bar, list(d.near).map(Number));
      drawReading(bar, value, ["outside", "cannot"].includes(verdict) ? verdict : "inside");
    }
    this.piece("say").textContent = shown ? says(d) : typing.ready && !typing.isWhole ? "" : (d.hint ?? "");
    const out = shown && (d.verdict === "outside" || d.verdict === "cannot" || d.ask !== undefined);
    const two = shown && d.two !== undefined;
    for (const [name, on] of [["two", two], ["out", out && !two], ["enter", !out && !two && !derived]]) this.piece(name).hidden = !on;
    this.piece("again").hidden = derived;
    this.piece("save").disabled = !typing.ready;
    if (two) this.showTwo(d.two);
    this.showUndo();
    const whole = this.querySelector('[data-key="whole"]');
    if (whole) {
      whole.textContent = typing.isWhole ? "." : "whole number";
      whole.classList.toggle("small", !typing.isWhole);
    }
    this.toggleAttribute("data-in-hand", typing.started);
  }

  /** Two readings that were written without knowing of each other: one of them is chosen. */
  showTwo(text) {
    const place = this.piece("two-choices");
    place.replaceChildren();
    for (const one of JSON.parse(text)) {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "btn";
      button.dataset.choose = one.typed;
      button.textContent = `Take ${one.typed}`;
      const by = document.createElement("small");
      by.textContent = one.by;
      place.append(button, by);
    }
  }

  showUndo() {
    const button = this.piece("undo");
    const last = this.undo.at(-1);
    button.hidden = !last;
    if (last) button.textContent = `Take back ${last.typed}`;
  }

  // --- keys, touches, forms

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const inField = event.target === this.field;
    const inGrid = event.target === document.body || event.target.closest("a[data-place]") !== null;
    if (!inField && !inGrid) return;
    const moves = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
    const move = moves[event.key];
    if (move && (inGrid || event.key === "ArrowUp" || event.key === "ArrowDown")) {
      event.preventDefault();
      this.move(...move);
    } else if (event.key === "Enter") {
      event.preventDefault();
      if (this.typing.ready) void this.save();
      else if (inGrid) this.field.focus();
    } else if (event.key === "Escape" && this.typing.started) {
      event.preventDefault();
      this.typing.clear();
      this.known = null;
      this.showTyped();
    } else if (event.key === "Backspace") {
      event.preventDefault();
      this.rubOut();
    } else if (/^[\d.,−-]$/.test(event.key)) {
      event.preventDefault();
      this.press(event.key);
    }
  }

  press(key) {
    if (this.field.readOnly) return;
    this.began();
    this.typing.press(key);
    this.showTyped();
  }

  rubOut() {
    if (this.field.readOnly) return;
    if (!this.typing.started && !this.again && this.cell(this.place)?.dataset.state !== "empty") this.measureAgain();
    else this.typing.rubOut();
    this.showTyped();
  }

  /** Readings known when typing began are those that the new one takes the place of; one that comes later is not. */
  began() {
    this.known ??= list(this.cell(this.place)?.dataset.standing);
  }

  measureAgain() {
    this.again = true;
    this.typing.clear();
    this.showTyped();
  }

  clicked(event) {
    const cell = event.target.closest("a[data-place]");
    if (cell && this.contains(cell)) {
      event.preventDefault();
      return this.select(cell.dataset.place);
    }
    const button = event.target.closest("button");
    if (!button) return;
    const { key, act, choose } = button.dataset;
    if (key === "whole") {
      if (this.typing.isWhole) this.press(".");
      else {
        this.again = true;
        this.typing.whole();
        this.showTyped();
      }
    } else if (key === "rub") this.rubOut();
    else if (key) this.press(key);
    else if (act === "again") {
      event.preventDefault();
      this.measureAgain();
      this.field.focus({ preventScroll: true });
    } else if (act === "undo") {
      event.preventDefault();
      void this.takeBack();
    } else if (choose !== undefined) void this.writeReading(choose, list(this.cell(this.place).dataset.standing), false);
  }

  submitted(event) {
    const form = event.target.closest("form[data-act]");
    const cell = this.cell(this.place);
    if (!form || !cell) return;
    event.preventDefault();
    const words = form.querySelector("textarea,input[name=remark]")?.value.trim() ?? "";
    const { sheet, job } = this.dataset;
    const { place, name, standing } = cell.dataset;
    const reading = list(standing).at(-1);
    const send = (kind, body, said) => this.enter(kind, body, said);
    const needs = form.querySelector("textarea");
    if (needs && !words) return needs.focus();
    if (form.dataset.act === "reading") {
      if (this.typing.ready) void this.save();
      else this.field.focus();
    } else if (form.dataset.act === "keep") {
      send("limit_waived", { sheet, place, ...(reading ? { reading } : {}), because: words }, `${name}: kept, ${words}`);
    } else if (form.dataset.act === "ask") {
      send("question", { words, to: "builder", stops_hand_over: false, about: [sheet, ...(reading ? [reading] : [])], place }, `Asked the builder: ${words}`);
    } else if (form.dataset.act === "unread") {
      this.began();
      send("reading", { sheet, place, value: { not_read: words }, ...replacing(this.known) }, `${name}: not read, ${words}`);
    } else if (form.dataset.act === "finish") {
      send("sheet_finished", { sheet, ...(words ? { remark: words } : {}) }, `Sheet finished`);
    } else return void job;
    form.reset();
    const fold = form.closest("details");
    if (fold) fold.open = false;
    if (form.dataset.act === "unread") this.goOn();
  }

  // --- entries

  enter(kind, body, words) {
    return put({ job: this.dataset.job, kind, body, words, place: body.place ?? null, sheet: this.dataset.sheet }).then(async (entry) => {
      await this.overlay();
      this.showHand();
      return entry;
    });
  }

  async save() {
    const { typing, known } = this;
    const text = typing.text;
    typing.clear();
    this.known = null;
    await this.writeReading(text, known ?? [], true);
  }

  async writeReading(text, replaces, goOn) {
    const cell = this.cell(this.place);
    const { place, unit, name } = cell.dataset;
    const before = cell.dataset.state === "read" ? cell.dataset.typed : null;
    const value = { typed: unit ? `${text.replace(` ${unit}`, "")} ${unit}` : text };
    const outside = byNumber(Number(text), cell.dataset) === "outside";
    const entry = await this.enter("reading", { sheet: this.dataset.sheet, place, value, ...replacing(replaces), ...this.instrument() }, `${name}: ${value.typed}`);
    this.undo.push({ place, id: entry.id, typed: value.typed, before });
    this.again = false;
    this.say(`${name}: ${value.typed}${outside ? ", outside" : ""}`);
    if (goOn && !outside) this.goOn();
    else this.showHand();
  }

  goOn() {
    const next = this.next(this.place);
    if (next) this.select(next.dataset.place);
    else this.select(this.place);
  }

  /** The last reading made here: what stood there before stands again, or else the reading is struck. Both stay in the record. */
  async takeBack() {
    const last = this.undo.pop();
    if (!last) return;
    this.select(last.place);
    const { name } = this.cell(last.place).dataset;
    const { sheet } = this.dataset;
    if (last.before) {
      await this.enter("reading", { sheet, place: last.place, value: { typed: last.before }, replaces: [last.id], remark: "taken back", ...this.instrument() }, `${name}: back to ${last.before}`);
    } else {
      await this.enter("struck", { of: last.id, because: "taken back at the sheet" }, `${name}: ${last.typed} taken back`);
    }
    this.say(`${name}: ${last.typed} taken back`);
  }

  /** The instrument that was chosen; none for the sheet's usual one where it is meant. */
  instrument() {
    const choice = this.querySelector("select[name=instrument]");
    const used = choice?.selectedOptions[0]?.dataset.used;
    const usual = choice?.selectedIndex === 0 && this.cell(this.place)?.dataset.usual !== undefined;
    return used && !usual ? { instrument: JSON.parse(used) } : {};
  }

  /** Lays the instrument out that a place is meant to be read with. */
  layOut({ instrument }) {
    const choice = this.querySelector("select[name=instrument]");
    if (choice) choice.selectedIndex = instrument === undefined ? choice.options.length - 1 : Number(instrument);
  }

  say(words) {
    this.piece("said").textContent = words;
  }

  // --- what is kept here, and what the shop says

  /** Draws entries that the shop does not have yet over the sheet as the shop knows it. */
  async overlay() {
    this.kept = await waitingFor(this.dataset.sheet);
    for (const cell of this.querySelectorAll("a[data-place].waits")) restore(cell);
    for (const { id, kind, body } of this.kept) {
      if (kind === "struck") {
        const cell = [...this.querySelectorAll("a[data-standing]")].find((one) => list(one.dataset.standing).includes(body.of));
        if (cell) fill(cell, { id: "", text: "", state: "empty" });
      }
      const cell = kind === "reading" && this.cell(body.place);
      if (!cell) continue;
      const unit = cell.dataset.unit;
      const typed = body.value.typed;
      if (typed) fill(cell, { id, text: unit ? typed.replace(` ${unit}`, "") : typed, typed, state: "read" });
      else fill(cell, { id, text: "not read", typed: body.value.not_read, state: "not_read" });
    }
    this.count();
    this.markCurrent();
  }

  count() {
    const place = this.querySelector("[data-progress]");
    if (!place) return;
    const needed = this.order().filter((cell) => cell.dataset.optional === undefined);
    const done = needed.filter((cell) => cell.dataset.state !== "empty").length;
    place.textContent = `${done} of ${needed.length}`;
  }

  /** The sheet as the shop has it now; what is in hand stays in hand. */
  async refresh() {
    if (this.fetching) {
      this.once = true;
      return;
    }
    this.fetching = true;
    try {
      const { page } = await fetchPage(location.pathname);
      const fresh = page.querySelector("measuring-sheet");
      if (fresh) await this.showFresh(fresh);
    } catch {
      // The link is gone, or the shop is busy: what stands here stays, and the next news asks again.
    } finally {
      this.fetching = false;
      if (this.once) {
        this.once = false;
        void this.refresh();
      }
    }
  }

  async showFresh(fresh) {
    const inGrid = this.querySelector("#sheet-grid")?.contains(document.activeElement);
    const under = this.querySelector("#sheet-under");
    const writing = under?.contains(document.activeElement) || [...(under?.querySelectorAll("textarea,input:not([type=hidden])") ?? [])].some((field) => field.value !== field.defaultValue);
    const box = this.querySelector("#sheet-grid .box");
    const [left, top] = [box?.scrollLeft ?? 0, box?.scrollTop ?? 0];
    for (const part of PARTS) {
      const before = this.querySelector(part);
      const after = fresh.querySelector(part);
      if (!before || !after || (part === "#sheet-under" && writing)) continue;
      before.replaceWith(document.adoptNode(after));
    }
    for (const bar of this.querySelectorAll("template[id^=bar-]")) bar.remove();
    this.append(...fresh.querySelectorAll("template[id^=bar-]"));
    const now = this.querySelector("#sheet-grid .box");
    if (now) now.scrollTo(left, top);
    // At once: a key pressed in between must find its place.
    this.markCurrent();
    if (inGrid) this.cell(this.place)?.focus({ preventScroll: true });
    await this.overlay();
    if (this.typing.started) this.noteChange();
    this.showHand();
    document.dispatchEvent(new CustomEvent("refreshed"));
    write();
  }

  /** Somebody else read in the place that is being typed. */
  noteChange() {
    const there = list(this.cell(this.place)?.dataset.standing);
    if (there.some((id) => !(this.known ?? []).includes(id))) this.say("Somebody else has read this place while you type. Both readings will stand until one is chosen.");
  }
}

customElements.define("measuring-sheet", MeasuringSheet);
