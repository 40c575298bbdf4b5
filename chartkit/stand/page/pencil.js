/**
 * Marking bars on the music: touch the first and the last, or draw over them.
 *
 * Conventions: a finger that moves less than `STILL` pixels has touched, not drawn.
 *
 * @typedef {import("./music.js").Music} Music
 * @typedef {import("./score.js").Score} Score
 */
import { inOrder } from "./work.js";

const STILL = 10;

/**
 * Let the music be marked.
 *
 * @param {HTMLElement} host
 * @param {Score} score
 * @param {Music} music
 * @param {() => boolean} quiet   A touch starts and stops instead.
 */
export function connectPencil(host, score, music, quiet) {
  let mark = null;
  host.addEventListener("pointerdown", (event) => {
    if (event.button > 0 || quiet()) return;
    const bar = score.barAt(event.clientX, event.clientY);
    mark = bar && { bar, last: bar, x: event.clientX, y: event.clientY, drawn: false };
  });
  host.addEventListener("pointermove", (event) => {
    if (!mark) return;
    const far = Math.hypot(event.clientX - mark.x, event.clientY - mark.y) > STILL;
    const bar = score.barAt(event.clientX, event.clientY);
    if (!bar || !(far || mark.drawn)) return;
    mark.last = bar;
    mark.drawn = mark.drawn || bar !== mark.bar;
    if (mark.drawn) score.bracket(...inOrder(music.work, mark.bar, bar));
  });
  host.addEventListener("pointerup", () => {
    const done = mark;
    mark = null;
    if (!done) return;
    if (done.drawn) music.chooseRange(...inOrder(music.work, done.bar, done.last));
    else music.mark(done.bar);
  });
  host.addEventListener("pointercancel", () => {
    mark = null;
    music.changed();
  });
  host.addEventListener("click", (event) => {
    const bar = /** @type {HTMLElement} */ (event.target).closest?.(".bar");
    const byKey = event.detail === 0;
    if (bar && byKey) music.mark(/** @type {HTMLElement} */ (bar).dataset.bar);
  });
}
