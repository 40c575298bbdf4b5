/**
 * Only the music: everything else away, one touch to start and stop.
 *
 * Conventions: a finger that rests on the music brings the rest back; so does a button that shows
 * for a while where the pointer has moved.
 */
import { byId } from "./dom.js";

/** Milliseconds for which a finger has to rest. */
const RESTING = 700;

/** Milliseconds for which the button is seen. */
const SEEN = 2500;

export class Quiet {
  /** @param {{press: () => void, changed: () => void}} deeds */
  constructor({ press, changed }) {
    this.on = false;
    this.press = press;
    this.changed = changed;
    this.touch = 0;
    this.fading = 0;
    byId("loud").addEventListener("click", () => this.set(false));
    byId("desk").addEventListener("pointerdown", () => this.#down());
    byId("desk").addEventListener("pointerup", () => this.#up());
    addEventListener("pointermove", (event) => event.pointerType === "mouse" && this.#show());
  }

  /** @param {boolean} on */
  set(on) {
    if (on === this.on) return;
    this.on = on;
    document.documentElement.toggleAttribute("data-quiet", on);
    byId("loud").hidden = !on;
    if (on) this.#show();
    this.changed();
  }

  #show() {
    if (!this.on) return;
    byId("loud").classList.add("seen");
    clearTimeout(this.fading);
    this.fading = setTimeout(() => byId("loud").classList.remove("seen"), SEEN);
  }

  #down() {
    if (!this.on) return;
    this.touch = setTimeout(() => {
      this.touch = 0;
      this.set(false);
    }, RESTING);
  }

  #up() {
    if (this.on && this.touch) this.press();
    clearTimeout(this.touch);
    this.touch = 0;
  }
}
