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
    node: group("Loop", sections, whole, hint, kind.node, position.node),
    update() {
      const { work } = music;
      const labels = music.parted ? [...new Set(work.sections.map(({ part }) => part))] : [];
      if (labels.join() !== shown) {
        sections.replaceChildren(...labels.map((label) => button(label, () => toggle(music, label))));
      }
      shown = labels.join();
      for (const one of sections.children) {
        const chosen = music.sections?.includes(one.textContent ?? "") ?? false;
        one.setAttribute("aria-pressed", String(chosen));
      }
      const exercise = work?.request.exercise;
      const tune = music.parted && choices.kinds.length > 0;
      kind.node.hidden = !tune;
      position.node.hidden = !tune || !exercise;
      assign(kind.select, exercise?.kind ?? "");
      assign(position.select, exercise?.position ?? 5);
    },
  };
}

function toggle(music, label) {
  const chosen = music.sections ?? [];
  const without = chosen.filter((one) => one !== label);
  music.join(without.length < chosen.length ? without : [...chosen, label]);
}

function ask(music, kind, position) {
  music.exercise(kind ? { kind, position } : null);
}

function kindRow({ name, title }) {
  return { value: name, words: title };
}
