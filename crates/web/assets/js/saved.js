// One place for how things stand with the shop: link, what is kept on this tablet, what was saved last.
// The words stand in the spine (#saved) and in every element with [data-saved].

const state = { lost: null, kept: 0, readings: true, refused: 0, stranger: "", signedOut: false, memory: false, saved: null, sending: false };

/** What the shop itself wrote when it sent the page. */
const first = document.getElementById("saved")?.textContent.trim() ?? "";

export const clock = (time) =>
  `${String(time.getHours()).padStart(2, "0")}:${String(time.getMinutes()).padStart(2, "0")}`;

/** Changes what is known and writes the words anew. */
export function stand(change) {
  Object.assign(state, change);
  write();
}

/** Whether the link is thought to be gone. */
export const isLost = () => state.lost !== null;

/** The words, and the state they belong to. */
export function words() {
  const count = state.kept === 1 ? (state.readings ? "1 reading" : "1 entry") : `${state.kept} ${state.readings ? "readings" : "entries"}`;
  if (state.memory && state.kept) {
    return ["lost", `${count} kept in this page only, since this browser keeps nothing. Leave the page open.`];
  }
  if (state.refused && !state.kept) {
    return ["refused", state.refused === 1 ? "The shop refused 1 entry. It is kept on this tablet." : `The shop refused ${state.refused} entries. They are kept on this tablet.`];
  }
  if (state.signedOut && state.kept) return ["here", `Signed out. ${count} kept on this tablet until somebody signs in.`];
  if (state.signedOut) return ["lost", "Signed out here. Sign in, in another tab too, and this page goes on."];
  if (state.lost) {
    if (!state.kept) return ["lost", `No link to the shop since ${clock(state.lost)}`];
    return ["here", state.kept === 1 ? "No link to the shop. Kept on this tablet." : `No link to the shop. ${count} kept on this tablet.`];
  }
  if (state.stranger && state.kept) return ["here", `${count} by ${state.stranger} kept on this tablet until ${state.stranger} signs in.`];
  if (state.kept) return ["sending", `${count} on the way to the shop, kept on this tablet.`];
  if (state.saved) return ["kept", `Saved in the shop, ${clock(state.saved)}`];
  return first ? ["kept", first] : null;
}

/** Writes the words wherever they stand. */
export function write() {
  const said = words();
  if (!said) return;
  for (const place of document.querySelectorAll("#saved, [data-saved]")) {
    const text = place.querySelector(".words") ?? place;
    if (text.textContent !== said[1]) text.textContent = said[1];
    place.dataset.state = said[0];
  }
}
