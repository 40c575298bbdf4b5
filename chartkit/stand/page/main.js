/**
 * The music stand: everything put together, and the one loop that follows the audio clock.
 *
 * @typedef {import("./server.js").Item} Item
 */
import { bandPanel } from "./band-panel.js";
import { Click } from "./click.js";
import { otherDeeds } from "./deeds.js";
import { byId } from "./dom.js";
import { showHeading } from "./heading.js";
import { connectLedge, showCount, showLedge } from "./ledge.js";
import { showEnd, showItems, showTunes } from "./list.js";
import { applyLook, readLook } from "./look.js";
import { loopPanel } from "./loop-panel.js";
import { Music } from "./music.js";
import { Neck } from "./neck.js";
import { pacePanel } from "./pace-panel.js";
import { keysPanel, pagePanel } from "./page-panel.js";
import { connectPedal } from "./pedal.js";
import { connectPencil } from "./pencil.js";
import { Player } from "./player.js";
import { Quiet } from "./quiet.js";
import { Saved } from "./saved.js";
import { Score } from "./score.js";
import { Server } from "./server.js";
import { Session } from "./session.js";
import { Sounds } from "./sounds.js";
import { Wake, keepSounding } from "./wake.js";

/** Frames a second of all sound here: the files' own, so that a frame of theirs stays a frame. */
const RATE = 44100;

/** Milliseconds between two looks at what is due, and between two counts of the time. */
const TENDING = 50;
const COUNTING = 1000;

const held = byId("saved");
const token = /** @type {HTMLMetaElement} */ (document.querySelector("meta[name=stand-token]"));
const source = held ? new Saved(held.textContent) : new Server(token.content);
const context = new AudioContext({ sampleRate: RATE, latencyHint: "interactive" });
const player = new Player(context);
const click = new Click(player);
const sounds = new Sounds(context, (href) => source.sound(href));
const say = (words) => session.say(words);
const music = new Music({ source, player, click, sounds, changed, say });
const session = new Session({ source, music, changed });
const score = new Score(byId("music"));
const neck = new Neck();
const wake = new Wake();
const quiet = new Quiet({ press: () => session.press(), changed: relay });
const page = { look: readLook(), set: setLook, quiet: () => setQuiet(true), leave };

/** What is to be shown anew in the next frame, and what fills the drawer. */
const screen = { dirty: true, ended: false, panels: [], waiting: [], today: { items: [] } };

function changed() {
  screen.dirty = true;
}

function relay() {
  if (onStand()) score.relay();
  changed();
}

function onStand() {
  return !byId("stand").hidden;
}

/** Show what has changed. */
function show() {
  screen.dirty = false;
  wake.want(music.playing);
  if (session.finished && !screen.ended) end();
  screen.ended = session.finished;
  if (!onStand()) return;
  if (music.work) showMusic();
  showHeading(music.work);
  showLedge(session);
  for (const panel of screen.panels) panel.update();
}

function showMusic() {
  score.show(music.work);
  score.expect(music.coming);
  score.bracket(music.range?.first ?? null, music.range?.last ?? null);
  if (!music.playing) score.read(music.place < 0 ? null : music.place);
}

/** Follow the sound, frame by frame of the screen. */
function frame() {
  requestAnimationFrame(frame);
  const now = music.playing ? music.follow(heard()) : null;
  if (screen.dirty) show();
  if (now) follow(now);
  else showCount(0);
  neck.show(music.work, now && now.place >= 0 ? now.seconds : null, page.look.neck && !quiet.on);
}

function follow(now) {
  const { first, last, loop } = now.voice.stretch;
  const counting = now.place < 0;
  score.read(counting ? null : now.place, { first, last, loop });
  showCount(counting ? now.voice.counts.filter((at) => at <= heard()).length : 0);
}

/** Do what is due; while the page is hidden there are no frames, and the sound is followed here. */
function tend() {
  if (document.hidden && music.playing) music.follow(heard());
  session.tend();
}

/** Return the time of the audio clock that reaches the ear now. */
function heard() {
  const stamp = context.getOutputTimestamp?.();
  if (stamp?.contextTime && context.state === "running") {
    const since = (performance.now() - stamp.performanceTime) / 1000;
    if (since >= 0 && since < 1) return stamp.contextTime + since;
  }
  return context.currentTime - (context.outputLatency || context.baseLatency || 0);
}

/**
 * Put items on the stand, and one of them first.
 *
 * @param {Item[]} items
 * @param {number} at
 */
function begin(items, at) {
  context.resume();
  byId("list").hidden = true;
  byId("stand").hidden = false;
  session.open(items, at);
}

/** Go back to the list, with how things went so far. */
function leave() {
  session.leave();
  showToday();
  quiet.set(false);
  openDrawer(false);
  byId("stand").hidden = true;
  byId("list").hidden = false;
  byId("list-title").focus();
}

function showToday() {
  const { items } = screen.today;
  const result = (item) => session.results.get(item.key) ?? item.result;
  const gone = items.map((item) => ({ ...item, result: result(item) }));
  showItems({ ...screen.today, items: gone }, (at) => begin(items, at));
}

function end() {
  leave();
  screen.waiting = session.items;
  showEnd(session, (at) => begin(session.items, at));
}

/** @param {Object<string, any>} changes */
function setLook(changes) {
  page.look = { ...page.look, ...changes };
  applyLook(page.look);
  session.goesOn = page.look.goesOn;
  score.resize(page.look.size);
  changed();
}

function setQuiet(on) {
  if (on) openDrawer(false);
  quiet.set(on);
}

function openDrawer(open) {
  byId("drawer").hidden = !open;
  byId("set-up").setAttribute("aria-expanded", String(open));
}

function toggleDrawer() {
  if (!quiet.on) openDrawer(byId("drawer").hidden);
}

/** Go back by one: from quiet, from the drawer, from a loop. */
function escape() {
  if (quiet.on) quiet.set(false);
  else if (!byId("drawer").hidden) openDrawer(false);
  else if (music.range) music.clearRange();
  changed();
}

/** Connect buttons, touches and keys. Any pedal begins with the first item of the list. */
function connect() {
  connectLedge(session);
  connectPencil(byId("music"), score, music, () => quiet.on);
  byId("set-up").addEventListener("click", toggleDrawer);
  const first = () => screen.waiting.length && begin(screen.waiting, 0);
  const either = (deed) => (...given) => (onStand() ? deed(...given) : first());
  const page = { quiet: () => setQuiet(!quiet.on), drawer: toggleDrawer, escape };
  const others = Object.entries(otherDeeds(session, music, page));
  connectPedal({
    press: either(() => session.press()),
    next: () => onStand() && session.next(),
    forward: either(() => session.forward()),
    back: either(() => session.back()),
    step: (steps) => score.step(steps),
    others: Object.fromEntries(others.map(([key, deed]) => [key, () => onStand() && deed()])),
  });
}

async function load() {
  screen.today = await source.today().catch((error) => ({ items: [], error: error.message }));
  screen.waiting = screen.today.items;
  showToday();
  const none = { tunes: [], choices: { kinds: [] } };
  const { tunes, choices } = await source.tunes().catch(() => none);
  showTunes(tunes, (tune) => begin([tuneItem(tune)], 0));
  screen.panels = [bandPanel(music), pacePanel(music), loopPanel(music, choices)];
  screen.panels.push(pagePanel(session, page), keysPanel());
  byId("drawer").replaceChildren(...screen.panels.map((panel) => panel.node));
  changed();
  if (isAlone(screen.waiting)) begin(screen.waiting, 0);
}

/** One thing to play for as long as one likes needs no list before it. */
function isAlone(items) {
  return items.length === 1 && !items[0].seconds;
}

function tuneItem({ title, request }) {
  return { key: request.tune, title, seconds: 0, request };
}

setLook({});
connect();
keepSounding(context, () => music.playing, say);
addEventListener("pagehide", () => session.leave());
setInterval(tend, TENDING);
setInterval(() => session.spend(COUNTING / 1000), COUNTING);
requestAnimationFrame(frame);
const loaded = load();

/** For a look inside from the browser's console; nothing here depends on it. */
Object.assign(globalThis, { stand: { session, music, player, click, score, sounds, loaded, heard } });
