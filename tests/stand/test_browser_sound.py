"""The page's sound measured in the page: every sample of it, rendered by the browser offline."""

from __future__ import annotations

import pytest
from stand.browser_fixtures import browser, new_page, stand

__all__ = ["browser", "new_page", "stand"]

HELP = """
const { Player } = await import("/player.js");
const { wholeStretch, cutStretch, JOIN } = await import("/stretch.js");
const { Click } = await import("/click.js");

/** Bars of `frames` frames each after `start` frames of count-in, with four beats a bar. */
function workOf({ rate, bars, frames, start = 0, loop = true, id = "work" }) {
  const at = (n) => (start + n * frames) / rate;
  const numbers = Array.from({ length: bars }, (_, n) => n);
  const beats = numbers.flatMap((n) => [0, 1, 2, 3].map((beat) => at(n + beat / 4)));
  const countIn = start ? [0, 1, 2, 3].map((beat) => (beat * start) / 4 / rate) : [];
  const played = numbers.map((n) => ({ bar: `bar-${n + 1}`, start: at(n), end: at(n + 1) }));
  const total = start + bars * frames;
  const sound = { rate, frames: total, start, end: total, loop, bars: played, beats, countIn };
  return { id, request: {}, sound: { ...sound, parts: [], peak: 1, chords: [] } };
}
function bufferOf(context, work, made) {
  const buffer = context.createBuffer(1, work.sound.frames, work.sound.rate);
  const frames = buffer.getChannelData(0);
  for (let n = 0; n < frames.length; n += 1) frames[n] = made(n);
  return buffer;
}
/** A number for each frame that looks like chance and is always the same. */
function noise(n) {
  const x = Math.sin(n * 12.9898) * 43758.5453;
  return (x - Math.floor(x)) * 0.8 - 0.4;
}
const fround = Math.fround;
"""


@pytest.fixture
def measured(new_page, stand):
    page = new_page()
    page.goto(stand.address)

    def run(script: str):
        return page.evaluate("(async () => {" + HELP + script + "})()")

    return run


def test_a_loop_is_exact_to_the_sample_time_after_time(measured):
    """A count-in, then every frame in its order, the last followed by the first."""
    found = measured(
        """
        const rate = 44100;
        const work = workOf({ rate, bars: 3, frames: 7351, start: 5003 });
        const context = new OfflineAudioContext(1, 6 * rate, rate);
        const buffer = bufferOf(context, work, noise);
        const player = new Player(context);
        const first = player.start(wholeStretch(work, new Map([["bass", buffer]])));
        const heard = (await context.startRendering()).getChannelData(0);
        const begin = Math.round(first * rate);
        let worst = 0;
        for (let n = begin; n < heard.length; n += 1) {
          let at = n - begin;
          if (at >= work.sound.end) at = 5003 + ((at - 5003) % (3 * 7351));
          worst = Math.max(worst, Math.abs(heard[n] - fround(noise(at))));
        }
        let before = 0;
        for (let n = 0; n < begin; n += 1) before = Math.max(before, Math.abs(heard[n]));
        return { worst, before, rounds: (heard.length - begin - 5003) / (3 * 7351) };
        """
    )
    assert found["rounds"] > 10
    assert found["before"] == 0
    assert found["worst"] < 1e-6


def test_a_cut_loop_has_no_step_at_its_seam(measured):
    """Where bars are cut out of a tone, the step over the seam is that of the tone itself."""
    found = measured(
        """
        const rate = 44100, hertz = 220;
        const work = workOf({ rate, bars: 4, frames: 22101, start: 0 });
        const tone = (n) => 0.5 * Math.sin((2 * Math.PI * hertz * n) / rate);
        const context = new OfflineAudioContext(1, 8 * rate, rate);
        const buffer = bufferOf(context, work, tone);
        const player = new Player(context);
        const cut = cutStretch(context, work, new Map([["bass", buffer]]), 1, 2);
        const first = Math.round(player.start(cut, { counted: false }) * rate);
        const heard = (await context.startRendering()).getChannelData(0);
        const length = 2 * 22101;
        let step = 0, worst = 0;
        for (let n = first + 1; n < heard.length; n += 1) {
          step = Math.max(step, Math.abs(heard[n] - heard[n - 1]));
          const at = (n - first) % length;
          const whole = at < length - Math.round(JOIN * rate);
          if (whole) worst = Math.max(worst, Math.abs(heard[n] - fround(tone(22101 + at))));
        }
        const own = 0.5 * 2 * Math.sin((Math.PI * hertz) / rate);
        return { step, own, worst, rounds: (heard.length - first) / length };
        """
    )
    assert found["rounds"] > 3
    assert found["worst"] < 1e-6
    assert found["step"] < 1.1 * found["own"]


def test_a_swap_comes_on_the_bar_line_without_a_gap(measured):
    """One tone gives way to another in 8 ms before the line, where only the new one sounds."""
    found = measured(
        """
        const rate = 44100;
        const context = new OfflineAudioContext(1, 3 * rate, rate);
        const player = new Player(context);
        const old = workOf({ rate, bars: 4, frames: 20000, start: 1000, id: "old" });
        const fast = workOf({ rate, bars: 4, frames: 15000, start: 700, id: "fast" });
        const made = (work, value) => new Map([["bass", bufferOf(context, work, () => value)]]);
        const first = player.start(wholeStretch(old, made(old, 0.25)));
        let at = 0;
        context.suspend(1.2).then(() => {
          at = player.swap(wholeStretch(fast, made(fast, 0.5)));
          context.resume();
        });
        const heard = (await context.startRendering()).getChannelData(0);
        const line = Math.round(at * rate);
        const begin = Math.round(first * rate);
        let least = 1;
        for (let n = begin; n < heard.length; n += 1) least = Math.min(least, heard[n]);
        const early = Math.round(0.008 * rate) + 1;
        const place = player.placeAt(at + 0.001);
        return {
          least, offBar: (line - begin - 1000) % 20000, early: heard[line - early],
          on: heard[line], after: heard[line + 1], bar: place.place,
          due: ((line - begin - 1000) / 20000) % 4, soon: at - 1.2,
        };
        """
    )
    assert found["least"] >= 0.249
    assert found["offBar"] == 0
    assert found["early"] == pytest.approx(0.25, abs=1e-6)
    assert found["on"] == found["after"] == pytest.approx(0.5, abs=1e-6)
    assert found["bar"] == found["due"]
    assert 0 < found["soon"] < 20000 / 44100 + 0.07


def test_a_swap_at_the_round_begins_the_next_one(measured):
    found = measured(
        """
        const rate = 44100;
        const context = new OfflineAudioContext(1, 4 * rate, rate);
        const player = new Player(context);
        const work = workOf({ rate, bars: 2, frames: 20000 });
        const other = workOf({ rate, bars: 2, frames: 18000, id: "other" });
        const made = (one, value) => new Map([["bass", bufferOf(context, one, () => value)]]);
        const first = player.start(wholeStretch(work, made(work, 0.25)), { counted: false });
        let at = 0, again = 0;
        context.suspend(1).then(() => {
          player.swap(wholeStretch(work, made(work, 0.3)), "bar");
          at = player.swap(wholeStretch(other, made(other, 0.5)), "round");
          context.resume();
        });
        const heard = (await context.startRendering()).getChannelData(0);
        const line = Math.round(at * rate);
        return { on: heard[line], before: heard[line - 400], voices: player.voices.length,
                 rounds: (line - Math.round(first * rate)) / 40000 };
        """
    )
    assert found == {
        "on": pytest.approx(0.5, abs=1e-6),
        "before": pytest.approx(0.25, abs=1e-6),
        "voices": 2,
        "rounds": 2,
    }


def test_an_hour_goes_by_without_drift(measured):
    """4,000 times round: each bar's impulse on its frame, and the clock knows which bar it is."""
    found = measured(
        """
        const rate = 8000, frames = 3599, start = 1601;
        const work = workOf({ rate, bars: 2, frames, start });
        const context = new OfflineAudioContext(1, 3600 * rate, rate);
        const buffer = bufferOf(context, work, (n) => Number((n - start) % frames === 0));
        const player = new Player(context);
        const whole = wholeStretch(work, new Map([["bass", buffer]]));
        const first = Math.round(player.start(whole) * rate);
        const heard = (await context.startRendering()).getChannelData(0);
        let bars = 0, off = 0, wrong = 0;
        for (let n = first + start; n < heard.length; n += frames) {
          if (heard[n] < 0.999) off += 1;
          const before = player.placeAt((n - 1) / rate), on = player.placeAt(n / rate);
          if (n > first + start && (on.place !== bars % 2 || before.place === on.place)) wrong += 1;
          bars += 1;
        }
        let sum = 0;
        for (let n = 0; n < heard.length; n += 1) sum += heard[n];
        return { bars, off, wrong, sum: Math.round(sum) };
        """
    )
    assert found["bars"] > 8000
    assert found["off"] == 0
    assert found["wrong"] == 0
    assert found["sum"] == found["bars"]


def test_clicks_fall_on_the_beats_asked_for(measured):
    """The onsets of rendered clicks against the beats, in every way of clicking."""
    found = measured(
        """
        const { CLICK_WAYS } = await import("/click.js");
        const rate = 44100, frames = 22050, onsets = {};
        for (const { name } of CLICK_WAYS) {
          const context = new OfflineAudioContext(1, 6 * rate, rate);
          const player = new Player(context);
          const work = workOf({ rate, bars: 3, frames, start: 22050 });
          const silent = bufferOf(context, work, () => 0);
          const click = new Click(player);
          click.choose(name);
          const first = player.start(wholeStretch(work, new Map([["bass", silent]])));
          for (const at of [1, 2, 3, 4, 5]) {
            context.suspend(at).then(() => { click.tend(); context.resume(); });
          }
          click.tend();
          const heard = (await context.startRendering()).getChannelData(0);
          const begin = Math.round(first * rate), beat = frames / 4;
          onsets[name] = [];
          for (let n = 0; begin + n * beat + 200 < heard.length; n += 1) {
            const at = Math.round(begin + n * beat);
            let before = 0, after = 0;
            for (let k = 1; k < 200; k += 1) {
              before = Math.max(before, Math.abs(heard[at - k]));
              after = Math.max(after, Math.abs(heard[at + k]));
            }
            if (after > 0.1 && before < 1e-3) onsets[name].push(n - 4);
          }
        }
        return onsets;
        """
    )
    last = 6 * 2 * 4 - 5
    bars = {way: [beat for beat in beats if beat >= 0] for way, beats in found.items()}
    assert all(beats[:4] == [-4, -3, -2, -1] for beats in found.values())
    assert bars["none"] == []
    assert bars["all"] == list(range(bars["all"][-1] + 1))
    assert bars["all"][-1] >= last - 8
    falls = {
        "even": lambda beat: beat % 4 in {1, 3},
        "one": lambda beat: beat % 4 == 0,
        "second": lambda beat: beat // 4 % 2 == 0,
        "fourth": lambda beat: beat // 4 % 4 == 0,
    }
    for way, due in falls.items():
        assert bars[way] == [beat for beat in bars["all"] if due(beat)]


def test_an_hour_of_clicks_leaves_nothing_behind(measured):
    """On a clock that is told the time: what waits stays little, and no beat is left out."""
    found = measured(
        """
        let now = 0, struck = 0;
        const nothing = () => {};
        const gain = { value: 1, setTargetAtTime: nothing };
        const struckOnce = () => { struck += 1; };
        const node = () => ({ connect: (next) => next, gain, start: struckOnce, stop: nothing });
        const frames = new Float32Array(99999);
        const sound = { numberOfChannels: 1, sampleRate: 44100, getChannelData: () => frames };
        const context = {
          get currentTime() { return now; }, sampleRate: 44100, destination: node(),
          createGain: node, createBufferSource: node, createBuffer: () => sound,
        };
        const player = new Player(context);
        const click = new Click(player);
        click.choose("all");
        const work = workOf({ rate: 44100, bars: 12, frames: 88200 });
        player.start(wholeStretch(work, new Map([["bass", sound]])), { counted: false });
        struck = 0;
        let most = 0;
        for (; now < 3600; now += 0.05) {
          click.tend();
          most = Math.max(most, click.waiting.length);
        }
        return { struck, most, voices: player.voices.length };
        """
    )
    assert found["struck"] == pytest.approx(3600 * 2, abs=4)
    assert found["most"] <= 5
    assert found["voices"] == 1


def test_levels_move_without_a_step(measured):
    """A part falls silent in some 60 ms, not from one sample to the next."""
    found = measured(
        """
        const rate = 44100;
        const context = new OfflineAudioContext(1, rate, rate);
        const player = new Player(context);
        const work = workOf({ rate, bars: 2, frames: 44100 });
        const made = new Map([["bass", bufferOf(context, work, () => 0.5)]]);
        player.start(wholeStretch(work, made), { counted: false });
        context.suspend(0.5).then(() => {
          player.set("bass", { silent: true });
          context.resume();
        });
        const heard = (await context.startRendering()).getChannelData(0);
        let step = 0;
        for (let n = 4410; n < heard.length; n += 1) {
          step = Math.max(step, Math.abs(heard[n] - heard[n - 1]));
        }
        return { step, before: heard[21000], after: heard[Math.round(0.6 * rate)] };
        """
    )
    assert found["before"] == pytest.approx(0.5, abs=1e-6)
    assert found["after"] < 0.5 * 10 ** (-50 / 20)
    assert found["step"] < 0.005


@pytest.mark.sweep
def test_minutes_of_loops_do_not_fill_the_memory(new_page, stand):
    """Two minutes in real time at 360 a minute, some seventy times round: the heap stays."""
    page = new_page()
    page.goto(stand.address)
    page.see("stand.loaded")
    page.keyboard.press(" ")
    page.until("stand.music.ready")
    page.see("stand.music.chooseRange('bar-1', 'bar-2')")
    page.until("stand.music.ready?.work.request.bars")
    page.see("stand.session.item.seconds = 0; stand.click.choose('all')")
    page.keyboard.press(" ")
    probe = page.raw.context.new_cdp_session(page.raw)

    def heap():
        probe.send("HeapProfiler.collectGarbage")
        return probe.send("Runtime.getHeapUsage")["usedSize"]

    page.wait_for_timeout(20_000)
    before = heap()
    page.wait_for_timeout(100_000)
    assert page.see("stand.music.round") > 60
    assert heap() < before + 300_000
