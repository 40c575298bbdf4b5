/**
 * The music stand: everything put together, and the one loop that follows the audio clock.
 *
 * @typedef {import("./server.js").Item} Item
 */
import { bandPanel, partsOf } from "./band-panel.js";
import { CLICK_WAYS, Click } from "./click.js";
import { byId } from "./dom.js";
import { showHeading } from "./heading.js";
import { connectLedge, showCount, showLedge } from "./ledge.js";
import { showEnd, showItems, showTunes } from "./list.js";
import { applyLook, readLook } from "./look.js";
import { loopPanel } from "./loop-panel.js";
import { Neck } from "./neck.js";
import { FASTEST, SLOWEST, pacePanel } from "./pace-panel.js";
import { keysPanel, pagePanel } from "./page-panel.js";
import { connectPedal } from "./pedal.js";
import { connectPencil } from "./pencil.js";
import { Player } from "./player.js";
import { Saved } from "./saved.js";
import { Score } from "./score.js";
import { Server } from "./server.js";
import { Session } from "./session.js";
import { Sounds } from "./sounds.js";
import { Wake, keepSounding } from "./wake.js";

/** Frames a second of all sound here: the files' own, so that a frame of theirs stays a frame. */
const RATE = 44100;

/** Milliseconds between two looks at what is due. */
const TENDING = 50;

/** Milliseconds for which a finger has to rest on quiet music to bring the rest back. */
const LONG_TOUCH = 700;

const held = byId("saved");
const token = /** @type {HTMLMetaElement} */ (document.querySelector("meta[name=stand-token]"));
const source = held ? new Saved(held.textContent) : new Server(token.content);
const context = new AudioContext({ sampleRate: RATE, latencyHint: "interactive" });
const player = new Player(context);
const click = new Click(player);
const sounds = new Sounds(context, (href) => source.sound(href));
const session = new Session({ source, player, click, sounds, changed });
const score = new Score(byId("music"));
const neck = new Neck();
const wake = new Wake();
const page = { look: readLook(), set: setLook, quiet: () => setQuiet(true), leave };
let panels = [];
let quiet = false;
let dirty = true;
let ended = false;

/** Note that something is to be shown anew, once, in the next frame. */
function changed() {
  dirty = true;
}

/** Show what has changed. */
function show() {
  dirty = false;
  wake.want(session.playing);
  if (session.finished && !ended) end();
  ended = session.finished;
  if (byId("stand").hidden) return;
  if (session.work) {
    score.show(session.work);
    score.expect(session.coming);
    score.bracket(session.range?.first ?? null, session.range?.last ?? null);
    if (!session.playing) score.read(session.place < 0 ? null : session.place, roundOf());
  }
  showHeading(session.work);
  showLedge(session);
  for (const panel of panels) panel.update();
}

/** Return what goes round, as places among the played bars. */
function roundOf() {
  const stretch = player.voices.at(-1)?.stretch;
  return stretch && { first: stretch.first, last: stretch.last, loop: stretch.loop };
}

/** Follow the sound, frame by frame of the screen. */
function frame() {
  requestAnimationFrame(frame);
  const now = session.playing ? session.follow(heard()) : null;
  if (dirty) show();
  if (now) follow(now);
  neck.show(session.work, now && now.place >= 0 ? now.seconds : null, page.look.neck && !quiet);
}

function follow(now) {
  const { stretch, counts } = now.voice;
  if (now.place >= 0) {
    score.read(now.place, { first: stretch.first, last: stretch.last, loop: stretch.loop });
    return;
  }
  score.read(null, { first: stretch.first, last: stretch.last, loop: stretch.loop });
  const count = counts.filter((at) => at <= heard()).length;
  if (count) showCount(count);
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

/** @param {Item[]} items */
async function begin(items, at) {
  context.resume();
  byId("list").hidden = true;
  byId("stand").hidden = false;
  session.steps.keys = "";
  await session.open(items, at);
}

function leave() {
  session.leave();
  setQuiet(false);
  openDrawer(false);
  byId("stand").hidden = true;
  byId("list").hidden = false;
  byId("list-title").focus();
}

function end() {
  leave();
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

/** @param {boolean} on  Only the music. */
function setQuiet(on) {
  quiet = on;
  document.documentElement.toggleAttribute("data-quiet", on);
  if (on) openDrawer(false);
  byId("loud").hidden = !on;
  if (!byId("stand").hidden) score.relay();
  changed();
}

function openDrawer(open) {
  byId("drawer").hidden = !open;
  byId("set-up").setAttribute("aria-expanded", String(open));
}

function escape() {
  if (quiet) setQuiet(false);
  else if (!byId("drawer").hidden) openDrawer(false);
  else if (session.range) session.clearRange();
  changed();
}

/** Mark the bar that sounds as the first or the last of the loop. */
function markHere(last) {
  const bar = session.work?.sound.bars[session.place]?.bar;
  if (!bar) return;
  const first = session.range?.first ?? session.work.bars[0].id;
  if (last) session.chooseRange(first, bar);
  else session.chooseRange(bar, session.range?.last ?? session.work.bars.at(-1).id);
}

function silence(place) {
  const part = partsOf(session)[place];
  if (!part || part === "click") return;
  player.set(part, { silent: !player.setting(part).silent });
  changed();
}

function otherClick() {
  const at = CLICK_WAYS.indexOf(click.way);
  click.choose(CLICK_WAYS[(at + 1) % CLICK_WAYS.length].name);
  session.say(`Click: ${click.way.words}.`);
}

function hurry(by) {
  const { tempo } = session.wanted ?? session.work ?? {};
  if (tempo) session.hurry(Math.min(FASTEST, Math.max(SLOWEST, Math.round(tempo / 5) * 5 + by)));
}

function connect() {
  connectLedge(session);
  connectPencil(byId("music"), score, session, () => quiet);
  byId("set-up").addEventListener("click", () => openDrawer(byId("drawer").hidden));
  byId("loud").addEventListener("click", () => setQuiet(false));
  const onStand = (deed) => () => {
    if (!byId("stand").hidden) deed();
    else if (session.items.length || waiting.length) begin(waiting, 0);
  };
  const deeds = { press: () => session.press(), next: () => session.next() };
  const pedals = { forward: () => session.forward(), back: () => session.back() };
  const all = { ...deeds, ...pedals, step: (steps) => score.step(steps) };
  const named = Object.entries(all).map(([name, deed]) => {
    return [name, (...given) => onStand(() => deed(...given))()];
  });
  connectPedal({ ...Object.fromEntries(named), others: otherKeys() });
  connectQuiet();
}

function otherKeys() {
  const keys = {
    c: () => session.judge("clean"),
    n: () => session.judge("not yet"),
    "[": () => markHere(false),
    "]": () => markHere(true),
    0: () => session.clearRange(),
    Backspace: () => session.clearRange(),
    "+": () => hurry(5),
    "=": () => hurry(5),
    "-": () => hurry(-5),
    k: otherClick,
    q: () => setQuiet(!quiet),
    s: () => openDrawer(byId("drawer").hidden),
    Escape: escape,
  };
  for (const place of [0, 1, 2, 3]) keys[place + 1] = () => silence(place);
  const guarded = (deed) => () => byId("stand").hidden || deed();
  return Object.fromEntries(Object.entries(keys).map(([key, deed]) => [key, guarded(deed)]));
}

/** While only the music shows, a touch starts and stops, and a long one brings all back. */
function connectQuiet() {
  let timer = 0;
  const desk = byId("desk");
  desk.addEventListener("pointerdown", () => {
    if (!quiet) return;
    timer = setTimeout(() => setQuiet((timer = 0) > 0), LONG_TOUCH);
  });
  desk.addEventListener("pointerup", () => {
    if (quiet && timer) session.press();
    clearTimeout(timer);
    timer = 0;
  });
}

/** What a pedal begins with while the list shows. */
let waiting = [];

async function load() {
  const today = await source.today().catch((error) => ({ items: [], error: error.message }));
  waiting = today.items;
  showItems(today, (at) => begin(today.items, at));
  const { tunes, choices = { kinds: [] } } = await source.tunes().catch(() => ({ tunes: [] }));
  showTunes(tunes, (tune) => begin([tuneItem(tune)], 0));
  panels = [bandPanel(session), pacePanel(session), loopPanel(session, choices)];
  panels.push(pagePanel(session, page), keysPanel());
  byId("drawer").replaceChildren(...panels.map((panel) => panel.node));
  changed();
}

function tuneItem(tune) {
  return { key: tune.request.tune, title: tune.title, seconds: 0, request: tune.request };
}

setLook({});
connect();
keepSounding(context, () => session.playing, (words) => session.say(words));
setInterval(() => {
  session.tend();
}, TENDING);
setInterval(() => session.spend(1), 1000);
requestAnimationFrame(frame);
const loaded = load();

/** For a look inside from the browser's console; nothing here depends on it. */
Object.assign(globalThis, { stand: { session, player, click, score, sounds, loaded, heard } });
