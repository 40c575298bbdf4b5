/**
 * What changes from one time round to the next: a tempo that climbs, keys that go round, what the
 * band plays.
 *
 * @typedef {import("./work.js").Work} Work
 *
 * @typedef {Object} Steps
 * @property {number} by      Quarter notes a minute at each step; 0 for none.
 * @property {number} every   Times round at each tempo.
 * @property {number} upTo
 * @property {string} keys    A name from `KEY_WAYS`; empty for none.
 * @property {boolean} fresh  The band plays another take.
 */

/** The twelve tonics, a semitone apart. */
export const TONICS = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];

/** Other spellings of them. */
const ALIKE = { "C#": "Db", "D#": "Eb", "F#": "Gb", "G#": "Ab", "A#": "Bb", Cb: "B", "B#": "C", "E#": "F", Fb: "E" };

export const KEY_WAYS = [
  { name: "", words: "this key", semitones: 0 },
  { name: "fourths", words: "on by a fourth", semitones: 5 },
  { name: "up", words: "up a semitone", semitones: 1 },
  { name: "down", words: "down a semitone", semitones: 11 },
];

/**
 * Return the tonic of a key such as "Bb minor", spelt as in `TONICS`.
 *
 * @param {string} key
 */
export function tonicOf(key) {
  const name = key.split(" ")[0];
  return ALIKE[name] ?? name;
}

/**
 * Return the fields of a request that change for a time round, or null if none does.
 *
 * @param {Work} work
 * @param {Steps} steps
 * @param {number} round   Times round that are over by then.
 * @returns {{tempo?: number, key?: string, seed?: number}|null}
 */
export function nextStep(work, steps, round) {
  const changes = {};
  const due = steps.by > 0 && round % steps.every === 0 && work.tempo < steps.upTo;
  if (due) changes.tempo = Math.min(steps.upTo, work.tempo + steps.by);
  const way = KEY_WAYS.find(({ name }) => name === steps.keys);
  const from = TONICS.indexOf(tonicOf(work.key));
  if (way?.semitones && from >= 0) changes.key = TONICS[(from + way.semitones) % TONICS.length];
  if (steps.fresh && work.request.tune) changes.seed = (work.request.seed ?? 0) + 1;
  return Object.keys(changes).length ? changes : null;
}
