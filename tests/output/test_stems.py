"""Each part by itself: as long as the rest, as loud as in the mix, and together the mix."""

import os
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
import soundfile

from chartkit.errors import OutputError, RequestError
from chartkit.output import limiter, stretches
from chartkit.output.audio import maker, render
from chartkit.output.events import piece
from chartkit.output.frames import frames, untouched
from chartkit.output.player import CHANNELS, groups_apart
from chartkit.output.stems import part_frames, parts_of, render_stems, stem_paths
from chartkit.track import Track

RATE = 44_100
PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")
FLUID = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
FONTS = (
    pytest.param(PACKAGED, id="TimGM6mb"),
    pytest.param(
        FLUID,
        id="FluidR3",
        marks=pytest.mark.skipif(not FLUID.exists(), reason="fluid-soundfont-gm is not installed"),
    ),
)
BAND = ("bass", "chords", "drums", "line")


@pytest.fixture
def counted(four_bars, note):
    """The band with a count-in, two rounds; a part that has no notes."""
    clicks = tuple(note(at, "1/4", 77, 88) for at in range(-4, 0))

    def built(parts=BAND, **changes):
        music = four_bars(parts, rounds=2, **changes)
        tracks = (*music.tracks, Track("click", 0, clicks))
        return replace(music, tracks=tracks, start=music.start - 4, title="Two Cups")

    return built


def unlimited(music, font=PACKAGED):
    """The mix before its peaks are limited."""
    return np.concatenate(
        list(frames(piece(music, RATE), maker(music, font, RATE), RATE, untouched))
    )


def test_parts_are_those_that_have_notes(counted):
    music = counted(("bass", "drums"))
    silent = replace(music, tracks=(*music.tracks, Track("line", 26, ())))
    assert parts_of(silent) == ("bass", "drums", "click")
    assert stem_paths(silent, Path("a/tune.flac"))["bass"] == Path("a/tune-bass.flac")


def test_each_is_as_long_as_the_mix(counted, tmp_path):
    music = counted()
    parts = part_frames(music, soundfont=PACKAGED)
    render(music, tmp_path / "mix.wav", soundfont=PACKAGED)
    expected = soundfile.info(tmp_path / "mix.wav").frames
    assert {len(sound) for sound in parts.values()} == {expected}
    assert all(sound.dtype == np.float32 for sound in parts.values())


def test_other_music_has_the_mixs_decay_in_every_part(note, performance):
    music = performance(
        {"chords": [note(0, 4, 60)], "drums": [note(3, 1, 49, 110)], "bass": [note(0, 1, 40)]}, 4
    )
    parts = part_frames(music, soundfont=PACKAGED)
    assert {len(sound) for sound in parts.values()} == {len(unlimited(music))}
    assert np.abs(parts["bass"][-1000:]).max() < 1e-6, "over long before the cymbal"


@pytest.mark.parametrize("font", FONTS)
@pytest.mark.parametrize("loop", [True, False])
def test_together_they_are_the_mix(counted, font, loop):
    music = counted() if loop else replace(counted(), loop=False, rounds=1)
    parts = part_frames(music, soundfont=font)
    error = np.abs(sum(parts.values()) - unlimited(music, font)).max()
    assert error < 10 ** (-50 / 20)
    assert np.abs(parts["bass"]).max() > 10 ** (-30 / 20), "there is something to add"


def test_pieces_of_time_join_in_every_part(four_bars, monkeypatch):
    music = replace(four_bars(BAND), loop=False)
    whole = part_frames(music, soundfont=PACKAGED)
    monkeypatch.setattr(stretches, "_WHOLE_SECONDS", 1)
    cut = part_frames(music, soundfont=PACKAGED)
    assert np.abs(sum(cut.values()) - unlimited(music)).max() < 10 ** (-50 / 20)
    for part in ("bass", "chords"):
        common = min(len(cut[part]), len(whole[part]))
        error = cut[part][:common] - whole[part][:common]
        assert np.abs(error).max() < 10 ** (-30 / 20)


@pytest.mark.parametrize(
    ("parts", "groups"),
    [
        (("bass",), 1),
        (("bass", "chords", "drums"), 3),
        (("line", "click"), 2),
        (("bass", "click"), 2),
        (("bass", "chords", "drums", "click", "line"), 5),
    ],
)
def test_few_groups_keep_parts_apart(parts, groups):
    assert groups_apart(parts) == groups
    assert len({CHANNELS[part] % groups for part in parts}) == len(parts)


def test_files_are_the_parts(counted, tmp_path):
    music = counted()
    told = []
    paths = stem_paths(music, tmp_path / "tune.wav")
    render_stems(music, paths, soundfont=PACKAGED, progress=told.append)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(
        f"tune-{part}.wav" for part in (*BAND, "click")
    )
    for part, sound in part_frames(music, soundfont=PACKAGED).items():
        with soundfile.SoundFile(paths[part]) as file:
            assert file.title == f"Two Cups, {part}"
            written = file.read(dtype="float32")
        assert np.abs(written - sound).max() <= 2**-15
    assert told == sorted(told)
    assert told[-1] == 1


def test_cores_change_nothing(counted, monkeypatch):
    first = part_frames(counted(), soundfont=PACKAGED)
    for cores in (1, 8):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        again = part_frames(counted(), soundfont=PACKAGED)
        assert again.keys() == first.keys()
        assert all(np.array_equal(again[part], first[part]) for part in first)


def test_a_part_is_not_limited(four_bars):
    music = four_bars(("bass",))
    loud = replace(music, levels=(("bass", 12.0),))
    sound = part_frames(loud, soundfont=PACKAGED)["bass"]
    assert np.abs(sound).max() > limiter.CEILING
    quiet = part_frames(replace(music, levels=(("bass", 0.0),)), soundfont=PACKAGED)["bass"]
    assert np.abs(sound - quiet * 10 ** (12 / 20)).max() < 0.01


def test_all_or_none(counted, tmp_path):
    music = counted()
    paths = stem_paths(music, tmp_path / "tune.wav")

    def interrupt(_):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        render_stems(music, paths, soundfont=PACKAGED, progress=interrupt)
    with pytest.raises(RequestError, match="one of"):
        render_stems(music, {"bass": tmp_path / "a.aiff"}, soundfont=PACKAGED)
    paths["drums"] = tmp_path / "there" / "drums.wav"
    with pytest.raises(OutputError, match="no such folder"):
        render_stems(music, paths, soundfont=PACKAGED)
    assert not list(tmp_path.iterdir())
