// Entries that the shop refused: shown with the shop's words over every page of this tablet until a person has
// copied, sent again or struck them. None is ever dropped.
import { refused, strike, tryAgain } from "./queue.js";

function button(words, act) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "btn";
  button.textContent = words;
  button.addEventListener("click", act);
  return button;
}

function row(entry) {
  const item = document.createElement("li");
  const what = document.createElement("p");
  what.className = "what";
  what.textContent = entry.words;
  const why = document.createElement("p");
  why.textContent = entry.why;
  const acts = document.createElement("div");
  acts.className = "row";
  const copy = button("Copy", async () => {
    const text = `${entry.words}\n${entry.at}\n${JSON.stringify(entry.body)}`;
    try {
      await navigator.clipboard.writeText(text);
      copy.textContent = "Copied";
    } catch {
      // Without the right to the clipboard the text is shown, to be copied by hand.
      const shown = document.createElement("textarea");
      shown.className = "field";
      shown.value = text;
      shown.setAttribute("aria-label", "Text of the entry");
      acts.after(shown);
      shown.select();
    }
  });
  // Asked once, struck at the second touch.
  const gone = button("Strike", () => {
    if (gone.dataset.asked) return void strike(entry.id);
    gone.dataset.asked = "yes";
    gone.textContent = "Strike it for good";
  });
  acts.append(copy, button("Send again", () => void tryAgain(entry.id)), gone);
  item.append(what, why, acts);
  return item;
}

async function show() {
  const list = await refused();
  const main = document.querySelector("main");
  const there = document.querySelector(".refused");
  const names = list.map((entry) => entry.id + entry.why).join();
  // What a person has in hand there stays as long as nothing changed.
  if (there?.dataset.names === names) return;
  there?.remove();
  if (!main || !list.length) return;
  const box = document.createElement("section");
  box.className = "banner refused";
  box.dataset.names = names;
  box.setAttribute("role", "alert");
  const title = document.createElement("h2");
  title.textContent = list.length === 1 ? "The shop refused one entry that is kept on this tablet" : `The shop refused ${list.length} entries that are kept on this tablet`;
  const rows = document.createElement("ul");
  rows.append(...list.map(row));
  box.append(title, rows);
  main.prepend(box);
}

export function showRefused() {
  document.addEventListener("queue", () => void show());
  document.addEventListener("refreshed", () => void show());
}
