/**
 * A page saved with its music and sound inside: it answers what a server would be asked.
 *
 * Conventions: the element `#saved` holds JSON: `title`, `items` (see `server.js`), `works` by the
 * items' keys, and `sounds` by their hrefs, each a file in base64.
 */
import { Refusal } from "./server.js";

export class Saved {
  /** @param {string} text  JSON. */
  constructor(text) {
    this.held = JSON.parse(text);
    this.remembers = false;
    this.remakes = false;
  }

  async today() {
    const items = this.held.items.map((item) => ({ ...item, request: { saved: item.key } }));
    return { title: this.held.title, items };
  }

  async tunes() {
    return { tunes: [], choices: { kinds: [] } };
  }

  async work(request) {
    const work = this.held.works[request.saved];
    if (!work) throw new Refusal("A saved page plays its music as it is.");
    return { ...work, request };
  }

  async sound(href) {
    return bytes(this.held.sounds[href]);
  }

  async log() {
    throw new Refusal("A saved page keeps no log.");
  }
}

function bytes(base64) {
  const letters = atob(base64);
  const array = new Uint8Array(letters.length);
  for (let place = 0; place < letters.length; place += 1) array[place] = letters.charCodeAt(place);
  return array.buffer;
}
