/**
 * What the page asks of the server that it came from. A saved page has no server: see `saved.js`,
 * which answers the same questions.
 *
 * @typedef {import("./work.js").Work} Work
 *
 * @typedef {Object} Item      Something to practise for a while.
 * @property {string} key
 * @property {string} title
 * @property {string} [activity]
 * @property {string} [why]
 * @property {number} seconds  How long; 0 for as long as one likes.
 * @property {Object<string, any>} request
 * @property {string|null} [result]  Of today, where there is one.
 *
 * @typedef {Object} Entry     What is told to the log.
 * @property {string} item
 * @property {Object<string, any>} request
 * @property {"clean"|"not yet"|"done"} result
 * @property {number} seconds
 * @property {number} tempo
 * @property {string} key
 */

/** The server has too much to do just now; how often it is asked again. */
const BUSY = 503;
const TRIES = 4;

export class Refusal extends Error {}

export class Server {
  constructor(token) {
    this.token = token;
    this.remembers = true;
    this.remakes = true;
  }

  /** @returns {Promise<{title: string, items: Item[], news?: string[], error?: string}>} */
  async today() {
    return (await this.#asked("api/today")).json();
  }

  /**
   * @returns {Promise<{tunes: {title: string, request: Object<string, any>}[],
   *     choices: {kinds: {name: string, title: string}[]}}>}
   */
  async tunes() {
    return (await this.#asked("api/tunes")).json();
  }

  /**
   * @param {Object<string, any>} request
   * @returns {Promise<Work>}
   */
  async work(request) {
    return (await this.#told("api/work", request)).json();
  }

  /**
   * @param {string} href
   * @returns {Promise<ArrayBuffer>}
   */
  async sound(href) {
    return (await this.#asked(href)).arrayBuffer();
  }

  /** @param {Entry} entry */
  async log(entry) {
    await this.#told("api/log", entry, true);
  }

  /** Send a value; with `keepalive` even while the page goes away. */
  #told(path, value, keepalive = false) {
    return this.#asked(path, {
      method: "POST",
      keepalive,
      headers: { "Content-Type": "application/json", "X-Stand-Token": this.token },
      body: JSON.stringify(value),
    });
  }

  async #asked(path, options = {}) {
    for (let tries = 1; ; tries += 1) {
      const answer = await fetch(path, options).catch(() => null);
      if (!answer) throw new Refusal("The stand does not answer: is chartkit still running?");
      if (answer.ok) return answer;
      if (answer.status !== BUSY || tries === TRIES) throw new Refusal(await reason(answer));
      await new Promise((done) => setTimeout(done, 1000 * (answer.headers.get("Retry-After") || 1)));
    }
  }
}

/** Return the server's own sentence, or what is known without one. */
async function reason(answer) {
  try {
    return (await answer.json()).error;
  } catch {
    return `The stand refuses this (${answer.status}).`;
  }
}
