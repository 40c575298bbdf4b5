from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from chartkit.chart import Meter
from chartkit.exercise.connected import connected
from chartkit.exercise.heard import line_track
from chartkit.instrument import INSTRUMENTS
from chartkit.track import Note


def test_notes_as_written_in_straight_time(changes):
    line = connected(changes("Dm7 | N.C. | G7"), 45, 72)
    track = line_track(line)
    # General MIDI 1: electric guitar (jazz) is program 27 counted from 1.
    assert (track.part, track.program) == ("line", 26)
    assert line_track(line, INSTRUMENTS["flute"]).program == INSTRUMENTS["flute"].program != 26
    written = [(note.start, note.length, note.pitch.midi) for note in line.notes if note.pitch]
    assert [(note.start, note.length, note.pitch) for note in track.notes] == written


def test_tied_notes_sound_once(changes):
    line = connected(changes("Dm7 | Dm7"), 45, 72, value=Fraction(4))
    low = line.notes[0]
    tied = (replace(low, tie=True), replace(low, start=Fraction(4)))
    notes = line_track(replace(line, notes=tied)).notes
    assert [(note.start, note.length) for note in notes] == [(0, 8)]


@pytest.mark.parametrize(
    ("meter", "value"),
    [
        (Meter(4), Fraction(1, 2)),
        (Meter(4), Fraction(1, 3)),
        (Meter(3), Fraction(1)),
        (Meter(4), Fraction(2)),
        (Meter(4, Fraction(3, 2)), Fraction(1, 2)),
        (Meter(2), Fraction(2)),
    ],
)
def test_the_meter_is_heard_and_no_neighbours_are_alike(changes, meter, value):
    line = connected(changes("Dm7 | G7 | Cmaj7", meter), 45, 72, value=value)
    notes: tuple[Note, ...] = line_track(line).notes
    on_one = [note.velocity for note in notes if note.start % meter.length == 0]
    on_a_beat = [
        note.velocity
        for note in notes
        if note.start % meter.length and note.start % meter.length % meter.unit == 0
    ]
    between = [note.velocity for note in notes if note.start % meter.length % meter.unit]
    assert len(on_one) == 3
    assert all(min(on_one) > velocity for velocity in on_a_beat + between)
    assert all(min(on_a_beat) > velocity for velocity in between)
    assert all(1 <= note.velocity <= 127 for note in notes)
    assert all(last.velocity != note.velocity for last, note in pairwise(notes))
