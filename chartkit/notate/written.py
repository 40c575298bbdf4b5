"""A line as it is written for an instrument that sounds otherwise than it reads.

Conventions: the key of every span moves as a chart's would, to its customary name, and chord
symbols and notes keep their places in it. Octaves move notes only.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from chartkit.harmony import Span
from chartkit.line import Line, LineNote, span_at
from chartkit.theory.key import Key
from chartkit.theory.pitch import Pitch
from chartkit.transpose import transpose_chord, transpose_name


def written(line: Line, semitones: int) -> Line:
    """Return a line as written so many semitones above its sound; scales are left as they were.

    Parameters
    ----------
    line : Line
        Sounding.
    semitones : int
        From the sound up to what is written.
    """
    if not semitones:
        return line
    notes = tuple(_note(note, span_at(line, note.start).key, semitones) for note in line.notes)
    return Line(notes, tuple(map(partial(_span, semitones=semitones), line.spans)))


def _key(key: Key, semitones: int) -> Key:
    if semitones % 12 == 0:
        return key
    return Key.written(key.tonic.pitch_class + semitones, key.mode)


def _span(span: Span, semitones: int) -> Span:
    goal = _key(span.key, semitones)
    chord = span.chord and transpose_chord(span.chord, span.key, goal)
    return replace(span, key=goal, chord=chord)


def _note(note: LineNote, home: Key, semitones: int) -> LineNote:
    if note.pitch is None:
        return note
    name = transpose_name(note.pitch.name, home, _key(home, semitones))
    return replace(note, pitch=Pitch.at(name, note.pitch.midi + semitones))
