/**
 * The band: parts that sound together on one clock, and what replaces them at a bar line.
 *
 * Conventions: `at` and `now` are seconds of the audio context's clock, all other times seconds of
 * a work's sound (see `stretch.js`). Loops go round inside the audio system, frame by frame, with
 * no help from timers; whatever is heard when is reckoned from the clock, never counted.
 *
 * @typedef {import("./stretch.js").Stretch} Stretch
 * @typedef {import("./timeline.js").Voice} Voice
 */
import { beatsOf, countBefore } from "./stretch.js";
import { HAIR, beatsOfVoice, counterpart, nextBarLine, nextRound, reckon } from "./timeline.js";
import { playedBarAt } from "./work.js";

/** Seconds in which one stretch goes over into the next, just before a bar line. */
const CROSSING = 0.008;

/** Seconds from a request to the earliest moment at which it can be heard. */
const NOTICE = 0.06;

/** Seconds in which the band falls silent, and in which a level moves most of its way. */
const SILENCING = 0.03;
const MOVING = 0.015;

/** The highest that all parts together may come to; full scale is 1. */
const CEILING = 0.97;

export class Player {
  /** @param {BaseAudioContext} context */
  constructor(context) {
    this.context = context;
    this.output = context.createGain();
    this.output.connect(context.destination);
    /** @type {Map<string, GainNode>} */
    this.gains = new Map();
    /** @type {Map<string, {level: number, silent: boolean}>} */
    this.settings = new Map();
    this.peak = CEILING;
    /** @type {Voice[]} */
    this.voices = [];
  }

  get sounding() {
    return this.voices.length > 0;
  }

  /** Let the audio system run: a browser waits for a touch or a key before it does. */
  wake() {
    /** @type {AudioContext} */ (this.context).resume?.();
  }

  /**
   * Begin a stretch after a count-in; the music's own where it is begun at its beginning.
   *
   * @param {Stretch} stretch
   * @param {{offset?: number, counted?: boolean}} [options]  Where to begin, by default at the
   *     loop's start; whether to count in.
   * @returns {number} When its first sound or count is due.
   */
  start(stretch, { offset = stretch.from, counted = true } = {}) {
    this.stop();
    const first = this.context.currentTime + NOTICE;
    const { countIn } = stretch.work.sound;
    if (counted && offset === stretch.from && stretch.shift === 0 && countIn.length) {
      const counts = countIn.map((seconds) => first + seconds - countIn[0]);
      this.voices = [this.#sound(stretch, first, countIn[0], counts)];
    } else {
      const { counts, length } = counted ? countBefore(stretch) : { counts: [], length: 0 };
      const clicks = counts.map((seconds) => first + seconds);
      this.voices = [this.#sound(stretch, first + length, offset, clicks)];
    }
    return first;
  }

  /**
   * Let a stretch take over at the next bar line, or at the next time round.
   *
   * @param {Stretch} stretch
   * @param {"bar"|"round"} [line]
   * @returns {number} When it takes over.
   */
  swap(stretch, line = "bar") {
    const current = this.keep();
    const now = this.context.currentTime + NOTICE;
    const next = line === "bar" ? nextBarLine(current, now) : nextRound(current, now);
    const offset = counterpart(current.stretch, stretch, next.place);
    const voice = this.#sound(stretch, next.at, offset, []);
    this.#end(current, voice.at);
    this.voices.push(voice);
    return voice.at;
  }

  /**
   * Let what sounds now go on: nothing takes over.
   *
   * @returns {Voice}
   */
  keep() {
    const now = this.context.currentTime + NOTICE;
    const later = (voice) => voice.at > now && voice !== this.voices[0];
    this.voices.filter(later).forEach(silence);
    this.voices = this.voices.filter((voice) => !later(voice));
    const current = this.voices.at(-1);
    current.until = Infinity;
    current.strands.forEach(({ source, fade }) => hold(source, fade, this.context));
    return current;
  }

  /** Fall silent now, or at a time to come. */
  stop(at = this.context.currentTime) {
    for (const voice of this.voices) {
      for (const { source, fade } of voice.strands) {
        fade.gain.cancelScheduledValues(at);
        fade.gain.setTargetAtTime(0, at, SILENCING / 4);
        source.stop(at + SILENCING);
      }
    }
    this.voices = [];
  }

  /**
   * Return what is heard at a time: which stretch, where in it, in which time round.
   *
   * @param {number} now
   * @returns {{voice: Voice, seconds: number, place: number, round: number}|null}  A place of -1
   *     is a count-in.
   */
  placeAt(now) {
    const begun = this.voices.filter((voice) => voice.at <= now + HAIR);
    const voice = begun.at(-1) ?? this.voices[0];
    if (!voice) return null;
    const { seconds, round } = reckon(voice, now);
    const { work, from, first } = voice.stretch;
    const counting = now < voice.at - HAIR || seconds < from - HAIR;
    const place = counting ? -1 : Math.max(first, playedBarAt(work, seconds + HAIR));
    return { voice, seconds, place, round };
  }

  /**
   * Return the beats that are heard from one time up to another, counts first.
   *
   * @param {number} start
   * @param {number} end
   * @returns {{at: number, number: number, bar: number, count: boolean}[]}
   */
  beatsBetween(start, end) {
    return this.voices.flatMap((voice) => beatsOfVoice(voice, start, end));
  }

  /** When music that does not loop is over; Infinity for a loop. */
  get over() {
    const last = this.voices.at(-1);
    if (!last || last.stretch.loop) return Infinity;
    const { frames, rate } = last.stretch.work.sound;
    return last.at + frames / rate - last.offset;
  }

  /** Return when the time round that is heard now ends. */
  get roundEnd() {
    return nextRound(this.voices.at(-1), this.context.currentTime + NOTICE).at;
  }

  /** Return when the bar that is heard now ends. */
  get barEnd() {
    return nextBarLine(this.voices.at(-1), this.context.currentTime + NOTICE).at;
  }

  /**
   * Set a part's level in dB, or silence it.
   *
   * @param {string} part
   * @param {{level?: number, silent?: boolean}} setting
   */
  set(part, setting) {
    const whole = { ...this.setting(part), ...setting };
    this.settings.set(part, whole);
    this.gain(part).gain.setTargetAtTime(factor(whole), this.context.currentTime, MOVING);
    this.#trim();
  }

  /**
   * Keep all parts together below the ceiling.
   *
   * @param {number} peak   Of all parts together at their usual levels.
   */
  expect(peak) {
    this.peak = peak || 1;
    this.#trim();
  }

  #trim() {
    const loudest = Math.max(1, ...[...this.settings.values()].map(factor));
    const share = Math.min(1, CEILING / (this.peak * loudest));
    this.output.gain.setTargetAtTime(share, this.context.currentTime, MOVING);
  }

  /** @param {string} part */
  setting(part) {
    return this.settings.get(part) ?? { level: 0, silent: false };
  }

  /**
   * Return the node through which a part goes.
   *
   * @param {string} part
   */
  gain(part) {
    let gain = this.gains.get(part);
    if (!gain) {
      gain = this.context.createGain();
      gain.gain.value = factor(this.setting(part));
      gain.connect(this.output);
      this.gains.set(part, gain);
    }
    return gain;
  }

  /** @returns {Voice} */
  #sound(stretch, due, begun, counts) {
    const at = this.#onFrame(due);
    const offset = stretch.shift + this.#onFrame(begun - stretch.shift);
    const lead = this.voices.length ? this.#onFrame(Math.min(CROSSING, offset - stretch.shift)) : 0;
    const strands = [...stretch.buffers].map(([part, buffer]) => {
      const source = this.context.createBufferSource();
      source.buffer = buffer;
      source.loop = stretch.loop;
      source.loopStart = stretch.from - stretch.shift;
      source.loopEnd = stretch.to - stretch.shift;
      const fade = this.context.createGain();
      if (lead > 0) rise(fade, at - lead, at);
      source.connect(fade).connect(this.gain(part));
      source.onended = () => fade.disconnect();
      source.start(at - lead, offset - stretch.shift - lead);
      return { source, fade };
    });
    return { stretch, at, offset, until: Infinity, counts, beats: beatsOf(stretch), strands };
  }

  /** Return the frame nearest to a time: between frames the system would blur the sound. */
  #onFrame(seconds) {
    return Math.round(seconds * this.context.sampleRate) / this.context.sampleRate;
  }

  #end(voice, at) {
    voice.until = at;
    for (const { source, fade } of voice.strands) {
      fade.gain.setValueAtTime(1, at - CROSSING);
      fade.gain.linearRampToValueAtTime(0, at);
      source.stop(at);
    }
    const ended = (one) => one.until < this.context.currentTime - 1;
    this.voices = this.voices.filter((one) => !ended(one));
  }
}

function factor({ level, silent }) {
  return silent ? 0 : 10 ** (level / 20);
}

function rise(fade, start, end) {
  fade.gain.value = 0;
  fade.gain.setValueAtTime(0, start);
  fade.gain.linearRampToValueAtTime(1, end);
}

function silence(voice) {
  for (const { source, fade } of voice.strands) {
    fade.disconnect();
    source.stop();
  }
}

/** Take back an end that was planned. */
function hold(source, fade, context) {
  fade.gain.cancelScheduledValues(context.currentTime);
  fade.gain.setValueAtTime(1, context.currentTime);
  source.stop(1e9);
}
