/**
 * The sound of works, fetched and unpacked before it is needed.
 *
 * @typedef {import("./work.js").Work} Work
 */

/** Works whose sound is kept at hand: this one, what comes next, what was before, and a spare. */
const KEPT = 4;

export class Sounds {
  /**
   * @param {BaseAudioContext} context
   * @param {(href: string) => Promise<ArrayBuffer>} fetched
   */
  constructor(context, fetched) {
    this.context = context;
    this.fetched = fetched;
    /** @type {Map<string, Promise<Map<string, AudioBuffer>>>} */
    this.held = new Map();
  }

  /**
   * Return the buffers of a work by part; the click is made by the page itself.
   *
   * @param {Work} work
   * @returns {Promise<Map<string, AudioBuffer>>}
   */
  of(work) {
    const parts = work.sound.parts.filter((part) => part.name !== "click");
    const name = JSON.stringify(parts.map((part) => part.href));
    const buffers = this.held.get(name) ?? this.#unpacked(parts);
    this.held.delete(name);
    this.held.set(name, buffers);
    buffers.catch(() => this.held.delete(name));
    for (const old of [...this.held.keys()].slice(0, -KEPT)) this.held.delete(old);
    return buffers;
  }

  async #unpacked(parts) {
    const pairs = parts.map(async ({ name, href }) => {
      const file = await this.fetched(href);
      return /** @type {[string, AudioBuffer]} */ ([name, await this.context.decodeAudioData(file)]);
    });
    return new Map(await Promise.all(pairs));
  }
}
