/**
 * Where in the music a moment of the audio clock is, and when a place in the music comes next.
 *
 * Conventions: as in `player.js`; whatever is asked is reckoned from when a voice began.
 *
 * @typedef {import("./stretch.js").Stretch} Stretch
 * @typedef {import("./stretch.js").Beat} Beat
 *
 * @typedef {Object} Voice     A stretch that sounds, or soon will.
 * @property {Stretch} stretch
 * @property {number} at       When it is at `offset`.
 * @property {number} offset
 * @property {number} until    When something else takes over; Infinity at first.
 * @property {number[]} counts Clock times of its count-in.
 * @property {Beat[]} beats
 * @property {{source: AudioBufferSourceNode, fade: GainNode}[]} strands
 */
import { playedBarAt } from "./work.js";

/** Seconds by which two times may differ and be the same. */
export const HAIR = 1e-7;

/**
 * Return the next bar line of a voice after a time, and which played bar begins there.
 *
 * @param {Voice} voice
 * @param {number} now
 */
export function nextBarLine(voice, now) {
  const { work, first, last } = voice.stretch;
  if (now < voice.at && voice.offset >= voice.stretch.from) {
    return { at: voice.at, place: playedBarAt(work, voice.offset + HAIR) };
  }
  const { seconds } = reckon(voice, now);
  const place = playedBarAt(work, seconds + HAIR) + 1;
  if (place > last || place < first) return nextRound(voice, now);
  return { at: now + work.sound.bars[place].start - seconds, place };
}

/**
 * Return when a voice next comes to the start of its loop.
 *
 * @param {Voice} voice
 * @param {number} now
 */
export function nextRound(voice, now) {
  const { from, to, first } = voice.stretch;
  const { round } = reckon(voice, Math.max(now, voice.at));
  const before = voice.offset < from - HAIR && now < voice.at + from - voice.offset;
  const rounds = before ? 0 : round + 1;
  return { at: voice.at + from - voice.offset + rounds * (to - from), place: first };
}

/** Return where a voice is at a time, and how often its loop has gone round. */
export function reckon(voice, now) {
  const { from, to, loop } = voice.stretch;
  const along = voice.offset + now - voice.at;
  if (!loop || along < to) return { seconds: along, round: 0 };
  const round = Math.floor((along - from + HAIR) / (to - from));
  return { seconds: along - round * (to - from), round };
}

/** Return where in another stretch the same bar begins; its start where there is no such bar. */
export function counterpart(old, other, place) {
  const { bars } = other.work.sound;
  const id = old.work.sound.bars[place].bar;
  const same = bars.length === old.work.sound.bars.length && bars[place].bar === id;
  const found = same ? place : bars.findIndex((played) => played.bar === id);
  return found < other.first || found > other.last ? other.from : bars[found].start;
}

export function beatsOfVoice(voice, start, end) {
  const { from, to, loop, first, last } = voice.stretch;
  const counts = voice.counts
    .filter((at) => at >= start && at < end)
    .map((at, number) => ({ at, number: number + 1, bar: 0, count: true }));
  const low = Math.max(start, voice.at);
  const high = Math.min(end, voice.until);
  if (low >= high) return counts;
  const length = to - from;
  const origin = voice.at - voice.offset;
  const begun = loop ? Math.max(0, Math.floor((low - origin - from) / length)) : 0;
  const ended = loop ? Math.max(0, Math.floor((high - origin - from) / length)) : 0;
  const found = [];
  for (let round = begun; round <= ended; round += 1) {
    for (const beat of voice.beats) {
      const at = origin + beat.seconds + round * length;
      const inside = at >= low - HAIR && at < high - HAIR;
      const bar = beat.bar + round * (last - first + 1);
      if (inside) found.push({ at, number: beat.number, bar, count: false });
    }
  }
  return [...counts, ...found];
}
