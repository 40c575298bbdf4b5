/**
 * What goes round: sections, joined in the order they are touched, or bars marked on the music;
 * and what is played over it.
 *
 * @typedef {import("./music.js").Music} Music
 */
import { assign, button, choice, group } from "./controls.js";
import { element } from "./dom.js";

/** Frets of the first finger that can be asked for. */
const POSITIONS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];

/**
 * @param {Music} music
 * @param {{kinds: {name: string, title: string}[]}} choices
 * @returns {{node: HTMLElement, update: () => void}}
 */
export function loopPanel(music, choices) {
  const sections = element("div", { class: "labels", role: "group", "aria-label": "Sections to join" });
  const joins = element("div", { class: "labels", role: "group", "aria-label": "From one section to the next" });
  const whole = button("All of it", () => {
    if (music.range || !music.parted) music.clearRange();
    else music.join([]);
  });
  const hint = element("p", { text: "Or touch the first and the last bar on the music." });
  const kinds = [{ value: "", words: "the chart" }, ...choices.kinds.map(kindRow)];
  const kind = choice("Play", kinds, (name) => ask(music, name, Number(position.select.value)));
  const frets = POSITIONS.map((fret) => ({ value: String(fret), words: `position ${fret}` }));
  const position = choice("in", frets, (fret) => ask(music, kind.select.value, Number(fret)));
  let shown = "";
  return {
    node: group("Loop", sections, joins, whole, hint, kind.node, position.node),
    update() {
      const { work } = music;
      const parts = music.parted ? work.sections : [];
      const names = parts.map(({ part }) => part).join();
      if (names !== shown) {
        sections.replaceChildren(...parts.filter((one) => !isJoin(one)).map(row(music, toggle)));
        joins.replaceChildren(...parts.filter(isJoin).map(row(music, only)));
      }
      shown = names;
      for (const one of [...sections.children, ...joins.children]) {
        const { part } = /** @type {HTMLElement} */ (one).dataset;
        one.setAttribute("aria-pressed", String(music.sections?.includes(part) ?? false));
      }
      const exercise = work?.request.exercise;
      const tune = music.free && choices.kinds.length > 0;
      kind.node.hidden = !tune;
      position.node.hidden = !tune || !exercise;
      assign(kind.select, exercise?.kind ?? "");
      assign(position.select, exercise?.position ?? 5);
    },
  };
}

/** Two bars of one section and two of the next. */
function isJoin({ part }) {
  return part.includes(">");
}

/** Return what makes a button of a part. */
function row(music, pressed) {
  return ({ label, part }) => {
    const made = button(label, () => pressed(music, part));
    made.dataset.part = part;
    return made;
  };
}

function toggle(music, part) {
  const chosen = (music.sections ?? []).filter((one) => !isJoin({ part: one }));
  const without = chosen.filter((one) => one !== part);
  music.join(without.length < chosen.length ? without : [...chosen, part]);
}

function only(music, part) {
  music.join(music.sections?.includes(part) ? [] : [part]);
}

function ask(music, kind, position) {
  music.exercise(kind ? { kind, position } : null);
}

function kindRow({ name, title }) {
  return { value: name, words: title };
}
