/**
 * The page itself: light or dark, how large, what is beside the music; and what the keys do.
 *
 * @typedef {import("./session.js").Session} Session
 * @typedef {import("./look.js").Look} Look
 */
import { button, choice, group, onOff } from "./controls.js";
import { element } from "./dom.js";
import { KEY_WORDS } from "./pedal.js";

const THEMES = [
  { value: "machine", words: "as this machine" },
  { value: "light", words: "light" },
  { value: "dark", words: "dark" },
];
const SIZES = [
  { value: "0", words: "ordinary" },
  { value: "1", words: "large" },
  { value: "2", words: "larger" },
];

/**
 * @param {Session} session
 * @param {{look: Look, set: (changes: Object<string, any>) => void, quiet: () => void,
 *     leave: () => void}} page
 * @returns {{node: HTMLElement, update: () => void}}
 */
export function pagePanel(session, page) {
  const theme = choice("Paper", THEMES, (value) => page.set({ theme: value }));
  const size = choice("Print", SIZES, (value) => page.set({ size: Number(value) }));
  const strong = onOff("Full contrast", (on) => page.set({ strong: on }));
  const neck = onOff("The neck beside the music", (on) => page.set({ neck: on }));
  const goesOn = onOff("The next item follows by itself", (on) => page.set({ goesOn: on }));
  const away = element("div", { class: "labels" });
  away.append(button("Only the music", page.quiet), button("The list", page.leave));
  return {
    node: group("Page", theme.node, size.node, strong.node, neck.node, goesOn.node, away),
    update() {
      theme.select.value = page.look.theme;
      size.select.value = String(page.look.size);
      strong.box.checked = page.look.strong;
      neck.box.checked = page.look.neck;
      goesOn.box.checked = page.look.goesOn;
      neck.node.hidden = !session.music.work?.shape && !session.music.work?.shapes?.length;
      goesOn.node.hidden = session.items.length < 2;
    },
  };
}

/** Return the list of keys, folded away. */
export function keysPanel() {
  const rows = KEY_WORDS.map(([keys, words]) => {
    return element("div", {}, element("dt", { text: keys }), element("dd", { text: words }));
  });
  const title = element("summary", { text: "Keys and pedals" });
  return { node: element("details", {}, title, element("dl", {}, ...rows)), update() {} };
}
