"""What the tests of routines share: a reading of a line that knows nothing of how it was made."""

from dataclasses import dataclass
from itertools import pairwise

import pytest

from chartkit.guitar.fretboard import pitch_at
from chartkit.line import Line
from chartkit.theory.chord import Chord


@dataclass(frozen=True)
class Heard:
    """A passage as it is read off a line."""

    label: str
    pitches: list[int]
    chords: list[Chord]


def check_line(line: Line):
    """Notes and spans fill whole bars, end to end; only a last note is longer than the others."""
    assert line.notes[0].start == line.spans[0].start == 0
    for parts in (line.notes, line.spans):
        for one, after in pairwise(parts):
            assert one.start + one.length == after.start
    bar = line.spans[0].meter.length
    assert (line.notes[-1].start + line.notes[-1].length) % bar == 0
    ends = {part[-1].start + part[-1].length for part in (line.notes, line.spans)}
    assert len(ends) == 1
    for span in line.spans:
        assert span.meter.length == bar
        assert span.bar_start % bar == 0
        assert span.bar_start <= span.start < span.start + span.length <= span.bar_start + bar
        assert span.bar.number == span.bar_start / bar + 1
        assert span.scale is not None
        assert not (span.new and span.chord is None)


@pytest.fixture(scope="session")
def passages():
    """A function from a routine to what is heard under each label; checks the line as it goes."""

    def read(made):
        check_line(made.line)
        found = []
        for span in made.line.spans:
            if span.bar.index == 0 and span.start == span.bar_start:
                found.append(Heard(span.bar.section, [], []))
            if span.new:
                found[-1].chords.append(span.chord)
            inside = range_of(span)
            found[-1].pitches.extend(
                note.pitch.midi for note in made.line.notes if inside(note.start)
            )
        check_fingering(made)
        return found

    return read


def range_of(span):
    return lambda beat: span.start <= beat < span.start + span.length


def check_fingering(made):
    if made.instrument.tuning is None:
        assert made.fingering is None
        return
    pairs = zip(made.line.notes, made.fingering.stops, made.fingering.positions, strict=True)
    for note, stop, position in pairs:
        assert pitch_at(made.instrument.tuning, stop.string, stop.fret) == note.pitch.midi
        assert stop.fret == 0 or position - 1 <= stop.fret <= position + 4
        assert (stop.finger == 0) == (stop.fret == 0)
