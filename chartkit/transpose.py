"""Moving a chart to another key, with the spelling a copyist would use.

Conventions: every root and slash bass keeps its letter distance from the key; what then comes out
as C flat, F flat, E sharp, B sharp or with a double accidental is respelled (the chart language's
own rule). A section in a key of its own moves as far as the chart does. Modes stay.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Final

from chartkit.chart import Change, Chart, Section, Slot
from chartkit.form import key_of
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import LETTERS, NATURAL, NoteName

_RARE: Final = frozenset({"Cb", "Fb", "E#", "B#"})


def transpose(chart: Chart, semitones: int) -> Chart:
    """Move a chart by semitones, up or down, to the customary name of the key it reaches.

    A whole number of octaves changes nothing. A chart without a key stays without one; its
    estimated key is the one that its notes keep their distance from.
    """
    if semitones % 12 == 0:
        return chart
    home = key_of(chart)
    return _moved(chart, home, _up(home, semitones))


def transpose_to(chart: Chart, key: Key) -> Chart:
    """Move a chart to a key under the name it is given; the chart's own mode stays.

    A chart without a key gets one.
    """
    home = key_of(chart)
    goal = replace(key, mode=home.mode)
    return _moved(replace(chart, key=home), home, goal)


def transpose_chord(chord: Chord, home: Key, goal: Key) -> Chord:
    """Move a chord as far as `goal` lies from `home`.

    Examples
    --------
    >>> from chartkit.theory.symbol import read_symbol, write_symbol
    >>> chord = read_symbol("Bb7/D").chord
    >>> write_symbol(transpose_chord(chord, Key.written(5, "major"), Key.written(9, "major")))
    'D7/F#'
    """
    if home == goal:
        return chord
    root = transpose_name(chord.root, home, goal)
    bass = transpose_name(chord.bass, home, goal) if chord.bass else None
    return Chord(root, chord.degrees, None if bass == root else bass)


def _moved(chart: Chart, home: Key, goal: Key) -> Chart:
    """Move every section from its own key to the one that lies as far as `goal` from `home`."""
    semitones = goal.tonic.pitch_class - home.tonic.pitch_class

    def moved_key(key: Key) -> Key:
        return goal if key == home else _up(key, semitones)

    sections = tuple(
        _moved_section(section, section.key or home, moved_key) for section in chart.sections
    )
    return replace(chart, sections=sections, key=chart.key and moved_key(chart.key))


def _up(key: Key, semitones: int) -> Key:
    """Return the key so far above; the same key under the same name for no distance at all."""
    if semitones % 12 == 0:
        return key
    return Key.written(key.tonic.pitch_class + semitones, key.mode)


def _moved_section(section: Section, home: Key, moved_key: Callable[[Key], Key]) -> Section:
    move = partial(_moved_slot, home=home, goal=moved_key(home))
    bars = tuple(replace(bar, slots=tuple(map(move, bar.slots))) for bar in section.bars)
    return replace(section, bars=bars, key=section.key and moved_key(section.key))


def _moved_slot(slot: Slot, home: Key, goal: Key) -> Slot:
    if isinstance(slot, Change) and slot.chord:
        return replace(slot, chord=transpose_chord(slot.chord, home, goal))
    return slot


def transpose_name(name: NoteName, home: Key, goal: Key) -> NoteName:
    """Keep the letter's distance from the key, then respell what would be rare."""
    steps = LETTERS.index(name.letter) - LETTERS.index(home.tonic.letter)
    letter = LETTERS[(LETTERS.index(goal.tonic.letter) + steps) % 7]
    pitch_class = name.pitch_class + goal.tonic.pitch_class - home.tonic.pitch_class
    moved = NoteName(letter, (pitch_class - NATURAL[letter] + 6) % 12 - 6)
    is_rare = abs(moved.alter) > 1 or str(moved) in _RARE
    return moved.plain if is_rare else moved
