/**
 * The neck beside the music: the shape of the chord that sounds, or of the key.
 *
 * @typedef {import("./work.js").Work} Work
 */
import { byId, drawing } from "./dom.js";
import { chordAt } from "./work.js";

export class Neck {
  constructor() {
    this.shown = null;
  }

  /**
   * Show the shape for a moment of the music.
   *
   * @param {Work|null} work
   * @param {number|null} seconds   Null while nothing sounds.
   * @param {boolean} wanted
   */
  show(work, seconds, wanted) {
    const shape = wanted && work ? shapeAt(work, seconds) : null;
    const svg = shape?.svg ?? null;
    if (svg === this.shown) return;
    this.shown = svg;
    byId("neck").hidden = !svg;
    if (!svg) return;
    byId("neck").replaceChildren(drawing(svg));
    byId("neck").setAttribute("aria-label", `On the neck: ${shape.name}`);
  }
}

/** @returns {{name: string, svg: string}|null} */
function shapeAt(work, seconds) {
  const chord = seconds === null ? null : chordAt(work, seconds);
  const own = chord && chord.shape !== null ? work.shapes?.[chord.shape] : null;
  if (own) return own;
  return work.shape ? { name: work.key, svg: work.shape } : null;
}
