"""Going through tones in one direction, and turning round where the range ends.

Conventions: of each choice of tones the nearest one strictly beyond the last note is taken, in the
direction of travel; where there is none the direction changes. A change of chord by itself turns
nothing, and at the rim a line that turns never repeats its note.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from chartkit.exercise.tones import ChordTone


def travel(
    choices: Iterable[Sequence[ChordTone]],
    start: int | None,
    *,
    upward: bool,
    role: str = "root",
) -> Iterator[ChordTone]:
    """Yield one tone of each choice.

    Parameters
    ----------
    choices : iterable of sequences of ChordTone
        For each note the tones it may be, lowest first, two at least.
    start : int or None
        MIDI note number: the first note is the tone nearest to it (of two the lower one). None
        begins on the lowest tone of a role going up, on the highest going down; where there is
        none, on the lowest or highest tone.
    upward : bool
        The first direction.
    role : str
        What the first note is to its chord.
    """
    last: ChordTone | None = None
    for tones in choices:
        if last is None:
            last = first_tone(tones, start, upward=upward, role=role)
        else:
            last, upward = _next(tones, last, upward)
        yield last


def first_tone(
    tones: Sequence[ChordTone], start: int | None, *, upward: bool, role: str = "root"
) -> ChordTone:
    """Return the tone that a line begins on, as `travel` has it."""
    if start is not None:
        return nearest(tones, start)
    from_the_rim = tones if upward else tones[::-1]
    return next((tone for tone in from_the_rim if tone.role == role), from_the_rim[0])


def nearest(tones: Iterable[ChordTone], midi: int) -> ChordTone:
    """Return the tone nearest to a MIDI note number, of two equally near the lower one."""
    return min(tones, key=lambda tone: (abs(tone.midi - midi), tone.midi))


def _next(tones: Sequence[ChordTone], last: ChordTone, upward: bool) -> tuple[ChordTone, bool]:
    """Return the next tone and the direction it lies in; with two tones one always lies beyond."""
    above = [tone for tone in tones if tone.midi > last.midi]
    below = [tone for tone in tones if tone.midi < last.midi]
    upward = bool(above) if upward else not below
    return (above[0] if upward else below[-1]), upward
