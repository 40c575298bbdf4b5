/**
 * A session at the stand: item after item, how long each is practised, and how it went.
 *
 * @typedef {import("./server.js").Item} Item
 * @typedef {import("./music.js").Music} Music
 */

/** Seconds for which an item goes on beyond its time to end with its round. */
const PATIENCE = 30;

/** Seconds between two items when they follow by themselves. */
export const REST = 8;

/** Milliseconds for which words stay that are only passing. */
const SAID = 7000;

export class Session {
  /** @param {{source: import("./music.js").Source, music: Music, changed: () => void}} parts */
  constructor({ source, music, changed }) {
    this.source = source;
    this.music = music;
    this.changed = changed;
    /** @type {Item[]} */
    this.items = [];
    this.at = -1;
    /** @type {Map<string, string>} How items went, by their keys. */
    this.results = new Map();
    /** Seconds played in all. */
    this.played = 0;
    this.words = "";
    /** When they were said; Infinity for what stays. */
    this.said = Infinity;
    this.goesOn = true;
    this.finished = false;
    /** Seconds played of this item, and how many of them the log knows. */
    this.spent = 0;
    this.logged = 0;
    this.begun = false;
    /** Between two items; the next follows at a time of `performance.now`, or when asked to. */
    this.resting = false;
    this.rest = Infinity;
    /** When the sound ends, on the audio clock. */
    this.stopAt = Infinity;
  }

  #fresh() {
    this.spent = 0;
    this.logged = 0;
    this.begun = false;
    this.words = "";
    this.finished = false;
    this.#unrest();
  }

  #unrest() {
    this.rest = Infinity;
    this.resting = false;
    this.stopAt = Infinity;
  }

  /** @returns {Item|undefined} */
  get item() {
    return this.items[this.at];
  }

  /** Seconds that are left of the item; null where one practises for as long as one likes. */
  get left() {
    return this.item?.seconds ? Math.max(0, this.item.seconds - this.spent) : null;
  }

  get last() {
    return this.at + 1 >= this.items.length;
  }

  /**
   * Take a list of things to practise, and put one of them on the stand.
   *
   * @param {Item[]} items
   * @param {number} [at]
   */
  async open(items, at = 0) {
    if (items !== this.items) {
      this.results = new Map();
      this.played = 0;
    }
    this.items = items;
    await this.choose(at);
  }

  /** @param {number} at */
  async choose(at) {
    this.leave();
    this.at = at;
    this.#fresh();
    const opened = this.music.open(this.item.request);
    this.changed();
    await opened;
    if (this.at === at) this.#foresee();
  }

  /** Stop, and tell the log what it does not know yet; without a word on how it went, as done. */
  leave() {
    this.music.stop();
    const unknown = this.spent - this.logged;
    if (this.item && unknown >= 1) this.#log(this.results.get(this.item.key) ?? "done");
    this.#unrest();
  }

  /** Start or stop: the one thing that a player needs. */
  press() {
    if (this.music.playing || this.music.waiting) this.stop();
    else this.start();
  }

  start() {
    if (!this.item) return;
    this.words = "";
    this.#unrest();
    this.music.start();
  }

  stop() {
    this.#unrest();
    this.music.stop();
  }

  /** A pedal forward: start; later, on to the next item. After an item's time: clean. */
  forward() {
    if (this.resting) this.#answer("clean");
    else if (this.begun) this.next();
    else this.start();
  }

  /** A pedal back: stop, then the beginning, then the item before. After its time: not yet. */
  back() {
    const { music } = this;
    if (this.resting) this.#answer("not yet");
    else if (music.playing || music.waiting) this.stop();
    else if (music.place > 0) music.rewind();
    else if (this.at > 0) this.choose(this.at - 1);
  }

  async next() {
    if (!this.last) {
      await this.choose(this.at + 1);
      return;
    }
    this.leave();
    this.finished = true;
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
    const tempo = Math.round(this.music.work?.tempo ?? 0);
    this.say(`${result === "clean" ? "Clean" : "Not yet"}${tempo ? ` at ${tempo}` : ""}.`);
  }

  /**
   * Say something for a while.
   *
   * @param {string} words
   */
  say(words) {
    this.words = words;
    this.said = performance.now();
    this.changed();
  }

  /** Do what is due: the end of an item, the next one. */
  tend() {
    const { player } = this.music;
    const now = player.context.currentTime;
    this.music.tend();
    if (performance.now() - this.said > SAID) this.#hush();
    if (!this.music.playing) {
      if (performance.now() >= this.rest) this.#follow();
    } else if (player.over <= now) this.#over();
    else if (now >= this.stopAt - 0.15) this.#over(this.stopAt);
  }

  #hush() {
    this.words = "";
    this.said = Infinity;
    this.changed();
  }

  /**
   * Count a while that was practised.
   *
   * @param {number} seconds
   */
  spend(seconds) {
    if (!this.music.playing) return;
    this.begun = true;
    this.spent += seconds;
    this.played += seconds;
    if (this.item?.seconds && this.spent >= this.item.seconds) this.#wind();
    this.changed();
  }

  /** Choose where to end: with the round, if that is soon, else with the bar. */
  #wind() {
    const { player } = this.music;
    const end = player.roundEnd;
    const soon = end - player.context.currentTime < PATIENCE;
    if (this.stopAt === Infinity) this.stopAt = soon ? end : player.barEnd;
    this.words = soon ? "Time: to the end of this round." : "Time.";
    this.said = Infinity;
  }

  #over(at = undefined) {
    const { music } = this;
    music.stop(at);
    music.place = -1;
    const timed = this.item.seconds && this.spent >= this.item.seconds;
    this.#unrest();
    if (timed) {
      this.resting = true;
      this.rest = this.goesOn ? performance.now() + 1000 * REST : Infinity;
      const next = this.last ? "That was the last one." : `Next: ${this.items[this.at + 1].title}.`;
      this.words = next;
      this.said = Infinity;
    }
    this.changed();
  }

  async #answer(result) {
    this.judge(result);
    await this.#follow();
  }

  /** Go on to the next item, and start it. */
  async #follow() {
    const { last } = this;
    const gone = this.next();
    if (!last) this.start();
    await gone;
  }

  /** Have the next item's music and sound made while this one is practised. */
  async #foresee() {
    const next = this.items[this.at + 1];
    if (!next) return;
    try {
      await this.music.sounds.of(await this.source.work(next.request));
    } catch {
      // It is asked for again, and any fault told, when its turn comes.
    }
  }

  async #log(result) {
    const { work } = this.music;
    if (!this.source.remembers || !work) return;
    const seconds = Math.round(this.spent - this.logged);
    this.logged = this.spent;
    const { request, tempo, key } = work;
    try {
      await this.source.log({ item: this.item.key, request, result, seconds, tempo, key });
    } catch (error) {
      this.say(`Not written down: ${error.message}`);
    }
  }
}
