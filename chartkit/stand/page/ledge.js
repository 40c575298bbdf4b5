/**
 * The ledge under the music: what one touch does, what is said, how long it still goes.
 *
 * @typedef {import("./session.js").Session} Session
 */
import { byId, styled } from "./dom.js";
import { numbersOf } from "./work.js";

/**
 * Connect the ledge's buttons.
 *
 * @param {Session} session
 */
export function connectLedge(session) {
  byId("press").addEventListener("click", () => session.press());
  byId("next").addEventListener("click", () => session.next());
  byId("clean").addEventListener("click", () => session.judge("clean"));
  byId("not-yet").addEventListener("click", () => session.judge("not yet"));
}

/**
 * Show how things stand.
 *
 * @param {Session} session
 */
export function showLedge(session) {
  const { item, left, music } = session;
  const going = music.playing || music.waiting;
  write("press", going ? "Stop" : "Start");
  byId("press").classList.toggle("going", going);
  write("left", left === null ? "" : clockTime(left));
  write("words", music.waiting ? "Making the sound." : session.words || standing(session));
  const share = item?.seconds ? Math.min(1, session.spent / item.seconds) : 0;
  styled(byId("gone"), { "--gone": String(share) });
  const result = item && session.results.get(item.key);
  byId("clean").setAttribute("aria-pressed", String(result === "clean"));
  byId("not-yet").setAttribute("aria-pressed", String(result === "not yet"));
  byId("answers").hidden = !session.source.remembers;
  byId("next").hidden = session.items.length < 2;
}

/** Return what stands here, in a few words. */
function standing({ music, item }) {
  const { work, range } = music;
  if (range && !range.last) return "Now the last bar of the loop.";
  if (work?.caution && !music.playing) return work.caution;
  const numbers = work && range?.last && numbersOf(work, range.first, range.last);
  return numbers ? `Loop: bars ${numbers.join("\u2013")}.` : item?.why ?? "";
}

/**
 * Show a beat of the count-in.
 *
 * @param {number} count   From 1; 0 for none.
 */
export function showCount(count) {
  write("count", count ? String(count) : "");
}

/** @param {number} seconds */
export function clockTime(seconds) {
  const whole = Math.ceil(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

function write(id, text) {
  const target = byId(id);
  if (target.textContent !== text) target.textContent = text;
}
