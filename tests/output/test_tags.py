"""Titles and tempos in sound files, read back by other programs: mutagen, sox and libsndfile."""

import shutil
import subprocess
from dataclasses import replace
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import mutagen
import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.chart import Meter
from chartkit.output import recording, tags
from chartkit.output.audio import render, tags_of
from chartkit.output.recording import FORMATS, About
from chartkit.output.tags import Tags
from chartkit.track import TempoMap

RATE = 44_100
PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")
TITLE = "Zwei Tassen ♭, été"
SOUND = np.random.default_rng(1).normal(0, 0.05, (RATE, 2)).astype(np.float32)


def written(path, told):
    """A second of noise with tags."""
    form = recording.check(path, len(SOUND))
    with recording.recording(path, form, RATE, About(told)) as write:
        write(SOUND)
    return path


def told_by(path):
    """Title, tempo and comment as mutagen reads them, from ID3 frames or from comments."""
    found = mutagen.File(path).tags or {}
    if path.suffix in (".wav", ".mp3"):
        frames = (found.get(name) for name in ("TIT2", "TBPM", "COMM::eng"))
        return tuple(frame and frame.text[0] for frame in frames)
    return tuple(found.get(name, [None])[0] for name in ("title", "bpm", "comment"))


@pytest.mark.parametrize("ending", FORMATS)
def test_another_reader_finds_title_tempo_and_comment(four_bars, tmp_path, ending):
    path = tmp_path / f"a{ending}"
    render(four_bars(("bass",), tempo=137, title=TITLE), path, soundfont=PACKAGED)
    assert told_by(path) == (TITLE, "137", "137 quarter notes a minute")
    with soundfile.SoundFile(path) as file:
        assert file.title == TITLE


@pytest.mark.parametrize("ending", FORMATS)
@pytest.mark.parametrize("tempo", ["40", "97.3", "132", "133.333", "400"])
def test_tempos(tmp_path, ending, tempo):
    path = written(tmp_path / f"a{ending}", Tags(tempo=Fraction(tempo)))
    _, found, _ = told_by(path)
    # ID3 allows a whole number only
    exact = f"{float(tempo):.2f}".rstrip("0").rstrip(".")
    assert found == (exact if ending in (".flac", ".ogg") else f"{float(tempo):.0f}")


@pytest.mark.parametrize("ending", FORMATS)
def test_tags_leave_the_sound_alone(tmp_path, ending):
    told = Tags(TITLE, Fraction(120), "120 quarter notes a minute")
    plain, tagged = (
        soundfile.read(written(tmp_path / f"{name}{ending}", what), dtype="float32")[0]
        for name, what in (("plain", tags.NONE), ("tagged", told))
    )
    assert np.array_equal(plain, tagged)
    if ending in (".wav", ".flac"):
        assert np.abs(tagged - SOUND).max() <= 2**-15


@pytest.mark.skipif(not shutil.which("sox"), reason="the program sox is not installed")
@pytest.mark.parametrize("ending", [".wav", ".flac", ".ogg"])
def test_sox_reads_tags_and_frames(tmp_path, ending):
    path = written(tmp_path / f"a{ending}", Tags("Two Cups", Fraction(120), "a comment"))
    told = subprocess.run(["sox", "--info", path], capture_output=True, text=True, check=True)
    assert not told.stderr, "a page or a chunk that it does not like"
    if ending != ".wav":  # whose tags sox does not read
        for line in ("title=two cups", "bpm=120", "comment=a comment"):
            assert line in told.stdout.lower()
    raw = subprocess.run(["sox", path, "-t", "f32", "-"], capture_output=True, check=True)
    assert not raw.stderr
    frames = np.frombuffer(raw.stdout, np.float32).reshape(-1, 2)
    assert np.abs(frames - soundfile.read(path, dtype="float32")[0]).max() < 1e-4


@given(
    st.text(st.characters(exclude_categories=("C",)), max_size=60),
    st.fractions(20, 999, max_denominator=100),
)
@settings(derandomize=True, max_examples=25, deadline=None)
@pytest.mark.parametrize("ending", [".ogg", ".mp3"])
def test_any_title(tmp_path_factory, ending, title, tempo):
    path = written(tmp_path_factory.mktemp("tags") / f"a{ending}", Tags(title, tempo, title))
    found = told_by(path)
    assert (found[0] or "", found[2] or "") == (title, title)
    assert float(found[1]) == pytest.approx(float(tempo), abs=0.51 if ending == ".mp3" else 0.006)


def test_a_ladder_tells_where_it_begins_and_how_far_it_goes(four_bars):
    steps = (
        (Fraction(0), Fraction(100)),
        (Fraction(4), Fraction(105)),
        (Fraction(8), Fraction(110)),
    )
    music = replace(four_bars(), tempo=TempoMap(steps))
    assert tags_of(music) == Tags("", Fraction(100), "100 to 110 quarter notes a minute")


def test_the_tempo_counts_beats_of_the_meter(four_bars):
    # 12/8: four beats of a dotted quarter note (Standard MIDI Files count them so too)
    twelve = ((Fraction(0), Meter(4, Fraction(3, 2))),)
    music = replace(four_bars(tempo=180), meters=twelve)
    assert tags_of(music).tempo == 120
    assert tags_of(music).comment == "180 quarter notes a minute"


def test_a_part_tells_which_it_is(four_bars):
    assert tags_of(four_bars(title="Two Cups"), "bass").title == "Two Cups, bass"


def test_the_checksum_of_a_page():
    # RFC 3533's own polynomial; the check value of CRC-32/MPEG-2 without its start value, worked
    # out by hand: of the single byte 1 it is the polynomial itself
    assert tags._sum(b"\x01") == 0x04C11DB7
    assert tags._sum(b"") == 0
