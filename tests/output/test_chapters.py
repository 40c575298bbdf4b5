"""Chapters in FLAC and Ogg files, read back by an independent library (mutagen)."""

import mutagen
import numpy as np
import pytest
import soundfile

from chartkit.output import chapters
from chartkit.output.recording import About, check, recording
from chartkit.output.tags import Tags

RATE = 44_100
PLACES = ((0, "1. Warm-up"), (44_123, "2. Scales in B♭"), (163_170_000, "3. Solo"))
TIMES = ("00:00:00.000", "00:00:01.001", "01:01:40.000")


def comments(path):
    """Read the comments of a file with an independent library, a name and a value each."""
    return {name.upper(): value for name, (value, *_) in mutagen.File(path).tags.items()}


def write(path, places, frames=3 * RATE):
    sound = 0.1 * np.sin(np.arange(frames) / 10)
    block = np.stack([sound, sound], axis=1).astype(np.float32)
    about = About(Tags("A day", comment=chapters.room_for(places, RATE)))
    with recording(path, check(path, frames), RATE, about) as give:
        give(block)
    chapters.mark(path, places, RATE)
    return block


@pytest.mark.parametrize("ending", [".flac", ".ogg"])
def test_chapters_have_their_times_and_names(ending, tmp_path):
    path = tmp_path / f"day{ending}"
    write(path, PLACES)
    told = comments(path)
    for number, ((_, name), time) in enumerate(zip(PLACES, TIMES, strict=True), 1):
        assert told[f"CHAPTER{number:03d}"] == time
        assert told[f"CHAPTER{number:03d}NAME"] == name
    assert told["TITLE"] == "A day"
    assert "COMMENT" not in told


@pytest.mark.parametrize("ending", [".flac", ".ogg"])
def test_the_sound_is_as_it_was(ending, tmp_path):
    path = tmp_path / f"day{ending}"
    block = write(path, PLACES)
    read, rate = soundfile.read(path, dtype="float32")
    assert rate == RATE
    assert read.shape == block.shape
    assert np.abs(read - block).max() < 0.02


@pytest.mark.parametrize("ending", [".flac", ".ogg"])
def test_a_hundred_chapters_fit(ending, tmp_path):
    path = tmp_path / f"day{ending}"
    places = tuple((RATE * number, f"{number}. {'long ' * 30}") for number in range(100))
    write(path, places, frames=RATE)
    assert len([name for name in comments(path) if name.endswith("NAME")]) == 100
    assert len(soundfile.read(path)[0]) == RATE


@pytest.mark.parametrize("ending", [".flac", ".ogg"])
@pytest.mark.parametrize("length", range(50, 90, 5))
def test_a_comment_of_any_length_is_found(ending, length, tmp_path):
    """Lengths are bytes too, and some of them are letters."""
    path = tmp_path / f"day{ending}"
    write(path, ((0, "x" * length),), frames=RATE)
    assert comments(path)["CHAPTER001NAME"] == "x" * length


def test_without_places_nothing_changes(tmp_path):
    path = tmp_path / "day.flac"
    write(path, ())
    assert set(comments(path)) == {"TITLE"}
