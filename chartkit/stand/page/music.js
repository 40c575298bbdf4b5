/**
 * What stands on the desk and sounds: one work, what goes round of it, and what takes over.
 *
 * Conventions: what shows itself is told by `changed`, what went wrong by `say`; the audio clock
 * is followed in `follow`, and `tend` does what is due. A `place` is one in `work.sound.bars`.
 *
 * @typedef {import("./work.js").Work} Work
 * @typedef {import("./player.js").Player} Player
 * @typedef {import("./server.js").Server|import("./saved.js").Saved} Source
 *
 * @typedef {Object} Ready
 * @property {Work} work
 * @property {Map<string, AudioBuffer>} buffers
 */
import { nextStep } from "./climb.js";
import { cutStretch, wholeStretch } from "./stretch.js";
import { inOrder, numbersOf, runOf, soundName } from "./work.js";

/** Milliseconds in which one tempo after another may be asked for before one is made. */
const SETTLING = 250;

const FIXED = "A saved page plays its music as it is.";

export class Music {
  /**
   * @param {{source: Source, player: Player, click: import("./click.js").Click,
   *     sounds: import("./sounds.js").Sounds, changed: () => void, say: (words: string) => void}} parts
   */
  constructor({ source, player, click, sounds, changed, say }) {
    this.source = source;
    this.player = player;
    this.click = click;
    this.sounds = sounds;
    this.changed = changed;
    this.say = say;
    /** @type {import("./climb.js").Steps} */
    this.steps = { by: 0, every: 2, upTo: 0, keys: "", fresh: false };
    this.asked = 0;
    /** @type {Object<string, any>|null} The request that is being made. */
    this.asking = null;
    /** Of a tempo that is not asked for yet; 0 for none. */
    this.timer = 0;
    this.playing = false;
    this.waiting = false;
    /** @type {Work|null} */
    this.work = null;
    /** @type {Ready|null} Work and sound that can be played at once. */
    this.ready = null;
    /** @type {Ready|null} What could be played before the change that is being made. */
    this.before = null;
    /** @type {{first: string, last: string|null}|null} The bars that are marked, by their ids. */
    this.range = null;
    /** @type {string[]|null} */
    this.sections = null;
    this.place = -1;
    this.round = 0;
    /** @type {Ready|null} What the next time round is to be, once that is thought of. */
    this.planned = null;
    this.wanted = 0;
    /** @type {{voice: import("./player.js").Voice|null, round: number}} */
    this.heard = { voice: null, round: 0 };
  }

  #clear(request) {
    this.#unhurry();
    this.asking = null;
    this.work = null;
    this.ready = null;
    this.before = null;
    this.range = null;
    this.sections = request.sections ?? null;
    this.place = -1;
    this.round = 0;
    this.planned = null;
    this.wanted = 0;
    this.steps = { ...this.steps, by: 0, keys: "" };
    this.heard = { voice: null, round: 0 };
  }

  /**
   * Put something else on the desk.
   *
   * @param {Object<string, any>} request
   */
  open(request) {
    this.stop();
    this.#clear(request);
    return this.load(request, null);
  }

  /** Other parts of the same tune can be asked for. */
  get parted() {
    return this.source.remakes && Boolean(this.work?.sections.length);
  }

  /** Anything can be played over the tune, for it is no item of the day. */
  get free() {
    return this.parted && Boolean(this.work?.request.tune);
  }

  /** Whether something else was asked for and is not there yet. */
  get making() {
    return this.timer !== 0 || this.asking !== null;
  }

  /** Start as soon as all that was asked for is there; from the bar where it was stopped. */
  start() {
    this.waiting = !this.ready || this.making;
    this.changed();
    if (this.waiting) return;
    const { player } = this;
    player.wake();
    const stretch = this.#stretch(this.ready);
    const inside = this.place > stretch.first && this.place <= stretch.last;
    const offset = inside ? stretch.work.sound.bars[this.place].start : stretch.from;
    player.expect(stretch.work.sound.peak);
    player.start(stretch, { offset });
    this.heard = { voice: null, round: 0 };
    this.playing = true;
    this.click.forget();
    this.tend();
  }

  /** @param {number} [at]  A time to come, of the audio clock. */
  stop(at = undefined) {
    this.player.stop(at);
    this.click.forget();
    this.playing = false;
    this.waiting = false;
    this.planned = null;
    this.changed();
  }

  /** Go back to the beginning of what goes round. */
  rewind() {
    const { playing } = this;
    if (playing) this.stop();
    this.place = -1;
    if (playing) this.start();
    this.changed();
  }

  /**
   * Change what is asked for; while it sounds the new sound takes over at the next bar line. What
   * was changed before and is still being made stays changed.
   *
   * @param {Object<string, any>} changes  Fields of a request.
   * @param {"bar"|"round"} [line]
   */
  async change(changes, line = "bar") {
    const request = this.asking ?? (this.ready?.work ?? this.work)?.request;
    if (!request) return;
    if (this.source.remakes) await this.load({ ...request, ...changes }, line);
    else this.say(FIXED);
  }

  /**
   * Ask for another tempo, unless yet another is asked for at once.
   *
   * @param {number} tempo   Quarter notes a minute.
   */
  hurry(tempo) {
    if (!this.source.remakes) {
      this.say(FIXED);
      return;
    }
    this.#unhurry();
    this.wanted = tempo;
    this.timer = setTimeout(() => {
      this.#unhurry();
      this.change({ tempo });
    }, SETTLING);
    this.say(`${Math.round(tempo)} a minute.`);
  }

  #unhurry() {
    clearTimeout(this.timer);
    this.timer = 0;
  }

  /**
   * Mark a bar: the first of a loop, then its last.
   *
   * @param {string} id
   */
  mark(id) {
    if (this.range && !this.range.last) {
      this.chooseRange(...inOrder(this.work, this.range.first, id));
      return;
    }
    this.range = { first: id, last: null };
    this.say("");
  }

  /**
   * Let bars of the page go round: at once, cut out of what is there; then as the band plays them
   * as a loop of their own, where that can be made.
   *
   * @param {string} first
   * @param {string} last
   */
  chooseRange(first, last) {
    const run = this.ready && runOf(this.ready.work, first, last);
    const numbers = numbersOf(this.work, first, last);
    const remade = this.parted && this.work.kind === "chart" && numbers;
    if (!run && !remade) {
      this.range = null;
      this.say("Those bars do not follow one another.");
      return;
    }
    this.range = { first, last };
    this.place = this.playing ? this.place : -1;
    this.say("");
    if (run) this.#settle(this.ready, "bar");
    if (remade) this.change({ sections: null, bars: numbers }, run ? "round" : "bar");
  }

  /** Let all of it go round again. */
  clearRange() {
    const had = this.range?.last;
    this.range = null;
    this.place = this.playing ? this.place : -1;
    this.say("");
    if (!had) return;
    const { bars } = this.work.request;
    if (bars && this.source.remakes) this.change({ bars: null, sections: this.sections });
    else if (this.ready) this.#settle(this.ready, "bar");
  }

  /**
   * Join sections, in this order; none is all of it.
   *
   * @param {string[]} labels
   */
  join(labels) {
    this.sections = labels.length ? labels : null;
    return this.#other({ sections: this.sections, bars: null });
  }

  /**
   * Play an exercise through the same changes; null is the chart itself.
   *
   * @param {{kind: string, position: number}|null} exercise
   */
  exercise(exercise) {
    return this.#other({ exercise });
  }

  #other(changes) {
    this.range = null;
    this.place = this.playing ? this.place : -1;
    return this.change(changes);
  }

  /**
   * Let the tempo climb, or the keys go round, from the next time round on.
   *
   * @param {Partial<import("./climb.js").Steps>} steps
   */
  climb(steps) {
    this.steps = { ...this.steps, ...steps };
    if (this.planned?.work && this.playing) this.player.keep();
    this.planned = null;
    this.changed();
  }

  /**
   * Ask for a work and its sound, and put it to use. Of several requests the last one counts.
   *
   * @param {Object<string, any>} request
   * @param {"bar"|"round"|null} line  Null for something else altogether.
   */
  async load(request, line) {
    const number = (this.asked += 1);
    this.asking = request;
    this.planned = null;
    try {
      const work = await this.source.work(request);
      if (number !== this.asked) return;
      if (!this.playing) this.#showUnready(work);
      this.changed();
      const buffers = await this.sounds.of(work);
      if (number !== this.asked) return;
      this.#made();
      this.#settle({ work, buffers }, line ?? "bar");
    } catch (error) {
      if (number === this.asked) this.#fail(error);
    }
  }

  /** Show a work whose sound is not there yet. */
  #showUnready(work) {
    this.before = this.ready ?? this.before;
    this.work = work;
    this.ready = null;
  }

  #made() {
    this.asking = null;
    if (!this.timer) this.wanted = 0;
  }

  /** Go back to what was there before the change, and start that if a start was asked for. */
  #fail(error) {
    this.#made();
    this.ready ??= this.before;
    this.before = null;
    if (this.ready && !this.playing) this.work = this.ready.work;
    this.say(error.message);
    if (this.waiting && (this.ready || this.making)) this.start();
    else this.waiting = false;
  }

  /**
   * Follow what is heard at a time of the audio clock.
   *
   * @param {number} now
   * @returns {ReturnType<Player["placeAt"]>}
   */
  follow(now) {
    const found = this.player.placeAt(now);
    if (!found) return null;
    const { voice, place, round } = found;
    if (soundName(voice.stretch.work) !== soundName(this.work)) this.#turn(voice.stretch.work);
    const other = voice !== this.heard.voice;
    const again = other ? voice.offset === voice.stretch.from : round !== this.heard.round;
    if (this.heard.voice && again) this.#again();
    this.heard = { voice, round };
    if (place >= 0) this.place = place;
    return found;
  }

  /** Do what is due: clicks, and what the next time round needs. */
  tend() {
    if (!this.playing) return;
    this.click.tend();
    if (!this.planned && this.source.remakes && this.work) this.#plan();
  }

  /** The music that will take over, if that is known. */
  get coming() {
    return this.planned?.work ?? null;
  }

  #turn(work) {
    if (work === this.planned?.work) this.ready = { work, buffers: this.planned.buffers };
    this.work = work;
    this.changed();
  }

  #again() {
    this.round += 1;
    this.planned = null;
  }

  #settle(ready, line) {
    this.ready = ready;
    this.before = null;
    if (this.playing) {
      this.player.swap(this.#stretch(ready), line);
      this.click.forget();
    } else {
      this.work = ready.work;
      if (this.waiting) this.start();
    }
    this.changed();
  }

  /** Return what goes round of a work: the bars that are marked, if it has more than those. */
  #stretch({ work, buffers }) {
    const { first, last } = this.range ?? {};
    const run = first && last && runOf(work, first, last);
    const { bars } = work.request;
    const own = run && bars && String(bars) === String(numbersOf(work, first, last));
    if (!run || own) return wholeStretch(work, buffers);
    return cutStretch(this.player.context, work, buffers, run.first, run.last);
  }

  /** Have the next time round ready in time, if it is to be another. */
  async #plan() {
    const changes = nextStep(this.work, this.steps, this.round + 1);
    /** @type {Ready} */
    const plan = { work: null, buffers: null };
    this.planned = plan;
    if (!changes) return;
    try {
      const work = await this.source.work({ ...this.work.request, ...changes });
      const buffers = await this.sounds.of(work);
      if (this.planned !== plan || !this.playing) return;
      plan.work = work;
      plan.buffers = buffers;
      this.player.swap(this.#stretch({ work, buffers }), "round");
      this.click.forget();
      this.changed();
    } catch (error) {
      this.say(error.message);
    }
  }
}
