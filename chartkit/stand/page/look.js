/**
 * How the page looks and behaves, as the player wants it, kept in this browser.
 *
 * @typedef {Object} Look
 * @property {"machine"|"light"|"dark"} theme
 * @property {boolean} strong   Full contrast.
 * @property {number} size      0 ordinary, 1 large, 2 larger.
 * @property {boolean} neck
 * @property {boolean} goesOn   The next item follows by itself.
 */

const NAME = "chartkit-stand";

/** @type {Look} */
const USUAL = { theme: "machine", strong: false, size: 0, neck: true, goesOn: true };

/** @returns {Look} */
export function readLook() {
  try {
    return { ...USUAL, ...JSON.parse(localStorage.getItem(NAME) ?? "{}") };
  } catch {
    return USUAL; // No storage here: the look lasts as long as the page.
  }
}

/**
 * Show a look, and keep it where that is possible.
 *
 * @param {Look} look
 */
export function applyLook(look) {
  const { dataset } = document.documentElement;
  dataset.theme = look.theme;
  dataset.size = String(look.size);
  document.documentElement.toggleAttribute("data-strong", look.strong);
  try {
    localStorage.setItem(NAME, JSON.stringify(look));
  } catch {
    // No storage here: the look lasts as long as the page.
  }
}
