/**
 * The music on the stand: systems in their places, the bar that sounds, the bars that go round.
 *
 * Nothing scrolls. When the last line of a screen begins to sound, the lines above it, which have
 * been played, make way for those that come; the line being read stays where it is.
 *
 * @typedef {import("./work.js").Work} Work
 * @typedef {import("./pages.js").Fit} Fit
 */
import { barButton } from "./bars.js";
import { drawing, element, styled } from "./dom.js";
import { around, fitted, pageOf, placeOf } from "./pages.js";
import { barsBetween } from "./work.js";

/** Pixels left of the music for bar numbers. */
const MARGIN = 22;

/** Pixels from the edge of a turning page down to the line that is still read. */
const EDGE = 6;

export class Score {
  /** @param {HTMLElement} host */
  constructor(host) {
    this.host = host;
    this.size = 0;
    /** @type {Work|null} */
    this.work = null;
    /** @type {Work|null} */
    this.coming = null;
    /** @type {Map<string, {work: Work, fit: Fit, blocks: Map<number, HTMLElement>}>} */
    this.settings = new Map();
    this.sounding = null;
    this.range = { first: null, last: null };
    this.cursor = null;
    this.shown = "";
    /** @type {Map<string, number>} Where the systems that are seen stand. */
    this.tops = new Map();
    this.reading = { system: 0, next: null };
    /** @type {[number|null, {first: number, last: number, loop: boolean}|undefined]} */
    this.asked = [null, undefined];
    this.space = "";
    new ResizeObserver(() => this.#resized()).observe(host);
  }

  /** @param {Work} work */
  show(work) {
    if (work === this.work) return;
    this.work = work;
    this.coming = null;
    this.sounding = null;
    this.cursor = work.bars[0]?.id ?? null;
    const kept = this.settings.get(work.id);
    this.settings = new Map(kept ? [[work.id, kept]] : []);
    this.read(null);
  }

  /**
   * Say what music will take over, so that its first lines come into sight in time.
   *
   * @param {Work|null} work
   */
  expect(work) {
    this.coming = work && work.id !== this.work?.id ? work : null;
  }

  /** Fit everything anew: another size of screen or of music. */
  relay() {
    this.settings.clear();
    this.tops.clear();
    this.shown = "";
    if (this.work) this.read(...this.asked); // the systems may be others now
  }

  #resized() {
    if (this.space !== this.#room()) this.relay();
  }

  #room() {
    return `${this.host.clientWidth} ${this.host.clientHeight}`;
  }

  /** @param {number} size  Of the music: 0, 1 or 2. */
  resize(size) {
    this.size = size;
    this.relay();
  }

  /**
   * Turn to a bar that is played, or to the start of the range; while nothing is played the place
   * of the keyboard stays in sight.
   *
   * @param {number|null} place  In `work.sound.bars`.
   * @param {{first: number, last: number, loop: boolean}} [round]  What goes round.
   */
  read(place, round = undefined) {
    this.asked = [place, round];
    const { bars } = this.work.sound;
    if (place === null && this.#focused) {
      this.reading = { system: this.#systemOf(this.cursor), next: null };
    } else {
      const at = place ?? round?.first ?? this.#firstPlace();
      const system = this.#systemOf(bars[at]?.bar);
      this.reading = { system, next: this.#nextSystem(at, system, round) };
    }
    this.light(place === null ? null : bars[place].bar);
    this.#place();
  }

  /**
   * Mark the bar that sounds.
   *
   * @param {string|null} id
   */
  light(id) {
    if (id === this.sounding) return;
    this.#button(this.sounding)?.classList.remove("sounding");
    this.sounding = id;
    this.#button(id)?.classList.add("sounding");
  }

  /**
   * Bracket the bars that go round; with a first one alone, the last is still to be chosen.
   *
   * @param {string|null} first
   * @param {string|null} last
   */
  bracket(first, last) {
    this.range = { first, last };
    this.#marks();
  }

  /**
   * Move the place at which the keyboard marks bars.
   *
   * @param {number} steps
   */
  step(steps) {
    const ids = this.work.bars.map((bar) => bar.id);
    const at = ids.indexOf(this.cursor) + steps;
    this.cursor = ids[Math.max(0, Math.min(ids.length - 1, at))];
    this.reading = { system: this.#systemOf(this.cursor), next: null };
    this.#place();
    this.#marks();
    this.#button(this.cursor)?.focus();
  }

  /** Return the id of the bar at a point of the screen. */
  barAt(x, y) {
    const found = document.elementsFromPoint(x, y).find((one) => one.classList.contains("bar"));
    return /** @type {HTMLElement|undefined} */ (found)?.dataset.bar ?? null;
  }

  get fit() {
    return this.#setting(this.work).fit;
  }

  #firstPlace() {
    const first = this.range.first;
    const at = this.work.sound.bars.findIndex((played) => played.bar === first);
    return Math.max(0, at);
  }

  #systemOf(id) {
    return Math.max(0, this.fit.systems.findIndex((system) => system.bars.includes(id)));
  }

  /** Return the system that is read after the present one; null where there is none. */
  #nextSystem(place, system, round) {
    const { bars } = this.work.sound;
    const last = round?.last ?? bars.length - 1;
    for (let at = place + 1; at <= last; at += 1) {
      const other = this.#systemOf(bars[at].bar);
      if (other !== system) return { work: this.work, system: other };
    }
    if (this.coming) return { work: this.coming, system: 0 };
    if (!round?.loop) return null;
    const first = this.#systemOf(bars[round.first].bar);
    return first === system ? null : { work: this.work, system: first };
  }

  /** Put the systems where they belong, and touch nothing if they are there already. */
  #place() {
    const { system, next } = this.reading;
    const own = this.#setting(this.work);
    const number = pageOf(own.fit, system);
    const usual = placeOf(own.fit, system);
    const kept = { ...usual, top: this.tops.get(`${this.work.id} ${system}`) ?? usual.top };
    const turns = next && (next.work !== this.work || pageOf(own.fit, next.system) !== number);
    const moved = next && Math.abs(kept.top - usual.top) > 1;
    const turned = `${next?.work.id} ${next?.system} after ${system} at ${kept.top}`;
    const name = `${this.work.id} ${turns || moved ? turned : number}`;
    if (name === this.shown) return;
    this.shown = name;
    this.tops.clear();
    if (turns || moved) this.#turn(own, kept, next);
    else this.#fill(this.#page(own, own.fit.pages[number]));
    this.#marks();
  }

  /** Let the lines that come stand about the one that is read. */
  #turn(own, kept, next) {
    const other = this.#setting(next.work);
    const page = other.fit.pages[pageOf(other.fit, next.system)];
    const rest = other === own ? page.filter((place) => place.system !== kept.system) : page;
    const places = around(rest, kept, next.system, this.host.clientHeight);
    const edge = element("div", { class: "edge", style: { top: `${kept.top - EDGE}px` } });
    const staying = this.#page(own, [kept]);
    this.#fill([...this.#page(other, places), ...staying, edge]);
  }

  get #focused() {
    return this.host.contains(document.activeElement);
  }

  /** Put other lines there; the bar that has the focus keeps it as long as it is in sight. */
  #fill(nodes) {
    const focused = this.#focused;
    this.host.replaceChildren(...nodes);
    if (focused) this.#button(this.cursor)?.focus();
  }

  #page(setting, places) {
    return places.map((place) => {
      const block = setting.blocks.get(place.system) ?? this.#block(setting, place.system);
      styled(block, { top: `${place.top}px` });
      this.tops.set(`${setting.work.id} ${place.system}`, place.top);
      return block;
    });
  }

  #setting(work) {
    let setting = this.settings.get(work.id);
    if (!setting) {
      this.space = this.#room();
      const width = this.host.clientWidth - 2 * MARGIN;
      const fit = fitted(work, width, this.host.clientHeight, this.size);
      setting = { work, fit, blocks: new Map() };
      this.settings.set(work.id, setting);
    }
    return setting;
  }

  #block(setting, number) {
    const { work, fit } = setting;
    const system = fit.systems[number];
    const svg = drawing(system.svg);
    svg.setAttribute("aria-hidden", "true");
    const bars = system.bars.map((id) => barButton(work, svg, id));
    const first = work.bars.find((bar) => bar.id === system.bars[0]);
    const top = bars[0]?.style.getPropertyValue("--staff") ?? "0";
    const counted = first?.number ? String(first.number) : "";
    const label = element("span", { class: "number", text: counted, style: { top } });
    label.setAttribute("aria-hidden", "true");
    const width = system.width * fit.scale;
    const left = (this.host.clientWidth - Math.max(...fit.systems.map((s) => s.width)) * fit.scale) / 2;
    const styles = { width: `${width}px`, height: `${system.height * fit.scale}px`, left: `${left}px` };
    const block = element("div", { class: "line", style: styles }, svg, ...bars, label);
    setting.blocks.set(number, block);
    return block;
  }

  #button(id) {
    if (!id) return null;
    return /** @type {HTMLElement|null} */ (this.host.querySelector(`[data-bar="${CSS.escape(id)}"]`));
  }

  #marks() {
    const { first, last } = this.range;
    const inside = first ? new Set(barsBetween(this.work, first, last ?? first)) : null;
    for (const button of this.host.querySelectorAll(".bar")) {
      const id = /** @type {HTMLElement} */ (button).dataset.bar;
      button.classList.toggle("sounding", id === this.sounding);
      button.classList.toggle("outside", Boolean(last && inside && !inside.has(id)));
      button.classList.toggle("first", id === first);
      button.classList.toggle("last", id === last);
      button.setAttribute("aria-pressed", String(Boolean(inside?.has(id))));
      button.setAttribute("tabindex", id === this.cursor ? "0" : "-1");
    }
  }
}
