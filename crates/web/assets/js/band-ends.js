// The two ends of the band of use: by pointer, by touch, by keyboard.

const STEP = 25;
const STRIDE = 250;

/**
 * Makes the handles of a picture work. `judge(from, to)` is called when an end has been let go at
 * another place than before.
 */
export function bandEnds(element, svg, scale, signal, judge) {
  const band = svg.querySelector("g.band");
  const handles = Object.fromEntries([...svg.querySelectorAll("g.handle[data-end]")].map((h) => [h.dataset.end, h]));
  if (!band || !handles.from || !handles.to) return;
  const now = { from: Number(band.dataset.from), to: Number(band.dataset.to) };
  const judged = { ...now };
  const offsets = numberOffsets(svg, scale, now);
  let timer = 0;

  const settle = (wait) => {
    clearTimeout(timer);
    timer = setTimeout(() => {
      element.removeAttribute("data-in-hand");
      if (now.from !== judged.from || now.to !== judged.to) judge(now.from, now.to);
    }, wait);
  };
  const move = (end, rpm) => {
    const [least, most] = end === "from" ? [scale.rpm0, now.to - STEP] : [now.from + STEP, scale.rpm1];
    const snapped = Math.round(rpm / STEP) * STEP;
    now[end] = Math.min(Math.floor(most / STEP) * STEP, Math.max(Math.ceil(least / STEP) * STEP, snapped));
    show(svg, scale, now, offsets);
  };

  for (const [end, handle] of Object.entries(handles)) {
    handle.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      event.preventDefault();
      event.stopPropagation();
      handle.setPointerCapture(event.pointerId);
      handle.focus({ preventScroll: true });
      element.setAttribute("data-in-hand", end);
      clearTimeout(timer);
      const grip = scale.at(event) - scale.x(now[end]);
      const follow = (e) => move(end, scale.rpm(scale.at(e) - grip));
      const drop = new AbortController();
      handle.addEventListener("pointermove", follow, { signal: drop.signal });
      for (const over of ["pointerup", "pointercancel"]) {
        handle.addEventListener(over, () => {
          drop.abort();
          settle(0);
        }, { signal: drop.signal });
      }
    }, { signal });
    handle.addEventListener("keydown", (event) => {
      const reach = event.shiftKey ? STRIDE : STEP;
      const steps = { ArrowRight: reach, ArrowUp: reach, ArrowLeft: -reach, ArrowDown: -reach, PageUp: STRIDE, PageDown: -STRIDE };
      if (event.key in steps) move(end, now[end] + steps[event.key]);
      else if (event.key === "Home") move(end, -Infinity);
      else if (event.key === "End") move(end, Infinity);
      else if (event.key === "Escape") move(end, judged[end]);
      else return;
      event.preventDefault();
      event.stopPropagation();
      element.setAttribute("data-in-hand", end);
      settle(450);
    }, { signal });
  }
}

/** How far each speed stands from its handle. */
function numberOffsets(svg, scale, now) {
  const offsets = {};
  for (const text of svg.querySelectorAll(".band-number[data-end]")) {
    offsets[text.dataset.end] = Number(text.getAttribute("x")) - scale.x(now[text.dataset.end]);
  }
  return offsets;
}

function show(svg, scale, now, offsets) {
  const [from, to] = [scale.x(now.from), scale.x(now.to)];
  const set = (node, values) => node && Object.entries(values).forEach(([k, v]) => node.setAttribute(k, v.toFixed(2)));
  set(svg.querySelector(".band-tint"), { x: from, width: Math.max(0, to - from) });
  set(svg.querySelector(".band-bar"), { x1: from, x2: to });
  for (const [end, x] of [["from", from], ["to", to]]) {
    const words = `${Math.round(now[end]).toLocaleString("en-US")}`;
    set(svg.querySelector(`.band-edge[data-end=${end}]`), { x1: x, x2: x });
    const handle = svg.querySelector(`g.handle[data-end=${end}]`);
    handle.setAttribute("transform", handle.getAttribute("transform").replace(/translate\([^ ]+/, `translate(${x.toFixed(2)}`));
    handle.setAttribute("aria-valuenow", String(now[end]));
    handle.setAttribute("aria-valuetext", `${words} rpm`);
    const number = svg.querySelector(`.band-number[data-end=${end}]`);
    if (number) {
      set(number, { x: x + offsets[end] });
      number.textContent = words;
    }
  }
  svg.querySelector("g.handle[data-end=from]").setAttribute("aria-valuemax", String(now.to));
  svg.querySelector("g.handle[data-end=to]").setAttribute("aria-valuemin", String(now.from));
}
