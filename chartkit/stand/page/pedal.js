/**
 * Keys and foot pedals. A pedal sends the keys of a keyboard, most often page or arrow keys.
 *
 * Conventions: a key's name is that of `KeyboardEvent.key` (W3C UI Events). A key acts as it goes
 * down; its repeats do nothing.
 *
 * @typedef {import("./session.js").Session} Session
 */

/** Milliseconds after which a key that starts and stops goes on to the next item. */
export const HELD = 900;

/** What is written about the keys: the keys, and what they do. */
export const KEY_WORDS = [
  ["space, enter", "start and stop; held down: the next item"],
  ["\u2192 \u2193 page down", "start; once it was played: the next item"],
  ["\u2190 \u2191 page up", "stop; then the beginning; then the item before"],
  ["c, n", "clean, not yet"],
  ["[ ]", "the loop begins, ends with the bar that sounds"],
  ["0, backspace", "no loop of bars: all of it"],
  ["+ \u2212", "faster, slower by five"],
  ["1 \u2026 4", "a part silent or not"],
  ["k", "another click"],
  ["q, s, esc", "only the music; set up; back"],
];

const PRESS = new Set([" ", "Enter"]);
const FORWARD = new Set(["ArrowRight", "ArrowDown", "PageDown"]);
const BACK = new Set(["ArrowLeft", "ArrowUp", "PageUp"]);

/**
 * Listen to keys.
 *
 * @param {{press: () => void, next: () => void, forward: () => void, back: () => void,
 *     step: (steps: number) => void, others: Object<string, () => void>}} deeds
 */
export function connectPedal(deeds) {
  let timer = 0;
  addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || belongsTo(event)) return;
    const deed = deedOf(event, deeds);
    if (!deed) return;
    event.preventDefault();
    if (event.repeat) return;
    deed();
    clearTimeout(timer);
    if (PRESS.has(event.key)) timer = setTimeout(deeds.next, HELD);
  });
  addEventListener("keyup", () => clearTimeout(timer));
  addEventListener("blur", () => clearTimeout(timer));
  addEventListener("click", (event) => event.detail > 0 && release());
  addEventListener("pointerup", () => setTimeout(release, 0));
}

function deedOf({ key, target }, deeds) {
  const bar = target.classList?.contains("bar");
  if (PRESS.has(key)) return deeds.press;
  if (FORWARD.has(key)) return bar ? () => deeds.step(1) : deeds.forward;
  if (BACK.has(key)) return bar ? () => deeds.step(-1) : deeds.back;
  return deeds.others[key];
}

/** Tell whether a key is meant for the control that has the focus. */
function belongsTo({ key, target }) {
  if (key === "Escape") return false;
  if (target.matches?.("input:not([type=checkbox]), select, textarea")) return true;
  if (target.closest?.("#list li")) return true;
  return PRESS.has(key) && Boolean(target.matches?.("button, input, summary, a"));
}

/** Give the keys back to the pedal after a control was touched. */
function release() {
  const focused = /** @type {HTMLElement|null} */ (document.activeElement);
  if (focused?.matches("button, input[type=range], input[type=checkbox]")) focused.blur();
}
