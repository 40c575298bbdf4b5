/**
 * A stretch of a work's sound that goes round: all of it, or bars out of it.
 *
 * Conventions: times are seconds of the work's own sound, so that bars and beats need no
 * reckoning; `shift` tells where the buffers begin in it. Bounds are whole frames.
 *
 * @typedef {import("./work.js").Work} Work
 *
 * @typedef {Object} Stretch
 * @property {Work} work
 * @property {Map<string, AudioBuffer>} buffers  A part's name and its sound.
 * @property {number} shift
 * @property {number} from     Start of the loop.
 * @property {number} to       Its end.
 * @property {boolean} loop
 * @property {number} first    Place of its first bar in `work.sound.bars`.
 * @property {number} last
 *
 * @typedef {Object} Beat
 * @property {number} seconds
 * @property {number} number   In its bar, from 1.
 * @property {number} bar      Bars since the stretch began.
 */

/** Seconds over which the end of a cut stretch goes over into what leads to its beginning. */
export const JOIN = 0.012;

/**
 * Return all of a work's sound.
 *
 * @param {Work} work
 * @param {Map<string, AudioBuffer>} buffers
 * @returns {Stretch}
 */
export function wholeStretch(work, buffers) {
  const { rate, start, end, loop, bars } = work.sound;
  const bounds = { shift: 0, from: start / rate, to: end / rate };
  return { work, buffers, ...bounds, loop, first: 0, last: bars.length - 1 };
}

/**
 * Return a loop of some of a work's bars, cut out of its sound.
 *
 * @param {BaseAudioContext} context
 * @param {Work} work
 * @param {Map<string, AudioBuffer>} buffers
 * @param {number} first   Places in `work.sound.bars`, both included.
 * @param {number} last
 * @returns {Stretch}
 */
export function cutStretch(context, work, buffers, first, last) {
  const { rate, bars } = work.sound;
  const start = Math.round(bars[first].start * rate);
  const end = Math.round(bars[last].end * rate);
  const cut = new Map();
  for (const [name, buffer] of buffers) cut.set(name, joined(context, buffer, start, end));
  const from = start / rate;
  return { work, buffers: cut, shift: from, from, to: end / rate, loop: true, first, last };
}

/**
 * Copy frames so that they loop without a step: the last few go over into those before the first.
 *
 * @param {BaseAudioContext} context
 * @param {AudioBuffer} buffer
 * @param {number} start   Frames.
 * @param {number} end
 * @returns {AudioBuffer}
 */
export function joined(context, buffer, start, end) {
  const length = end - start;
  const over = Math.min(Math.round(JOIN * buffer.sampleRate), length);
  const copy = context.createBuffer(buffer.numberOfChannels, length, buffer.sampleRate);
  for (let channel = 0; channel < buffer.numberOfChannels; channel += 1) {
    const heard = buffer.getChannelData(channel);
    const kept = heard.slice(start, end);
    for (let frame = 0; frame < over; frame += 1) {
      const share = (frame + 1) / over;
      const before = heard[start - over + frame] ?? 0;
      const at = length - over + frame;
      kept[at] = (1 - share) * (kept[at] ?? 0) + share * before;
    }
    copy.copyToChannel(kept, channel);
  }
  return copy;
}

/**
 * Return the beats of a stretch, each with its number in its bar.
 *
 * @param {Stretch} stretch
 * @returns {Beat[]}
 */
export function beatsOf(stretch) {
  const { bars, beats } = stretch.work.sound;
  const found = [];
  for (let place = stretch.first; place <= stretch.last; place += 1) {
    const inside = beats.filter((beat) => within(beat, bars[place]));
    inside.forEach((seconds, nth) => {
      found.push({ seconds, number: nth + 1, bar: place - stretch.first });
    });
  }
  return found;
}

/**
 * Return the beats of one bar before a stretch, as seconds from the first of them, and their
 * whole length.
 *
 * @param {Stretch} stretch
 * @returns {{counts: number[], length: number}}
 */
export function countBefore(stretch) {
  const bar = stretch.work.sound.bars[stretch.first];
  const inside = stretch.work.sound.beats.filter((beat) => within(beat, bar));
  return { counts: inside.map((beat) => beat - bar.start), length: bar.end - bar.start };
}

function within(seconds, bar) {
  return seconds > bar.start - 1e-6 && seconds < bar.end - 1e-6;
}
