/**
 * Staying awake: the screen while music plays, and the sound after the machine has slept.
 */

/** Keeps the screen on where the browser can. */
export class Wake {
  constructor() {
    this.wanted = false;
    this.lock = null;
    document.addEventListener("visibilitychange", () => this.#update());
  }

  /** @param {boolean} wanted */
  want(wanted) {
    if (wanted === this.wanted) return;
    this.wanted = wanted;
    this.#update();
  }

  async #update() {
    const on = this.wanted && document.visibilityState === "visible";
    if (!on) {
      this.lock?.release().catch(() => {});
      this.lock = null;
    } else if (!this.lock || this.lock.released) {
      this.lock = await navigator.wakeLock?.request("screen").catch(() => null);
    }
  }
}

/**
 * Go on sounding after the system has interrupted the audio: after sleep, a call, a change of
 * device. The audio clock stands still meanwhile, so the band goes on where it was.
 *
 * @param {AudioContext} context
 * @param {() => boolean} playing
 * @param {(words: string) => void} say
 */
export function keepSounding(context, playing, say) {
  const running = () => context.state === "running";
  const resume = async () => {
    if (!playing() || running() || context.state === "closed") return;
    await Promise.race([context.resume().catch(() => {}), new Promise((r) => setTimeout(r, 1000))]);
    if (playing() && !running()) say("Touch the page to go on.");
  };
  context.addEventListener("statechange", resume);
  document.addEventListener("visibilitychange", resume);
  for (const event of ["focus", "pageshow", "pointerdown", "keydown"]) {
    addEventListener(event, resume);
  }
}
