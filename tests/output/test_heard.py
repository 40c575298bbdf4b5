"""What a listener hears of a take: strokes on time, a seam that joins, lengths that are exact."""

from fractions import Fraction
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path

import chartkit.charts
import numpy as np
import pytest
import soundfile

from chartkit.controls.ladder import Ladder
from chartkit.make import performance
from chartkit.output.audio import render
from chartkit.output.stems import part_frames, render_stems, stem_paths
from chartkit.reader import read
from chartkit.take import Take

RATE = 44_100
PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")
CHARTS = Path(chartkit.charts.__path__[0])
SPOONS = read(CHARTS / "twelve-spoons.chart")

NEAR = 0.030
"""Seconds by which a detected onset may be off: about what an analysis window of spectral flux
smears (librosa's default window is 46 ms)."""


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.filterwarnings("ignore::FutureWarning")
@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("tempo", [100, 180])
def test_the_drums_are_heard_where_they_are_in_the_midi(tempo):
    # a general-purpose onset detector (librosa), scored as the onset task is (mir_eval: precision
    # and recall within a window)
    import librosa
    import mir_eval

    music = performance(Take(SPOONS, sections=("A",), tempo=Fraction(tempo), parts=("drums",)))
    sound = part_frames(music, soundfont=PACKAGED)["drums"].mean(axis=1)
    found = librosa.onset.onset_detect(y=sound, sr=RATE, hop_length=128, units="time")
    [track] = music.tracks
    # strokes that can be told apart: what is struck together is one onset, and the softest are
    # hidden in what rings
    loud = [note for note in track.notes if note.velocity >= 50 and note.start >= 0]
    struck = np.unique([round(float(music.tempo.seconds(note.start)), 3) for note in loud])
    apart = struck[np.diff(struck, prepend=-1) > 2 * NEAR]
    every = np.unique([float(music.tempo.seconds(note.start)) for note in track.notes])
    _, _, recall = mir_eval.onset.f_measure(apart, found, window=NEAR)
    _, precision, _ = mir_eval.onset.f_measure(np.sort(every), found, window=NEAR)
    assert recall > 0.9
    assert precision > 0.9
    # and against chance: the same onsets half a beat's third later are not found
    shifted = apart + float(Fraction(60, tempo)) / 6
    assert mir_eval.onset.f_measure(shifted, found, window=NEAR)[2] < recall - 0.3


def exact_frames(music):
    """The frames of a performance, from its tempo steps alone."""
    steps = [*music.tempo.steps, (music.length, None)]
    seconds = sum((end - start) * 60 / tempo for (start, tempo), (end, _) in pairwise(steps))
    return round(seconds * RATE)


@pytest.mark.parametrize(
    ("ladder", "times"),
    [
        (Ladder(Fraction(7), Fraction(150)), 8),
        (Ladder(Fraction(10), Fraction(160), every=2), 6),
        (Ladder(Fraction("2.5"), Fraction(300)), 5),
    ],
)
def test_a_ladders_file_is_exactly_as_long_as_its_tempos(tmp_path, ladder, times):
    take = Take(
        SPOONS, sections=("A",), tempo=Fraction(120), ladder=ladder, times=times, parts=("bass",)
    )
    music = performance(take)
    render(music, tmp_path / "a.wav", soundfont=PACKAGED)
    assert len(music.tempo.steps) > 2
    assert soundfile.info(tmp_path / "a.wav").frames == exact_frames(music)


@pytest.mark.parametrize("ending", [".wav", ".flac"])
def test_the_files_of_the_parts_add_up_to_the_file_of_the_mix(tmp_path, ending):
    music = performance(Take(SPOONS, sections=("A",), tempo=Fraction(150), count_in=1))
    mix = tmp_path / f"mix{ending}"
    render(music, mix, soundfont=PACKAGED)
    paths = stem_paths(music, mix)
    render_stems(music, paths, soundfont=PACKAGED)
    whole, _ = soundfile.read(mix)
    parts = [soundfile.read(path)[0] for path in paths.values()]
    assert {len(part) for part in parts} == {len(whole)}
    assert np.abs(sum(parts) - whole).max() < 10 ** (-50 / 20)


def test_the_seam_of_a_bands_loop_is_no_rougher_than_its_middle():
    music = performance(Take(SPOONS, sections=("A",), tempo=Fraction(137)))
    parts = part_frames(music, soundfont=PACKAGED)
    sound = parts["bass"] + parts["chords"]
    turn = np.concatenate([sound[-RATE // 4 :], sound[: RATE // 4]])
    rough = np.abs(np.diff(turn, 3, axis=0)).max(axis=1)
    seam = rough[RATE // 4 - 8 : RATE // 4 + 4].max()
    everywhere = np.abs(np.diff(sound, 3, axis=0)).max(axis=1)
    assert seam <= np.quantile(everywhere, 0.99)
