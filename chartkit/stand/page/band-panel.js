/**
 * The band: how loud each part is, which of them are silent, and what clicks.
 *
 * @typedef {import("./music.js").Music} Music
 */
import { CLICK_WAYS } from "./click.js";
import { choice, group, newId, onOff } from "./controls.js";
import { element } from "./dom.js";

/** Levels in dB. */
const SOFTEST = -30;
const LOUDEST = 6;

const NAMES = { bass: "Bass", chords: "Chords", drums: "Drums", line: "Line", click: "Click" };

/**
 * @param {Music} music
 * @returns {{node: HTMLElement, update: () => void}}
 */
export function bandPanel(music) {
  const rows = element("div", {});
  const ways = CLICK_WAYS.map(({ name, words }) => ({ value: name, words }));
  const click = choice("Click on", ways, (name) => {
    music.click.choose(name);
    music.changed();
  });
  const fresh = onOff("Another take each time round", (on) => music.climb({ fresh: on }));
  let shown = "";
  return {
    node: group("Band", rows, click.node, fresh.node),
    update() {
      const parts = partsOf(music);
      if (parts.join() !== shown) rows.replaceChildren(...parts.map((part) => row(music, part)));
      shown = parts.join();
      click.select.value = music.click.way.name;
      fresh.box.checked = music.steps.fresh;
      fresh.node.hidden = !music.free;
      for (const one of rows.children) /** @type {any} */ (one).show?.();
    },
  };
}

/**
 * Return the parts that can be heard, the click last.
 *
 * @param {Music} music
 * @returns {string[]}
 */
export function partsOf(music) {
  const named = music.work?.sound.parts.map((part) => part.name) ?? [];
  return [...named.filter((name) => name !== "click"), "click"];
}

function row({ player, changed }, part) {
  const name = NAMES[part] ?? part;
  const box = element("input", { type: "checkbox", id: newId() });
  const label = element("label", { for: box.id, text: name });
  const range = { type: "range", min: SOFTEST, max: LOUDEST, step: 1 };
  const slider = element("input", { ...range, "aria-label": `${name}: level in decibels` });
  box.addEventListener("change", () => {
    player.set(part, { silent: !(/** @type {HTMLInputElement} */ (box).checked) });
    changed();
  });
  slider.addEventListener("input", () => {
    player.set(part, { level: Number(/** @type {HTMLInputElement} */ (slider).value) });
  });
  const made = element("p", { class: "row level" }, box, label, slider);
  /** @type {any} */ (made).show = () => {
    const { level, silent } = player.setting(part);
    Object.assign(box, { checked: !silent });
    if (document.activeElement !== slider) Object.assign(slider, { value: String(level) });
  };
  return made;
}
