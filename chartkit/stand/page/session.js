/**
 * A session at the stand: what is practised now, what sounds, what comes next.
 *
 * Conventions: this module knows neither the screen nor the keys. What shows itself is told by
 * `changed`; what sounds is followed by the audio clock in `follow`; `tend` is called often and
 * does what is due.
 *
 * @typedef {import("./work.js").Work} Work
 * @typedef {import("./server.js").Item} Item
 * @typedef {import("./player.js").Player} Player
 * @typedef {import("./click.js").Click} Click
 * @typedef {import("./sounds.js").Sounds} Sounds
 */
import { cutStretch, wholeStretch } from "./stretch.js";
import { nextStep } from "./climb.js";
import { inOrder, runOf } from "./work.js";

/** Seconds for which an item goes on beyond its time to end with its round. */
const PATIENCE = 30;

/** Seconds between two items when they follow by themselves. */
export const REST = 8;

/** Milliseconds in which one tempo after another may be asked for before one is made. */
const SETTLING = 250;

export class Session {
  /**
   * @param {{source: any, player: Player, click: Click, sounds: Sounds, changed: () => void}} parts
   */
  constructor({ source, player, click, sounds, changed }) {
    Object.assign(this, { source, player, click, sounds, changed });
    /** @type {Item[]} */
    this.items = [];
    this.at = -1;
    /** @type {Work|null} */
    this.work = null;
    /** @type {{first: string, last: string|null}|null} */
    this.range = null;
    this.playing = false;
    this.waiting = false;
    this.words = "";
    this.goesOn = true;
    this.steps = { by: 0, every: 2, upTo: 0, keys: "" };
    this.round = 0;
    this.results = new Map();
    this.played = 0;
    this.wanted = null;
    this.timer = 0;
    this.finished = false;
    this.rest = null;
    this.ready = null;
    this.planned = null;
    this.count = 0;
    this.#clear();
  }

  /** @returns {Item|undefined} */
  get item() {
    return this.items[this.at];
  }

  /** Seconds that were played in all. */
  get total() {
    return this.played;
  }

  /** What stands here, in a few words. */
  get stands() {
    if (this.range?.last && this.work) return `Bars ${this.work.bars.find((b) => b.id === this.range.first)?.number}–${this.work.bars.find((b) => b.id === this.range.last)?.number} go round.`;
    return this.item?.why ?? "";
  }

  get left() {
    return this.item?.seconds ? Math.max(0, this.item.seconds - this.spent) : null;
  }

  /**
   * Take a list of things to practise, and open one of them.
   *
   * @param {Item[]} items
   * @param {number} [at]
   */
  async open(items, at = 0) {
    this.items = items;
    this.results = new Map();
    this.played = 0;
    this.finished = false;
    await this.choose(at);
  }

  /**
   * Put an item on the stand.
   *
   * @param {number} at
   */
  async choose(at) {
    this.leave();
    this.at = at;
    this.finished = false;
    this.#clear();
    await this.load(this.item.request, null);
    this.#foresee();
  }

  /** Stop, and tell the log what was played without a word on how it went. */
  leave() {
    this.stop();
    if (this.item && this.spent >= 1 && !this.results.has(this.item.key)) this.#log("done");
  }

  /** Start or stop: the one thing that a player needs. */
  press() {
    if (this.playing || this.waiting) this.stop();
    else this.start();
  }

  /** Start as soon as the sound is there; from the bar where it was stopped. */
  start() {
    this.rest = null;
    this.finished = false;
    if (!this.item) return;
    if (!this.ready) {
      this.waiting = true;
      this.say("");
      return;
    }
    this.waiting = false;
    this.player.context.resume?.();
    const stretch = this.#stretch(this.ready.work, this.ready.buffers);
    const bar = stretch.work.sound.bars[this.place];
    const inside = bar && this.place > stretch.first && this.place <= stretch.last;
    this.player.output.gain.value = Math.min(1, 0.97 / (stretch.work.sound.peak || 1));
    this.player.start(stretch, inside ? { offset: bar.start } : {});
    this.playing = true;
    this.stopAt = Infinity;
    this.words = "";
    this.click.forget();
    this.tend();
    this.changed();
  }

  stop() {
    this.player.stop();
    this.click.forget();
    this.planned = null;
    this.playing = false;
    this.waiting = false;
    this.rest = null;
    this.changed();
  }

  /** One pedal forward: start, or go on to the next item. */
  forward() {
    if (this.finished) this.choose(0);
    else if (this.begun || this.rest) this.next();
    else this.start();
  }

  /** One pedal back: stop, then the beginning, then the item before. */
  back() {
    if (this.playing || this.waiting || this.rest) this.stop();
    else if (this.place > 0) this.rewind();
    else if (this.at > 0) this.choose(this.at - 1);
  }

  /** Go back to the beginning of what goes round. */
  rewind() {
    const playing = this.playing;
    if (playing) this.stop();
    this.place = -1;
    if (playing) this.start();
    this.changed();
  }

  async next() {
    if (this.at + 1 < this.items.length) {
      await this.choose(this.at + 1);
      return;
    }
    this.leave();
    this.finished = true;
    this.begun = false;
    this.changed();
  }

  /**
   * Say how it went, in one word, into the log.
   *
   * @param {"clean"|"not yet"} result
   */
  judge(result) {
    if (!this.item) return;
    this.results.set(this.item.key, result);
    this.#log(result);
    this.say(`${result === "clean" ? "Clean" : "Not yet"} at ${Math.round(this.work?.tempo ?? 0)}.`);
  }

  /**
   * Change what is asked for; while it sounds the new sound takes over at the next bar line.
   *
   * @param {Object<string, any>} changes  Fields of a request.
   * @param {"bar"|"round"} [line]
   */
  async change(changes, line = "bar") {
    if (!this.work) return;
    if (!this.source.remakes) {
      this.say("A saved page plays its music as it is.");
      return;
    }
    await this.load({ ...this.work.request, ...changes }, line);
  }

  /**
   * Mark a bar: the first of a loop, then its last.
   *
   * @param {string} id
   */
  mark(id) {
    if (!this.range || this.range.last) this.range = { first: id, last: null };
    else this.chooseRange(...inOrder(this.work, this.range.first, id));
    if (this.range && !this.range.last) this.say("Now the last bar of the loop.");
    this.changed();
  }

  /**
   * Let bars of the page go round: at once, cut out of what is there; then as the band plays them
   * as a loop of their own, where the server can make it.
   *
   * @param {string} first
   * @param {string} last
   */
  chooseRange(first, last) {
    this.range = { first, last };
    this.place = -1;
    this.words = "";
    const run = this.ready && runOf(this.ready.work, first, last);
    if (run) this.#settle(this.ready, "bar");
    const numbers = [first, last].map((id) => this.work.bars.find((bar) => bar.id === id)?.number);
    const remade = this.source.remakes && this.work.kind === "chart" && numbers.every(Boolean);
    if (remade) this.change({ sections: null, bars: numbers }, run ? "round" : "bar");
    else if (!run) this.say("Those bars do not follow one another.");
    this.changed();
  }

  /** Let all of it go round again. */
  clearRange() {
    const marked = this.range;
    this.range = null;
    this.place = -1;
    this.words = "";
    if (this.work?.request.bars && this.source.remakes) {
      this.load({ ...this.work.request, bars: this.item.request.bars ?? null, sections: this.sections });
    } else if (marked?.last && this.ready) this.#settle(this.ready, "bar");
    this.changed();
  }

  /**
   * Join sections, in this order; none is all of it.
   *
   * @param {string[]} labels
   */
  join(labels) {
    this.range = null;
    this.place = -1;
    this.sections = labels.length ? labels : null;
    return this.change({ sections: this.sections, bars: null });
  }

  /**
   * Ask for another tempo, once no other is asked for at once.
   *
   * @param {number} tempo   Quarter notes a minute.
   */
  hurry(tempo) {
    this.wanted = { tempo };
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      this.wanted = null;
      this.change({ tempo });
    }, SETTLING);
    this.say(`${Math.round(tempo)} a minute, from the next bar.`);
  }

  /** Let the tempo climb, or the keys go round, from the next time round on. */
  climb(steps) {
    this.steps = { ...this.steps, ...steps };
    this.planned = null;
    this.changed();
  }

  /** Say something to the player. */
  say(words) {
    this.words = words;
    this.changed();
  }

  /**
   * Ask for a work and its sound, and put it to use. Of several requests the last one counts.
   *
   * @param {Object<string, any>} request
   * @param {"bar"|"round"|null} [line]  Null for something else altogether.
   */
  async load(request, line = "bar") {
    const number = (this.count += 1);
    this.planned = null;
    if (!line) this.ready = null;
    try {
      const work = await this.source.work(request);
      if (number !== this.count) return;
      if (!this.playing) this.work = work;
      this.changed();
      const buffers = await this.sounds.of(work);
      if (number !== this.count) return;
      this.#settle({ work, buffers }, line);
    } catch (error) {
      if (number !== this.count) return;
      this.waiting = false;
      this.say(error.message);
    }
  }

  /**
   * Follow what is heard at a time of the audio clock.
   *
   * @param {number} heard
   * @returns {ReturnType<Player["placeAt"]>}
   */
  follow(heard) {
    const now = this.player.placeAt(heard);
    if (!now) return null;
    const { work } = now.voice.stretch;
    if (soundName(work) !== soundName(this.work)) {
      this.work = work;
      this.changed();
    }
    if (now.voice !== this.voice || now.round !== this.turn) {
      if (this.voice && now.place >= 0) this.round += 1;
      this.voice = now.voice;
      this.turn = now.round;
      this.planned = null;
    }
    if (now.place >= 0) this.place = now.place;
    return now;
  }

  /** Do what is due: clicks, the next step of a climb, the end of an item, the next one. */
  tend() {
    const { currentTime } = this.player.context;
    if (this.playing) {
      this.click.tend();
      this.#plan();
      if (this.player.over <= currentTime) this.#over();
      else if (currentTime >= this.stopAt - 0.15) this.#over(this.stopAt);
    }
    if (this.rest && performance.now() >= this.rest) this.#go();
  }

  /** Count a while that was practised. */
  spend(seconds) {
    if (!this.playing) return;
    this.begun = true;
    this.spent += seconds;
    this.played += seconds;
    const over = this.item?.seconds && this.spent >= this.item.seconds;
    if (over && this.stopAt === Infinity) {
      const end = this.player.roundEnd;
      const soon = end - this.player.context.currentTime < PATIENCE;
      this.stopAt = soon ? end : this.player.barEnd;
      this.words = "Time: to the end of this round.";
    }
    this.changed();
  }

  #clear() {
    Object.assign(this, { range: null, place: -1, spent: 0, logged: 0, begun: false, rest: null });
    Object.assign(this, { work: null, ready: null, sections: null, words: "", voice: null, turn: 0 });
    Object.assign(this, { round: 0, stopAt: Infinity, planned: null });
    this.steps = { ...this.steps, by: 0, keys: "" };
  }

  #settle(ready, line) {
    this.ready = ready;
    if (this.playing) {
      const at = this.player.swap(this.#stretch(ready.work, ready.buffers), line ?? "bar");
      this.click.forget();
      this.stopAt = this.stopAt === Infinity ? Infinity : Math.max(at, this.stopAt);
    } else if (this.waiting) this.start();
    this.changed();
  }

  /** Return what goes round of a work: the bars that are marked, if it has more than those. */
  #stretch(work, buffers) {
    const { first, last } = this.range ?? {};
    const run = last && !work.request.bars && runOf(work, first, last);
    if (!run) return wholeStretch(work, buffers);
    return cutStretch(this.player.context, work, buffers, run.first, run.last);
  }

  /** Get the sound of the next time round ready, if it is to be another. */
  async #plan() {
    if (this.planned || !this.source.remakes) return;
    const changes = nextStep(this.work, this.steps, this.round + 1);
    this.planned = changes ?? {};
    if (!changes) return;
    const plan = this.planned;
    try {
      const work = await this.source.work({ ...this.work.request, ...changes });
      const buffers = await this.sounds.of(work);
      if (this.planned !== plan || !this.playing) return;
      plan.work = work;
      this.#settle({ work, buffers }, "round");
    } catch (error) {
      this.say(error.message);
    }
  }

  /** What will take over from the music that stands here, if that is known. */
  get coming() {
    return this.planned?.work ?? null;
  }

  #over(at = undefined) {
    this.player.stop(at);
    this.click.forget();
    this.playing = false;
    this.place = -1;
    const more = this.at + 1 < this.items.length;
    this.words = "";
    if (this.item?.seconds && this.spent >= this.item.seconds - 1) {
      this.rest = this.goesOn ? performance.now() + 1000 * REST : null;
      this.words = more ? `Next: ${this.items[this.at + 1].title}.` : "That was the last one.";
    }
    this.changed();
  }

  async #go() {
    this.rest = null;
    const last = this.at + 1 >= this.items.length;
    await this.next();
    if (!last) this.start();
  }

  /** Have the next item's music and sound made while this one is practised. */
  async #foresee() {
    const next = this.items[this.at + 1];
    if (!next || !this.source.remakes) return;
    try {
      this.sounds.of(await this.source.work(next.request)).catch(() => {});
    } catch {
      // It is asked for again, and any fault told, when its turn comes.
    }
  }

  async #log(result) {
    if (!this.source.remembers) return;
    const seconds = Math.round(this.spent - this.logged);
    this.logged = this.spent;
    const { request, tempo, key } = this.work ?? { request: {}, tempo: 0, key: "" };
    try {
      await this.source.log({ item: this.item.key, request, result, seconds, tempo, key });
    } catch (error) {
      this.say(`Not written down: ${error.message}`);
    }
  }
}

/** Return what a work's sound is known by. */
function soundName(work) {
  return work ? JSON.stringify([work.sound.parts, work.sound.start, work.sound.end]) : "";
}
