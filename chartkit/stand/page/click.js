/**
 * A click on the beats: made here, handed to the audio system a little ahead of its time.
 *
 * @typedef {import("./player.js").Player} Player
 *
 * @typedef {Object} ClickWay
 * @property {string} name
 * @property {string} words
 * @property {(beat: {number: number, bar: number}) => boolean} falls
 */

/** Seconds of clicks that are handed over at most: more than a hidden page's slowest timer. */
export const AHEAD = 1.6;

/** Hertz of a bar's first click and of the others; seconds that they last. */
const HIGH = 1760;
const LOW = 1320;
const LENGTH = 0.035;

/** @type {ClickWay[]} */
export const CLICK_WAYS = [
  { name: "none", words: "No click", falls: () => false },
  { name: "all", words: "Every beat", falls: () => true },
  { name: "even", words: "2 and 4", falls: ({ number }) => number % 2 === 0 },
  { name: "one", words: "1 only", falls: ({ number }) => number === 1 },
  { name: "second", words: "1 bar in 2", falls: ({ bar }) => bar % 2 === 0 },
  { name: "fourth", words: "1 bar in 4", falls: ({ bar }) => bar % 4 === 0 },
];

export class Click {
  /** @param {Player} player */
  constructor(player) {
    this.player = player;
    this.way = CLICK_WAYS[0];
    /** @type {{at: number, source: AudioBufferSourceNode}[]} */
    this.waiting = [];
    this.until = 0;
    const { context } = player;
    this.sounds = { high: made(context, HIGH), low: made(context, LOW) };
  }

  /** @param {string} name  Of one of `CLICK_WAYS`. */
  choose(name) {
    this.way = CLICK_WAYS.find((way) => way.name === name) ?? CLICK_WAYS[0];
    this.forget();
  }

  /** Take back what has not sounded: another stretch, another way, or silence. */
  forget() {
    const now = this.player.context.currentTime;
    this.waiting.filter(({ at }) => at > now).forEach(({ source }) => source.stop());
    this.waiting = [];
    this.until = 0;
  }

  /** Hand over the clicks that are due soon; to be called often. */
  tend(ahead = AHEAD) {
    const now = this.player.context.currentTime;
    this.waiting = this.waiting.filter(({ at }) => at > now);
    const start = Math.max(now, this.until);
    const end = now + ahead;
    if (end <= start) return;
    for (const beat of this.player.beatsBetween(start, end)) {
      if (beat.count || this.way.falls(beat)) this.#strike(beat);
    }
    this.until = end;
  }

  #strike({ at, number }) {
    const source = this.player.context.createBufferSource();
    source.buffer = number === 1 ? this.sounds.high : this.sounds.low;
    source.connect(this.player.gain("click"));
    source.start(at);
    this.waiting.push({ at, source });
  }
}

/** Return a short tone that dies away at once. */
function made(context, hertz) {
  const length = Math.round(LENGTH * context.sampleRate);
  const buffer = context.createBuffer(1, length, context.sampleRate);
  const frames = buffer.getChannelData(0);
  for (let frame = 0; frame < length; frame += 1) {
    const seconds = frame / context.sampleRate;
    const fading = Math.exp(-seconds * 110) * (1 - frame / length);
    frames[frame] = 0.5 * fading * Math.sin(2 * Math.PI * hertz * seconds);
  }
  return buffer;
}
