"""What a position offers of each chord's arpeggio.

Conventions: an arpeggio is K of a chord (`Chord.essential`) all over a position's window, within a
range where one is given. It is complete where each of its tones has a place there. A stretch is one
of its notes between those on the position's four frets that only p-1 or p+4 has, as in
`chartkit.guitar.fretboard.stretches`; in position I that is an open string.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chartkit.errors import RequestError
from chartkit.guitar.fretboard import STANDARD, Tuning, compass, places, stretches, window
from chartkit.harmony import Span
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName, Pitch


@dataclass(frozen=True, slots=True)
class Arpeggio:
    """A chord's arpeggio in a position.

    Parameters
    ----------
    chord : Chord
    missing : tuple of NoteName
        Tones that have no place there.
    stretches : tuple of Pitch
        Notes that take a stretch, lowest first.
    """

    chord: Chord
    missing: tuple[NoteName, ...]
    stretches: tuple[Pitch, ...]


def arpeggios(
    spans: Sequence[Span],
    position: int,
    tuning: Tuning = STANDARD,
    *,
    low: int | None = None,
    high: int | None = None,
) -> tuple[Arpeggio, ...]:
    """Return the arpeggios of some changes in the order they come, one for all chords of one K.

    Parameters
    ----------
    spans : sequence of Span
    position : int
        Fret of the first finger.
    tuning : Tuning
    low, high : int, optional
        MIDI note numbers to stay within, both included; the window's own by default.

    Raises
    ------
    RequestError
        The neck has no such position.
    """
    ends = within(tuning, position, low, high)
    chords: dict[tuple[NoteName, tuple[Degree, ...]], Chord] = {}
    for span in spans:
        if span.chord:
            chords.setdefault((span.chord.root, span.chord.essential), span.chord)
    return tuple(_arpeggio(chord, position, tuning, *ends) for chord in chords.values())


def within(tuning: Tuning, position: int, low: int | None, high: int | None) -> tuple[int, int]:
    """Return the part of a position's compass that lies within a range; see `arpeggios`."""
    if position not in tuning.positions:
        last = tuning.positions[-1]
        raise RequestError(f"there is no position {position}; choose one from 1 to {last}")
    lowest, highest = compass(tuning, position)
    return (
        lowest if low is None else max(low, lowest),
        highest if high is None else min(high, highest),
    )


def _arpeggio(chord: Chord, position: int, tuning: Tuning, low: int, high: int) -> Arpeggio:
    names = {name.pitch_class: name for name in map(chord.root.up, chord.essential)}
    frets = window(position)
    there = {midi % 12 for midi in range(low, high + 1) if places(tuning, midi, frets)}
    return Arpeggio(
        chord,
        tuple(name for pitch_class, name in names.items() if pitch_class not in there),
        tuple(
            Pitch.at(names[midi % 12], midi)
            for midi in stretches(tuning, position, names)
            if low <= midi <= high
        ),
    )
