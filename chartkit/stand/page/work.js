/**
 * One thing to practise, as the server hands it over: its page, its sound, its bars.
 *
 * Conventions: a `work` and its parts are never changed, only replaced. Seconds are counted from
 * the first frame of the sound files; a count-in lies before `sound.start`. A bar is known by its
 * id ("bar-7"), which is also the id of its drawing. In `sound.bars` a bar stands once each time
 * it is played, in the order of playing, with an empty id if it is not on the page.
 *
 * @typedef {Object} Bar
 * @property {string} id
 * @property {string} label    What is said of it to those who do not see it.
 * @property {string} section
 * @property {number|null} number  As printed.
 *
 * @typedef {Object} System
 * @property {string} svg
 * @property {string[]} bars   Ids, from left to right.
 * @property {number} width    In points, like the height.
 * @property {number} height
 *
 * @typedef {Object} Part
 * @property {string} name     "bass", "chords", "drums", "line", "click".
 * @property {string} href
 *
 * @typedef {Object} PlayedBar
 * @property {string} bar      A bar's id.
 * @property {number} start    In seconds.
 * @property {number} end
 *
 * @typedef {Object} PlayedChord
 * @property {string} name
 * @property {number} start    In seconds.
 * @property {number} end
 * @property {number|null} shape  Its place in the work's `shapes`.
 *
 * @typedef {Object} Sound
 * @property {number} rate     Frames a second.
 * @property {number} frames   In each file.
 * @property {number} start    First frame of the loop.
 * @property {number} end      The frame after its last.
 * @property {boolean} loop
 * @property {number} peak     The highest sample of all parts together; full scale is 1.
 * @property {Part[]} parts
 * @property {PlayedBar[]} bars
 * @property {number[]} beats
 * @property {number[]} countIn Beats before the start.
 * @property {PlayedChord[]} chords
 *
 * @typedef {Object} Work
 * @property {string} id
 * @property {"chart"|"exercise"|"technique"|"phrase"} kind
 * @property {string} title
 * @property {string} subtitle
 * @property {string} composer
 * @property {string} caution
 * @property {Object<string, any>} request  What gave this work; with other fields it gives others.
 * @property {number} tempo    Quarter notes a minute.
 * @property {string} feel
 * @property {string} key      Such as "Bb major".
 * @property {{label: string, part: string}[]} sections  What there is of the tune, to ask for.
 * @property {Bar[]} bars      In printed order.
 * @property {System[]} systems
 * @property {System[]} [narrow]  The same music in shorter systems, for a small screen.
 * @property {string|null} shape  The key's scale on the neck, as SVG.
 * @property {{name: string, svg: string}[]} shapes  Each chord's.
 * @property {Sound} sound
 */

/**
 * Return the places in `sound.bars` of the run from one printed bar to another as it is first
 * played, without going through the one again; null where it does not lead to the other.
 *
 * @param {Work} work
 * @param {string} firstId
 * @param {string} lastId
 * @returns {{first: number, last: number}|null}
 */
export function runOf(work, firstId, lastId) {
  const ids = work.sound.bars.map((played) => played.bar);
  const begun = ids.indexOf(firstId);
  const last = begun < 0 ? -1 : ids.indexOf(lastId, begun);
  return last < 0 ? null : { first: ids.lastIndexOf(firstId, last), last };
}

/**
 * Put two printed bars in the order of the page.
 *
 * @param {Work} work
 * @param {string} one
 * @param {string} other
 * @returns {[string, string]}
 */
export function inOrder(work, one, other) {
  const ids = work.bars.map((bar) => bar.id);
  return ids.indexOf(one) <= ids.indexOf(other) ? [one, other] : [other, one];
}

/**
 * Return the ids of the printed bars from one to another, both included.
 *
 * @param {Work} work
 * @param {string} firstId
 * @param {string} lastId
 * @returns {string[]}
 */
export function barsBetween(work, firstId, lastId) {
  const ids = work.bars.map((bar) => bar.id);
  return ids.slice(ids.indexOf(firstId), ids.indexOf(lastId) + 1);
}

/**
 * Return the place in `sound.bars` of what sounds at a time; -1 in a count-in.
 *
 * @param {Work} work
 * @param {number} seconds
 * @returns {number}
 */
export function playedBarAt(work, seconds) {
  const bars = work.sound.bars;
  let low = 0;
  let high = bars.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (bars[middle].start <= seconds) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/**
 * Return what is said of a bar to those who do not see it: its number, section and chords.
 *
 * @param {Work} work
 * @param {string} id
 * @returns {string}
 */
export function spokenBar(work, id) {
  const bar = work.bars.find((one) => one.id === id);
  const played = work.sound.bars.find((one) => one.bar === id);
  const inside = ({ start, end }) => played && start < played.end - 0.01 && end > played.start + 0.01;
  const chords = (work.sound.chords ?? []).filter(inside).map((chord) => chord.name);
  return [bar?.label || "Bar", chords.join(" ")].filter(Boolean).join(", ");
}

/**
 * Return the chord that sounds at a time, or nothing.
 *
 * @param {Work} work
 * @param {number} seconds
 * @returns {PlayedChord|undefined}
 */
export function chordAt(work, seconds) {
  return work.sound.chords?.find(({ start, end }) => seconds >= start && seconds < end);
}

/**
 * Return the printed numbers of two bars; null where one has none.
 *
 * @param {Work} work
 * @param {string} firstId
 * @param {string} lastId
 * @returns {[number, number]|null}
 */
export function numbersOf(work, firstId, lastId) {
  const number = (id) => work.bars.find((bar) => bar.id === id)?.number;
  const numbers = [number(firstId), number(lastId)];
  return numbers.every(Boolean) ? /** @type {[number, number]} */ (numbers) : null;
}

/**
 * Return what a work's sound is known by.
 *
 * @param {Work|null} work
 */
export function soundName(work) {
  return work ? JSON.stringify([work.sound.parts, work.sound.start, work.sound.end]) : "";
}
