/**
 * What stands over the music, as on paper: feel and tempo left, the title, key and composer right.
 *
 * @typedef {import("./work.js").Work} Work
 */
import { byId, element } from "./dom.js";

/** A quarter note among letters, in SMuFL, the Standard Music Font Layout. */
const QUARTER = "\ueca5";

const SPOKEN = { role: "img", "aria-label": "quarter note" };

/** Signs of a key's name. */
const SIGNS = { b: "\u266d", "#": "\u266f" };

/** @param {Work|null} work */
export function showHeading(work) {
  byId("title").textContent = work?.title ?? "";
  document.title = work?.title || "Music stand";
  byId("subtitle").textContent = work?.subtitle ?? "";
  const feel = work?.feel ? capital(work.feel) : "";
  const tempo = element("span", { class: "tempo" });
  if (work) {
    const note = element("span", { class: "note", text: QUARTER, ...SPOKEN });
    tempo.append(note, ` = ${Math.round(work.tempo * 10) / 10}`);
  }
  byId("pace").replaceChildren(feel ? `${feel}\u2003` : "", tempo);
  const origin = [work?.key ? keyName(work.key) : "", work?.composer ?? ""];
  byId("origin").textContent = origin.filter(Boolean).join("\u2003");
}

/**
 * Return a key's name as it is printed.
 *
 * @param {string} key   Such as "Bb major".
 */
export function keyName(key) {
  return key.replace(/^([A-G])([b#])/, (_, letter, sign) => letter + SIGNS[sign]);
}

function capital(words) {
  return words.slice(0, 1).toUpperCase() + words.slice(1);
}
