"""Etudes as pages and as sound, from the request to the files."""

from dataclasses import replace
from fractions import Fraction
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
import soundfile

from chartkit.guitar.fretboard import window
from chartkit.line import sounding
from chartkit.make import write_sheet
from chartkit.make_etude import EtudeAsked, demo_phrases, etude_playable, made_etude, terms_of
from chartkit.output import musicxml
from chartkit.output.audio import render
from chartkit.output.paper import PAPERS
from chartkit.output.stems import part_frames
from chartkit.phrase.etude_grades import GRADES
from chartkit.reader import parse
from chartkit.take import Take
from chartkit.theory.key import Key

RATE = 44_100
PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")
CHARTS = {
    one.name.removesuffix(".chart"): parse(one.read_text(encoding="utf-8"), one.name).chart
    for one in files("chartkit.charts").iterdir()
    if one.name.endswith(".chart")
}
SOME = demo_phrases(("kettle-on-the-hob", "corner-window", "tin-lid"))
TEMPO = Fraction(90)
"""So slow that a note is long enough for its pitch to be measured."""


def check_page(chart):
    """Everything is in position V, and the page has the line's notes in the line's bars."""
    made = made_etude(Take(chart), EtudeAsked(SOME))
    frets = [stop.fret for stop in made.fingering.stops if stop]
    assert set(frets) <= set(window(5))
    assert made.fingering.shifts == 0
    page = etude_playable(Take(chart, parts=()), EtudeAsked(SOME)).sheet
    assert len(page.measures) == len({span.bar_start for span in made.line.spans})
    assert page.subtitle == "Etude, grade 3, position V"


def check_sound(chart, folder):
    """The file is as long as it should be and clips nowhere; the notes are heard at their pitch."""
    asked = EtudeAsked(SOME)
    heard = etude_playable(Take(chart, tempo=TEMPO), asked).performance
    render(heard, folder / "etude.wav", soundfont=PACKAGED)
    info = soundfile.info(folder / "etude.wav")
    assert info.frames == round(heard.length * 60 / TEMPO * RATE)
    loud = np.abs(soundfile.read(folder / "etude.wav")[0])
    assert 0.05 < loud.max() < 1
    alone = etude_playable(Take(chart, tempo=TEMPO, parts=()), asked).performance
    sound = part_frames(alone, soundfont=PACKAGED)["line"].mean(axis=1)
    right = [is_heard(sound, alone, note) for note in alone.tracks[0].notes]
    assert sum(right) >= 0.95 * len(right)
    wrong = [is_heard(sound, alone, replace(n, pitch=n.pitch + 1)) for n in alone.tracks[0].notes]
    assert sum(wrong) <= 0.05 * len(wrong)


def is_heard(sound, music, note):
    """Tell whether a note's own pitch is stronger in the sound than the semitones beside it.

    The first four partials are added up, from a window as long as the note has [as a general sum
    over harmonics, Hermes 1988, from memory].
    """
    first = float(music.tempo.seconds(note.start))
    last = float(music.tempo.seconds(note.start + note.length))
    part = sound[round((first + 0.02) * RATE) : round(last * RATE)]
    spectrum = np.abs(np.fft.rfft(part * np.hanning(len(part)), 1 << 17))
    partials = 440 * 2 ** ((note.pitch - 69) / 12) * np.arange(1, 5)

    def strength(semitones):
        bins = np.round(partials * 2 ** (semitones / 12) * (1 << 17) / RATE).astype(int)
        return spectrum[bins].sum()

    return strength(0) > 1.5 * max(strength(-1), strength(1))


def test_an_etude_as_a_page():
    check_page(CHARTS["letter-to-the-baker"])


def test_an_etude_as_it_is_heard(tmp_path):
    check_sound(CHARTS["twelve-spoons"], tmp_path)


@pytest.mark.sweep
@pytest.mark.parametrize("chart", sorted(CHARTS))
def test_an_etude_of_every_demo_chart(chart, tmp_path):
    check_page(CHARTS[chart])
    check_sound(CHARTS[chart], tmp_path)
    page = etude_playable(Take(CHARTS[chart], parts=()), EtudeAsked(SOME)).sheet
    written = write_sheet(page, tmp_path / "etude.png", PAPERS["a4"])
    assert written
    assert all(path.stat().st_size > 20_000 for path in written)


def test_the_line_is_heard_in_every_time_round_and_key():
    take = Take(CHARTS["twelve-spoons"], times=2, keys=5, parts=())
    heard = etude_playable(take, EtudeAsked(SOME)).performance
    (track,) = heard.tracks
    half = heard.length / 2
    home = CHARTS["twelve-spoons"].key
    other = Key.written(home.tonic.pitch_class + 5, home.mode)
    for key, first in ((home, 0), (other, half)):
        line = made_etude(Take(take.chart, key=key), EtudeAsked(SOME)).line
        notes = [note.pitch for note in track.notes if first <= note.start < first + half]
        assert notes == [tone.pitch.midi for tone in sounding(line)]


@pytest.mark.parametrize("grade", GRADES)
@pytest.mark.parametrize("position", [1, 5, 10, None])
def test_terms_lie_within_the_position_and_the_grade(grade, position):
    terms = terms_of(EtudeAsked(grade=grade, position=position))
    assert 0 < terms.high - terms.low <= GRADES[grade].span
    whole = terms_of(EtudeAsked(grade=max(GRADES), position=position))
    assert whole.low <= terms.low
    assert terms.high <= whole.high


def test_a_free_hand_goes_where_it_likes():
    made = made_etude(Take(CHARTS["cellar-stairs"]), EtudeAsked(SOME, 5, None))
    assert made.fingering.stops
    assert made.parts


def test_another_program_reads_the_same_notes():
    # music21, a general-purpose library
    from music21 import converter

    made = made_etude(Take(CHARTS["cellar-stairs"]), EtudeAsked(SOME, 5))
    sheet = etude_playable(Take(CHARTS["cellar-stairs"]), EtudeAsked(SOME, 5), "staff").sheet
    score = converter.parse(musicxml.encode(sheet).decode(), format="musicxml").stripTies()
    read = [(round(n.offset * 12), n.pitch.midi) for n in score.flatten().notes if n.isNote]
    assert read == [(round(t.start * 12), t.pitch.midi) for t in sounding(made.line)]
