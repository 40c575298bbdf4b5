"""The sound of items: once through, exactly as long as planned, and all of it in one."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import mutagen
import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from chartkit.chart import Meter
from chartkit.make_today import item_playable
from chartkit.make_today.sound import (
    _exactly,
    frames_of,
    once_through,
    starts,
    write_item,
    write_whole,
)
from chartkit.output.audio import RATE
from chartkit.output.synth import find_soundfont
from chartkit.practice.item import Item
from chartkit.track import Note, Performance, TempoMap, Track

WARM_UP = Item(
    "warm-up",
    "Finger patterns",
    "1-2-3-4",
    Fraction(200),
    position=5,
    beats=Fraction(24),
    rounds=2,
    count_in=Fraction(4),
    rest=3,
)


def note(start, length=1, pitch=60):
    return Note(Fraction(start), Fraction(length), pitch, 80)


def looped(*tracks, rounds=1, start=0):
    return Performance(
        tracks=tracks,
        tempo=TempoMap(((Fraction(0), Fraction(60)),)),
        meters=((Fraction(0), Meter(4)),),
        keys=(),
        markers=(),
        start=Fraction(start),
        length=Fraction(4),
        loop=True,
        rounds=rounds,
    )


def test_once_through_plays_every_round_and_what_leads_over_the_seam():
    band = Track("bass", 32, (note(Fraction(-1, 2)), note(0), note(2)))
    clicks = Track("click", 0, (note(-4), note(-2)))
    heard = once_through(looped(band, clicks, rounds=3, start=-4))
    assert (heard.loop, heard.rounds, heard.length) == (False, 1, 12)
    half = Fraction(1, 2)
    assert [n.start for n in heard.tracks[0].notes] == [
        -half, 0, 2, 4 - half, 4, 6, 8 - half, 8, 10,
    ]  # fmt: skip
    assert [n.start for n in heard.tracks[1].notes] == [-4, -2]


@given(
    st.lists(st.integers(0, 40_000), max_size=8),
    st.integers(RATE, 4 * RATE),
)
def test_a_file_is_as_long_as_it_is_to_be(sizes, total):
    blocks = (np.full((size, 2), 0.5, np.float32) for size in sizes)
    made = np.concatenate(list(_exactly(blocks, total)))
    assert len(made) == total
    heard = min(total, sum(sizes))
    kept = made[: max(0, min(heard, total - RATE // 2))]
    assert (kept == 0.5).all()
    assert not made[heard:].any()
    assert (np.diff(made[total - RATE // 2 : heard, 0]) <= 0).all()


@pytest.fixture(scope="module")
def font():
    return find_soundfont(None)


@pytest.fixture(scope="module")
def made(tmp_path_factory, font):
    """Two items' files."""
    folder = tmp_path_factory.mktemp("sound")
    items = [WARM_UP, replace(WARM_UP, kind="4-3-2-1", title="Backwards", rounds=1)]
    paths = [folder / f"{number}.flac" for number in range(2)]
    for item, path in zip(items, paths, strict=True):
        write_item(item, item_playable(item).performance, path, font)
    return items, paths


def test_an_item_is_as_long_as_planned_and_ends_in_quiet(made):
    for item, path in zip(*made, strict=True):
        sound, rate = soundfile.read(path)
        assert rate == RATE
        assert len(sound) == frames_of(item) == round(item.seconds * RATE)
        music = round(item.music * RATE)
        assert np.abs(sound[: RATE // 10]).max() > 0.01
        assert np.abs(sound[music - RATE // 2 : music]).max() > 0.01
        assert np.abs(sound[-RATE // 50 :]).max() < 0.001


@pytest.mark.parametrize("ending", [".flac", ".wav", ".ogg"])
def test_the_whole_is_the_items_end_to_end(made, ending, tmp_path):
    items, paths = made
    path = tmp_path / f"whole{ending}"
    write_whole(items, paths, path, "A day")
    whole, _ = soundfile.read(path, dtype="int16")
    parts = [soundfile.read(one, dtype="int16")[0] for one in paths]
    assert len(whole) == sum(map(len, parts))
    if ending != ".ogg":
        assert (whole == np.concatenate(parts)).all()


def test_markers_stand_where_items_start(made, tmp_path):
    items, paths = made
    path = tmp_path / "whole.flac"
    write_whole(items, paths, path, "A day")
    told = {name.upper(): value for name, (value, *_) in mutagen.File(path).tags.items()}
    assert told["CHAPTER001"] == "00:00:00.000"
    assert told["CHAPTER001NAME"] == "1. Finger patterns"
    second = float(told["CHAPTER002"].rsplit(":", 1)[1])
    assert second == pytest.approx(float(items[0].seconds), abs=0.001)
    whole, _ = soundfile.read(path)
    start = starts(items)[1]
    assert np.abs(whole[start - RATE // 100 : start]).max() < 0.001
    assert np.abs(whole[start : start + RATE // 20]).max() > 0.01


def test_cues_of_a_wav_file_stand_where_items_start(made, tmp_path):
    items, paths = made
    path = tmp_path / "whole.wav"
    write_whole(items, paths, path, "A day")
    data = path.read_bytes()
    at = data.index(b"cue ") + 12
    frames = [int.from_bytes(data[at + 24 * n + 20 : at + 24 * n + 24], "little") for n in range(2)]
    assert tuple(frames) == starts(items)


@given(st.lists(st.fractions(30, 200, max_denominator=7), min_size=1, max_size=30))
def test_starts_are_the_sums_to_the_frame(tempos):
    items = [replace(WARM_UP, tempo=tempo) for tempo in tempos]
    found = starts(items)
    assert [two - one for one, two in pairwise(found)] == [frames_of(i) for i in items[:-1]]
    exact = sum((item.seconds for item in items), Fraction(0))
    whole = found[-1] + frames_of(items[-1])
    assert abs(whole - exact * RATE) <= len(items) / 2
