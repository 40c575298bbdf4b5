/**
 * The list of what to practise today, and of all tunes; at the end, how it went.
 *
 * @typedef {import("./session.js").Session} Session
 * @typedef {import("./server.js").Item} Item
 */
import { byId, element } from "./dom.js";
import { keyName } from "./heading.js";
import { clockTime } from "./ledge.js";

/**
 * Show the items, each a button to begin with.
 *
 * @param {{title?: string, items: Item[], news?: string[], error?: string}} today
 * @param {(at: number) => void} begin
 */
export function showItems(today, begin) {
  byId("list-title").textContent = today.title || (today.items.length ? "Today" : "Music stand");
  byId("list-words").textContent = today.items.length ? total(today.items) : sentence(today.error);
  const news = (today.news ?? []).map((words) => element("p", { text: sentence(words) }));
  byId("news").replaceChildren(...news);
  const rows = today.items.map((item, at) => itemRow(item, () => begin(at), item.result ?? ""));
  byId("items").replaceChildren(...rows);
}

/**
 * Show how a session went.
 *
 * @param {Session} session
 * @param {(at: number) => void} begin
 */
export function showEnd(session, begin) {
  const minutes = Math.round(session.played / 60);
  byId("news").replaceChildren();
  byId("list-title").textContent = "That is all for now";
  const time = minutes ? `${minutes} ${minutes === 1 ? "minute" : "minutes"} played. ` : "";
  byId("list-words").textContent = `${time}Rest your hands and ears.`;
  const rows = session.items.map((item, at) => {
    return itemRow(item, () => begin(at), session.results.get(item.key) ?? "");
  });
  byId("items").replaceChildren(...rows);
}

/**
 * Show tunes to choose from.
 *
 * @param {{title: string, request: any, key?: string, feel?: string, error?: string}[]} tunes
 * @param {(tune: any) => void} begin
 */
export function showTunes(tunes, begin) {
  byId("shelf").hidden = !tunes.length;
  const rows = tunes.map((tune) => {
    const about = tune.error ?? [tune.key && keyName(tune.key), tune.feel].filter(Boolean).join(", ");
    const name = element("span", { class: "name", text: tune.title });
    const button = element("button", { type: "button" }, name, element("small", { text: about }));
    button.toggleAttribute("disabled", Boolean(tune.error));
    button.addEventListener("click", () => begin(tune));
    return element("li", {}, button);
  });
  byId("tunes").replaceChildren(...rows);
}

function itemRow(item, begin, result = "") {
  const name = element("span", { class: "name", text: item.title });
  const why = element("small", { text: item.why ?? "" });
  const time = item.seconds ? clockTime(item.seconds) : "";
  const side = element("span", { class: "side", text: result || time });
  const button = element("button", { type: "button", on: { click: begin } }, name, why, side);
  return element("li", {}, button);
}

function total(items) {
  const minutes = Math.round(items.reduce((sum, item) => sum + (item.seconds || 0), 0) / 60);
  return minutes ? `${minutes} minutes. Press any pedal to begin.` : "";
}

function sentence(words) {
  return words ? words.slice(0, 1).toUpperCase() + words.slice(1).replace(/\.?$/, ".") : "";
}
