"""What is heard is what is printed: an exercise read back from its MusicXML and from its MIDI file.

The two files are read here by their own standards alone: durations in divisions of a quarter note,
ties and the part's transposition (MusicXML 4.0); ticks, tempo and time signatures (Standard MIDI
File 1.0).
"""

from dataclasses import dataclass
from fractions import Fraction
from importlib.resources import files
from itertools import pairwise
from xml.etree import ElementTree as ET

import mido
import pytest

from chartkit.exercise import KINDS

CHARTS = sorted(
    path.name.removesuffix(".chart")
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
)
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

ROUGH = Fraction(20, 1000)
"""Seconds that a hand may be early or late."""

LATE = Fraction(1, 4)
"""Quarter notes that swing may move a note between the beats at most: a line is played straighter
than the ratio of a triplet, a sixth."""


@dataclass(frozen=True)
class Read:
    """Times in quarter notes from the first bar."""

    notes: list  # (onset, MIDI number)
    bars: list  # lengths
    tempo: Fraction
    keys: list  # sharps, where they change


def number(pitch, semitones):
    return (
        STEPS[pitch.findtext("step")]
        + int(pitch.findtext("alter") or 0)
        + 12 * (int(pitch.findtext("octave")) + 1)
        + semitones
    )


def read_page(path):
    """Read the first staff."""
    root = ET.parse(path).getroot()  # noqa: S314 (our own)
    moved = {one.tag: int(one.text) for one in next(root.iter("transpose"), ())}
    semitones = moved.get("chromatic", 0) + 12 * moved.get("octave-change", 0)
    notes, bars, keys, start = [], [], [], Fraction(0)
    divisions = int(next(root.iter("divisions")).text)
    for measure in root.iter("measure"):
        at = end = start
        for one in measure:
            if one.tag in ("backup", "forward"):
                break  # the second staff
            if one.tag == "attributes" and one.find("key") is not None:
                keys.append(int(one.findtext("key/fifths")))
            if one.tag == "note":
                pitch = one.find("pitch")
                ties = {tie.get("type") for tie in one.findall("tie")}
                if pitch is not None and "stop" not in ties:
                    notes.append((at, number(pitch, semitones)))
                at += Fraction(one.findtext("duration")) / divisions
                end = max(end, at)
        bars.append(end - start)
        start = end
    (sound,) = root.iter("sound")
    return Read(notes, bars, Fraction(sound.get("tempo")), keys)


KEYS = {
    **{key: sharps for sharps, key in enumerate(["C", "G", "D", "A", "E", "B", "F#", "C#"])},
    **{key: -flats for flats, key in enumerate(["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb"])},
    **{f"{key}m": s for s, key in enumerate(["A", "E", "B", "F#", "C#", "G#", "D#", "A#"])},
    **{f"{key}m": -f for f, key in enumerate(["A", "D", "G", "C", "F", "Bb", "Eb", "Ab"])},
}


def read_sound(path, skipped=0):
    """Read the line; `skipped` quarter notes lie before its first bar."""
    file = mido.MidiFile(path)
    quarter, meters, tempos, keys, notes = file.ticks_per_beat, [], [], [], []
    for track in file.tracks:
        tick = 0
        for message in track:
            tick += message.time
            beat = Fraction(tick, quarter) - skipped
            if message.type == "time_signature":
                meters.append((beat, Fraction(4 * message.numerator, message.denominator)))
            elif message.type == "set_tempo":
                tempos.append(Fraction(60_000_000, message.tempo))
            elif message.type == "key_signature":
                keys.append(KEYS[message.key])
            elif message.type == "note_on" and message.velocity and track.name == "Line":
                notes.append((beat, message.note))
    end = Fraction(max(sum(m.time for m in t) for t in file.tracks), quarter) - skipped
    bars = []
    for (start, length), (following, _) in pairwise([*meters, (end, None)]):
        first = max(start, Fraction(0))
        bars += [length] * round((following - first) / length)
    (tempo,) = set(tempos)
    return Read(sorted(notes), bars, tempo, keys)


def assert_agree(page, sound, times=1):
    length = sum(page.bars)
    assert sound.bars == page.bars * times
    assert abs(page.tempo - sound.tempo) < Fraction(1, 100)
    assert page.keys == sound.keys[: len(page.keys)]
    written = [(at + n * length, pitch) for n in range(times) for at, pitch in page.notes]
    assert [pitch for _, pitch in sound.notes] == [pitch for _, pitch in written]
    rough = ROUGH * sound.tempo / 60 + Fraction(1, 960)
    for (heard, _), (at, _) in zip(sound.notes, written, strict=True):
        late = LATE if at.denominator > 1 else 0
        assert -rough <= heard - at <= rough + late


@pytest.mark.parametrize("chart", CHARTS)
def test_an_exercise_alone(chartkit, chart):
    """Every chart with one kind of line after the other, in other positions and keys."""
    index = CHARTS.index(chart)
    kind = list(KINDS)[index % len(KINDS)]
    words = ["exercise", chart, "--kind", kind, "--position", 1 + 3 * index % 12, "--key"]
    words += [["Eb", "A", "C", "Gb"][index % 4], "-o"]
    assert chartkit(*words, "x.musicxml").code == 0
    assert chartkit(*words, "x.mid").code == 0
    page = read_page("x.musicxml")
    assert page.notes
    assert_agree(page, read_sound("x.mid"))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("more", [("--click", "2,4"), ("--with-band",)], ids=["click", "band"])
def test_with_the_band_and_with_a_click_it_is_the_same_line(chartkit, kind, more):
    words = ["exercise", "tune.chart", "A", "B", "--kind", kind, "--tempo", "100", "-o"]
    assert chartkit(*words, "x.musicxml").code == 0
    assert chartkit(*words, "x.mid", *more, "--times", "2", "--count-in", "1").code == 0
    assert_agree(read_page("x.musicxml"), read_sound("x.mid", skipped=4), times=2)


@pytest.mark.parametrize("name", ["tenor saxophone", "bass guitar", "flute", "ukulele"])
def test_what_is_written_for_another_instrument_sounds_as_it_should(chartkit, name):
    words = ["exercise", "tune.chart", "B", "--instrument", name, "-o"]
    assert chartkit(*words, "x.musicxml").code == 0
    assert chartkit(*words, "x.mid").code == 0
    page, sound = read_page("x.musicxml"), read_sound("x.mid")
    assert [pitch for _, pitch in page.notes] == [pitch for _, pitch in sound.notes]


@pytest.mark.parametrize(
    "words",
    [
        ("warmup", "1243"),
        ("scales", "triads", "--keys", "3", "--feel", "jazz waltz"),
        ("chords", "drop-2", "--with-band"),
    ],
)
def test_a_routine(chartkit, words):
    words = ["technique", *words, "--count-in", "0", "-o"]
    assert chartkit(*words, "x.musicxml").code == 0
    assert chartkit(*words, "x.mid").code == 0
    assert_agree(read_page("x.musicxml"), read_sound("x.mid"))


def test_keys_in_turn_follow_each_other_as_they_are_printed(chartkit):
    words = ["exercise", "tune.chart", "A", "--key-each-time", "C,Eb", "-o"]
    assert chartkit(*words, "x/").code == 0
    folder = "x/tune-A-connected"
    pages = [read_page(f"{folder}-in-{key}.musicxml") for key in ("C", "Eb")]
    sound = read_sound(f"{folder}.mid")
    assert sound.bars == pages[0].bars + pages[1].bars
    assert [p for _, p in sound.notes] == [p for page in pages for _, p in page.notes]
    assert sound.keys == [0, -3]
