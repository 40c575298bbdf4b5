/**
 * The bars of a drawing as buttons that lie over them.
 *
 * @typedef {import("./work.js").Work} Work
 */
import { element } from "./dom.js";
import { spokenBar } from "./work.js";

/**
 * Return the button that lies over a bar: to touch, to focus, to light.
 *
 * @param {Work} work
 * @param {SVGSVGElement} svg  The drawing of its system.
 * @param {string} id
 */
export function barButton(work, svg, id) {
  const box = boxOf(svg, id);
  const style = {
    left: `${100 * box.left}%`,
    width: `${100 * (box.right - box.left)}%`,
    "--staff": `${100 * box.top}%`,
    "--under": `${100 * (1 - box.bottom)}%`,
  };
  const name = spokenBar(work, id);
  return element("button", { class: "bar", type: "button", "data-bar": id, "aria-label": name, style });
}

/** Return where a bar's staves lie in a system, as shares of its width and height. */
function boxOf(svg, id) {
  const view = (svg.querySelector("svg") ?? svg).getAttribute("viewBox").split(/\s+/).map(Number);
  const lines = [...svg.querySelectorAll(`[id="${CSS.escape(id)}"] > .staff > path`)];
  const ends = lines.map((line) => line.getAttribute("d").match(/-?[\d.]+/g).map(Number));
  if (!ends.length) return { left: 0, right: 1, top: 0, bottom: 1 };
  const across = ends.flatMap(([x1, , x2]) => [x1, x2]).map((x) => (x - view[0]) / view[2]);
  const down = ends.flatMap(([, y1, , y2]) => [y1, y2]).map((y) => (y - view[1]) / view[3]);
  const box = { left: Math.min(...across), right: Math.max(...across) };
  return { ...box, top: Math.min(...down), bottom: Math.max(...down) };
}
