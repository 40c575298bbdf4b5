"""What the page gets: every bar on it and in time, and stems that are the mix."""

import io
from fractions import Fraction
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import soundfile

from chartkit.output import audio
from chartkit.output.limiter import CEILING, REACH
from chartkit.output.synth import find_soundfont
from chartkit.reader import parse
from chartkit.stand.asked import asked_of, take_of
from chartkit.stand.drawing import NARROW, WIDE
from chartkit.stand.sound import stems
from chartkit.stand.telling import Heard, engraved, told
from chartkit.stand.work import work_of

BLUES = parse(
    "Title: Rain Barrel\nKey: F\nTempo: 150\n[A]\n"
    "|: F7 | Bb7 | F7 | Cm7 F7 |\n| Bb7 | Bo7 |1. F7 | D7 :|2. Gm7 C7 | F7 |]\n",
    "rain barrel",
).chart
TWELVE_EIGHT = parse(
    "Title: Slow Kettle\nKey: C\nMeter: 12/8\nFeel: 12/8 blues\n[A]\n| C7 | F7 | C7 | G7 |\n", "k"
).chart
WITH_PICKUP = parse(
    "Title: Early Bird\nKey: G\nPickup: 1\n[A]\n D7 | G6 | Am7 | D7 | G6 |\n", "early"
).chart

REQUESTS = {
    "form": {},
    "bars": {"bars": [3, 6]},
    "key": {"key": "Ab", "tempo": 97.5},
    "exercise": {"exercise": {"kind": "arpeggio"}},
    "keys": {"exercise": {"kind": "guide-tones"}, "bars": [3, 4], "keys": ["F", "F#", "Bb"]},
    "ladder": {"bars": [3, 4], "ladder": {"by": 10, "upTo": 180}},
    "ended": {"loop": False},
}


def work(chart, **request):
    return work_of(take_of(asked_of({"tune": "x", **request}), chart))


def as_json(made, frames=0):
    return told(made, "id", {}, Heard((("bass", "/sound/x/bass.wav"),), frames, 0.5))


@pytest.mark.parametrize("request_of", REQUESTS.values(), ids=REQUESTS)
def test_every_bar_is_drawn_once_at_either_width(request_of):
    made = as_json(work(BLUES, **request_of))
    bars = [bar["id"] for bar in made["bars"]]
    assert len(set(bars)) == len(bars)
    for systems in (made["systems"], made["narrow"]):
        assert [bar for system in systems for bar in system["bars"]] == bars
        ids = [
            element.get("id")
            for system in systems
            for element in ET.fromstring(system["svg"]).iter()  # noqa: S314 (our own)
            if element.get("class") == "measure"
        ]
        assert ids == bars


@pytest.mark.parametrize("request_of", REQUESTS.values(), ids=REQUESTS)
def test_what_sounds_is_on_the_page_and_goes_by_the_tempo(request_of):
    made = work(BLUES, **request_of)
    sound = as_json(made)["sound"]
    on_page = {bar["id"]: bar for bar in as_json(made)["bars"]}
    performance = made.performance
    zero = sound["start"] / sound["rate"]
    assert len(sound["bars"]) == len(performance.bars)
    for told_bar, (beat, bar) in zip(sound["bars"], performance.bars, strict=True):
        assert on_page[told_bar["bar"]]["number"] == bar.number
        exact = zero + float(performance.tempo.seconds(beat))
        assert told_bar["start"] == pytest.approx(exact, abs=2e-6)
    ends = [bar["end"] for bar in sound["bars"]]
    assert ends[:-1] == [bar["start"] for bar in sound["bars"]][1:]
    assert ends[-1] == pytest.approx(sound["end"] / sound["rate"], abs=1 / sound["rate"])


def test_bars_of_a_repeat_come_again_as_they_are_played():
    numbers = [int(bar["bar"].split("-")[1]) for bar in as_json(work(BLUES))["sound"]["bars"]]
    assert numbers == [1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 6, 9, 10]


def test_an_exercise_over_a_repeat_has_every_bar_as_often_as_it_is_played():
    made = as_json(work(BLUES, exercise={"kind": "connected"}))
    page = [bar["id"] for bar in made["bars"]]
    assert [bar["bar"] for bar in made["sound"]["bars"]] == page
    assert page[8] == "bar-1-2"


def test_with_another_key_each_time_the_page_has_each_key_in_turn():
    made = as_json(work(BLUES, **REQUESTS["keys"]))
    assert [bar["key"] for bar in made["bars"]] == [
        *["F major"] * 2,
        *["F# major"] * 2,
        *["Bb major"] * 2,
    ]
    assert [bar["bar"] for bar in made["sound"]["bars"]] == [
        *("bar-3", "bar-4", "bar-3-in-F-sharp", "bar-4-in-F-sharp", "bar-3-in-Bb", "bar-4-in-Bb")
    ]


def test_keys_that_come_again_are_read_on_the_same_page():
    made = as_json(work(BLUES, bars=[3, 4], keys=["F", "G"], times=3))
    assert [bar["key"] for bar in made["bars"]] == ["F major"] * 10 + ["G major"] * 10
    sounding = [bar["bar"] for bar in made["sound"]["bars"]]
    assert sounding == ["bar-3", "bar-4", "bar-3-in-G", "bar-4-in-G", "bar-3", "bar-4"]


def test_beats_are_the_meters_own():
    made = work(TWELVE_EIGHT, tempo=90)
    sound = as_json(made)["sound"]
    assert len(sound["beats"]) == 16  # four dotted quarters in each of four bars
    steps = np.diff(sound["beats"])
    assert steps == pytest.approx(60 / 90 * 1.5, abs=3e-6)
    assert sound["countIn"][0] == 0
    assert sound["countIn"] == pytest.approx([0, 1, 2, 3], abs=1e-6)


def test_a_pickup_is_heard_before_beat_zero_where_it_is_played():
    looped, once = (as_json(work(WITH_PICKUP, loop=loop))["sound"] for loop in (True, False))
    assert looped["bars"][0]["bar"] == "bar-1"
    assert once["bars"][0]["bar"] == "bar-0"
    assert once["bars"][0]["end"] == pytest.approx(once["start"] / once["rate"], abs=1e-5)


def test_chords_are_told_with_their_shapes():
    made = as_json(work(BLUES, bars=[3, 4], exercise={"kind": "arpeggio", "position": 5}))
    names = [chord["name"] for chord in made["sound"]["chords"]]
    assert names == ["F7", "Cm7", "F7"]
    shapes = [made["shapes"][chord["shape"]]["name"] for chord in made["sound"]["chords"]]
    assert shapes == names
    assert made["shape"].startswith("<svg ")
    plain = as_json(work(BLUES))
    assert plain["shape"] is None
    assert plain["shapes"] == []
    assert all(chord["shape"] is None for chord in plain["sound"]["chords"])


def test_narrow_systems_hold_fewer_bars():
    made = work(BLUES)
    most = [max(len(row.bars) for row in engraved(made, screen)) for screen in (WIDE, NARROW)]
    assert most[1] < most[0]
    assert all(row.width <= NARROW.width + 0.01 for row in engraved(made, NARROW))


@pytest.mark.parametrize("request_of", [{"bars": [3, 4]}, {"bars": [3, 4], "loop": False}])
def test_stems_add_up_to_the_mix(request_of, tmp_path):
    made = work(BLUES, exercise={"kind": "arpeggio"}, **request_of)
    font = find_soundfont()
    parts = stems(made.performance, font, 440.0)
    assert [name for name, _ in parts.parts] == ["bass", "chords", "drums", "click", "line"]
    sounds = [soundfile.read(io.BytesIO(data), always_2d=True)[0] for _, data in parts.parts]
    assert {len(sound) for sound in sounds} == {parts.frames}
    audio.render(made.performance, tmp_path / "mix.wav", soundfont=font)
    mix, _ = soundfile.read(tmp_path / "mix.wav", always_2d=True)
    together = sum(sounds)
    assert np.abs(together).max() == pytest.approx(parts.peak, abs=1e-3)
    end = as_json(made)["sound"]["end"]
    loud = np.abs(together[:end]).max(axis=1) > CEILING
    quiet = np.convolve(loud, np.ones(2 * REACH + 1), "same") < 0.5  # where nothing is limited
    away = np.abs(together[:end] - mix[:end]).max(axis=1)
    assert quiet.mean() > 0.5
    assert away[quiet].max() < 6 * 2**-15  # six roundings to 16 bits
    if made.performance.loop:
        assert parts.frames == end


def test_the_count_in_fills_what_comes_before_the_loop():
    made = work(BLUES, bars=[3, 4], countIn=2)
    sound = as_json(made)["sound"]
    assert sound["start"] == round(8 * 60 / Fraction(150) * sound["rate"])
    assert len(sound["countIn"]) == 6  # halves, then quarters [common practice, no source]
    assert sound["countIn"][-1] < sound["start"] / sound["rate"]
