/**
 * Which systems stand together on the screen, and how large.
 *
 * Conventions: pixels, from the upper edge of the space for music. A scale is pixels a point of
 * the engraving; a staff is some 20 points tall.
 *
 * @typedef {import("./work.js").System} System
 *
 * @typedef {Object} Fit
 * @property {System[]} systems
 * @property {number} scale
 * @property {Place[][]} pages
 *
 * @typedef {Object} Place
 * @property {number} system   Its number in the work.
 * @property {number} top
 * @property {number} height
 */

/** White between two systems at least, and at most where there is room. */
const GAP = 10;
const WIDE_GAP = 56;

/** The least scale for each size of music, and how far it may shrink so that all stands at once. */
const LEAST = [1.2, 1.8, 2.5];
const WHOLE = 1.15;

/** Shorter systems are taken where the music is larger for it by so much. */
const WORTH = 1.15;

/**
 * Fit systems to a space, so that a line and the one after it are always seen together.
 *
 * @param {{systems: System[], narrow?: System[]}} work
 * @param {number} width
 * @param {number} height
 * @param {number} size    0 ordinary, 1 large, 2 larger.
 * @returns {Fit}
 */
export function fitted(work, width, height, size) {
  const narrow = work.narrow?.length ? work.narrow : work.systems;
  const roomy = width / widest(work.systems) >= LEAST[size];
  const compared = roomy ? wholeScale : fullScale;
  const larger = compared(narrow, width, height) > WORTH * compared(work.systems, width, height);
  const systems = larger ? narrow : work.systems;
  const full = fullScale(systems, width, height);
  const whole = wholeScale(systems, width, height);
  const scale = whole < full && whole >= LEAST[size] * WHOLE ? whole : full;
  return { systems, scale, pages: packed(systems, scale, height) };
}

/** Return the scale at which all systems stand on the screen at once. */
function wholeScale(systems, width, height) {
  const room = height - GAP * (systems.length - 1);
  return Math.min(width / widest(systems), room / sum(systems.map((one) => one.height)));
}

/** Return the scale at which a system fills the width, and two of them are seen at once. */
function fullScale(systems, width, height) {
  return Math.min(width / widest(systems), pairScale(systems, height));
}

/** Return the scale at which any two neighbours fit the height, the last and the first too. */
function pairScale(systems, height) {
  if (systems.length === 1) return height / systems[0].height;
  const pairs = systems.map((one, n) => one.height + systems[(n + 1) % systems.length].height);
  return (height - GAP) / Math.max(...pairs);
}

/**
 * @param {System[]} systems
 * @param {number} scale
 * @param {number} height
 * @returns {Place[][]}
 */
function packed(systems, scale, height) {
  const pages = [[]];
  let foot = 0;
  systems.forEach((one, number) => {
    const tall = one.height * scale;
    if (foot && foot + tall > height + 0.5) {
      pages.push([]);
      foot = 0;
    }
    pages.at(-1).push({ system: number, top: foot, height: tall });
    foot += tall + GAP;
  });
  return pages.map((page) => spread(page, height));
}

/** Share out what white is left. */
function spread(page, height) {
  const last = page.at(-1);
  const spare = height - last.top - last.height;
  const more = Math.max(0, Math.min(WIDE_GAP - GAP, spare / page.length));
  return page.map((place, nth) => ({ ...place, top: place.top + more * nth }));
}

/**
 * Return the number of the page on which a system stands.
 *
 * @param {Fit} fit
 * @param {number} system
 */
export function pageOf(fit, system) {
  return fit.pages.findIndex((page) => page.some((place) => place.system === system));
}

/**
 * Return where a system stands on its page.
 *
 * @param {Fit} fit
 * @param {number} system
 * @returns {Place}
 */
export function placeOf(fit, system) {
  return fit.pages[pageOf(fit, system)].find((place) => place.system === system);
}

/**
 * Return a page with room left for a system that is still being read: those that would stand in
 * its way wait, but the one that comes next is always there.
 *
 * @param {Place[]} page
 * @param {Place} kept
 * @param {number} next     The system that is read after it.
 * @param {number} height
 * @returns {Place[]}
 */
export function around(page, kept, next, height) {
  const free = (place) => place.top >= foot(kept) + GAP / 2 || foot(place) <= kept.top - GAP / 2;
  const clear = page.filter(free);
  if (clear.some((place) => place.system === next)) return clear;
  const coming = page.find((place) => place.system === next);
  const under = foot(kept) + GAP + coming.height <= height + 0.5;
  const moved = { ...coming, top: under ? foot(kept) + GAP : 0 };
  return [moved];
}

function foot(place) {
  return place.top + place.height;
}

function widest(systems) {
  return Math.max(...systems.map((one) => one.width));
}

function sum(numbers) {
  return numbers.reduce((total, one) => total + one, 0);
}
