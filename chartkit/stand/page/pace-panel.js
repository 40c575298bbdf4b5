/**
 * Tempo and key: now, and from one time round to the next.
 *
 * @typedef {import("./music.js").Music} Music
 */
import { KEY_WAYS, TONICS, tonicOf } from "./climb.js";
import { amount, assign, choice, group } from "./controls.js";
import { keyName } from "./heading.js";

/** Quarter notes a minute that can be asked for. */
export const SLOWEST = 30;
export const FASTEST = 400;

const EVERY = [1, 2, 4, 8];

/**
 * @param {Music} music
 * @returns {{node: HTMLElement, update: () => void}}
 */
export function pacePanel(music) {
  const bounds = { min: SLOWEST, max: FASTEST, step: 5 };
  const tempo = amount("Tempo", bounds, (value) => music.hurry(value));
  const names = TONICS.map((name) => ({ value: name, words: keyName(name) }));
  const key = choice("Key", names, (name) => music.change({ key: name }));
  const by = choice("Faster by", steps(), (value) => climb({ by: Number(value) }));
  const rounds = EVERY.map((n) => ({ value: String(n), words: n === 1 ? "time" : `${n} times` }));
  const every = choice("each", rounds, (value) => climb({ every: Number(value) }));
  const upTo = amount("up to", bounds, (value) => climb({ upTo: value }));
  const ways = KEY_WAYS.map(({ name, words }) => ({ value: name, words }));
  const keys = choice("Each time", ways, (name) => climb({ keys: name }));
  const climb = (changes) => music.climb(changes);
  return {
    node: group("Tempo and key", tempo.node, by.node, every.node, upTo.node, key.node, keys.node),
    update() {
      const { work, steps: now, source } = music;
      if (work) assign(tempo.field, Math.round(work.tempo * 10) / 10);
      if (work) assign(key.select, tonicOf(work.key));
      assign(by.select, now.by);
      assign(every.select, now.every);
      assign(upTo.field, now.upTo || Math.round((work?.tempo ?? 100) / 5) * 5 + 40);
      assign(keys.select, now.keys);
      every.node.hidden = !now.by;
      upTo.node.hidden = !now.by;
      key.node.hidden = !work?.key;
      keys.node.hidden = !work?.key;
      this.node.toggleAttribute("disabled", !source.remakes);
    },
  };
}

function steps() {
  const words = (n) => (n ? `${n} a minute` : "none");
  return [0, 2, 4, 5, 8, 10].map((n) => ({ value: String(n), words: words(n) }));
}
