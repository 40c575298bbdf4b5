/**
 * Elements of the page, made without any text being read as markup.
 */

/**
 * Make an element.
 *
 * @param {string} tag
 * @param {Object<string, any>} [properties]  `class`, `text`, `on` (listeners by event), `style`
 *     (custom properties and places, set one by one), else attributes.
 * @param {...Node} children
 * @returns {HTMLElement}
 */
export function element(tag, properties = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name === "class") made.className = value;
    else if (name === "text") made.textContent = value;
    else if (name === "on") listen(made, value);
    else if (name === "style") styled(made, value);
    else if (typeof value === "boolean") made.toggleAttribute(name, value);
    else made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

/**
 * Set styles through the object model, which a strict policy allows.
 *
 * @param {HTMLElement|SVGElement} target
 * @param {Object<string, string>} styles
 */
export function styled(target, styles) {
  for (const [name, value] of Object.entries(styles)) target.style.setProperty(name, value);
}

/**
 * Read a drawing. Only what draws is taken in: no scripts, no listeners, no outside references.
 *
 * @param {string} text
 * @returns {SVGSVGElement}
 */
export function drawing(text) {
  const read = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (read.localName !== "svg") throw new Error("this is no drawing");
  for (const node of [read, ...read.querySelectorAll("*")]) {
    if (/^(script|foreignObject|style|image|a)$/i.test(node.localName)) node.remove();
    for (const { name, value } of [...node.attributes]) {
      const points = name.endsWith("href") && !value.startsWith("#");
      if (points || name === "style" || name.startsWith("on")) node.removeAttribute(name);
    }
  }
  return /** @type {any} */ (document.importNode(read, true));
}

/** @param {string} id */
export function byId(id) {
  return /** @type {any} */ (document.getElementById(id));
}

function listen(target, listeners) {
  for (const [event, listener] of Object.entries(listeners)) {
    target.addEventListener(event, listener);
  }
}
