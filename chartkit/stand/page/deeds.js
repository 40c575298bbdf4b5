/**
 * What keys do on the stand, beyond starting, stopping and going on.
 *
 * @typedef {import("./music.js").Music} Music
 * @typedef {import("./session.js").Session} Session
 */
import { partsOf } from "./band-panel.js";
import { CLICK_WAYS } from "./click.js";
import { FASTEST, SLOWEST } from "./pace-panel.js";

/** Quarter notes a minute. */
const STEP = 5;

/**
 * Return the deeds by key.
 *
 * @param {Session} session
 * @param {Music} music
 * @param {{quiet: () => void, drawer: () => void, escape: () => void}} page
 * @returns {Object<string, () => void>}
 */
export function otherDeeds(session, music, page) {
  const parts = [0, 1, 2, 3].map((place) => [String(place + 1), () => silence(music, place)]);
  return {
    ...Object.fromEntries(parts),
    c: () => session.judge("clean"),
    n: () => session.judge("not yet"),
    "[": () => markHere(music, false),
    "]": () => markHere(music, true),
    0: () => music.clearRange(),
    Backspace: () => music.clearRange(),
    "+": () => hurry(music, STEP),
    "=": () => hurry(music, STEP),
    "-": () => hurry(music, -STEP),
    k: () => otherClick(music),
    q: page.quiet,
    s: page.drawer,
    Escape: page.escape,
  };
}

/** Let the loop begin or end with the bar that sounds. */
function markHere(music, last) {
  const bar = music.work?.sound.bars[music.place]?.bar;
  if (!bar) return;
  const ids = music.work.bars.map((one) => one.id);
  if (last) music.chooseRange(music.range?.first ?? ids[0], bar);
  else music.chooseRange(bar, music.range?.last ?? ids.at(-1));
}

function silence(music, place) {
  const part = partsOf(music)[place];
  if (!part || part === "click") return;
  music.player.set(part, { silent: !music.player.setting(part).silent });
  music.changed();
}

function otherClick(music) {
  const at = CLICK_WAYS.indexOf(music.click.way);
  const way = CLICK_WAYS[(at + 1) % CLICK_WAYS.length];
  music.click.choose(way.name);
  music.say(`Click: ${way.words}.`);
}

function hurry(music, by) {
  const tempo = music.wanted || music.work?.tempo;
  if (!tempo) return;
  const next = Math.round(tempo / STEP) * STEP + by;
  music.hurry(Math.min(FASTEST, Math.max(SLOWEST, next)));
}
