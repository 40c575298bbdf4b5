/**
 * Controls of the drawer: each a label and what it labels.
 */
import { element } from "./dom.js";

let numbered = 0;

/**
 * Return a heading with controls under it.
 *
 * @param {string} title
 * @param {...Node} controls
 */
export function group(title, ...controls) {
  const legend = element("legend", { text: title });
  return element("fieldset", {}, legend, ...controls);
}

/**
 * Return a labelled choice.
 *
 * @param {string} label
 * @param {{value: string, words: string}[]} options
 * @param {(value: string) => void} chosen
 */
export function choice(label, options, chosen) {
  const select = /** @type {HTMLSelectElement} */ (element("select", { id: newId() }));
  const fill = (rows) => {
    const made = rows.map(({ value, words }) => element("option", { value, text: words }));
    select.replaceChildren(...made);
  };
  fill(options);
  select.addEventListener("change", () => chosen(select.value));
  const name = element("label", { for: select.id, text: label });
  return { node: element("p", { class: "row" }, name, select), select, fill };
}

/**
 * Return a labelled switch.
 *
 * @param {string} label
 * @param {(on: boolean) => void} turned
 */
export function onOff(label, turned) {
  const box = /** @type {HTMLInputElement} */ (element("input", { type: "checkbox", id: newId() }));
  box.addEventListener("change", () => turned(box.checked));
  const name = element("label", { for: box.id, text: label });
  return { node: element("p", { class: "row tick" }, box, name), box };
}

/**
 * Return a labelled number with a button for less and one for more.
 *
 * @param {string} label
 * @param {{min: number, max: number, step: number}} bounds
 * @param {(value: number) => void} changed
 */
export function amount(label, { min, max, step }, changed) {
  const properties = { type: "number", id: newId(), min, max, step: "any", inputmode: "numeric" };
  const field = /** @type {HTMLInputElement} */ (element("input", properties));
  const settle = (value) => {
    const inside = Math.min(max, Math.max(min, value || min));
    field.value = String(inside);
    changed(inside);
  };
  field.addEventListener("change", () => settle(Number(field.value)));
  const move = (by) => () => settle(Math.round(Number(field.value) / step) * step + by);
  const less = button("\u2212", move(-step), `${label}: less`);
  const more = button("+", move(step), `${label}: more`);
  const name = element("label", { for: field.id, text: label });
  return { node: element("p", { class: "row amount" }, name, less, field, more), field };
}

/**
 * Return a button.
 *
 * @param {string} text
 * @param {() => void} pressed
 * @param {string} [label]  What is said of it, where the text is no word.
 */
export function button(text, pressed, label = "") {
  const made = element("button", { type: "button", text, on: { click: pressed } });
  if (label) made.setAttribute("aria-label", label);
  return /** @type {HTMLButtonElement} */ (made);
}

/**
 * Set a control's value unless it is being changed.
 *
 * @param {HTMLInputElement|HTMLSelectElement} control
 * @param {string|number} value
 */
export function assign(control, value) {
  if (document.activeElement !== control) control.value = String(value);
}

/** Return an id for an element that a label points at. */
export function newId() {
  numbered += 1;
  return `control-${numbered}`;
}
