"""Which notes carry an accidental.

Conventions: an accidental holds for its line and octave to the end of the measure, and over a tie.
A reminder in brackets stands where the same letter was altered otherwise in this measure (in any
octave) or on the same line in the measure before. Source: Gould, Behind Bars (2011),
"Accidentals", from memory.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from chartkit.notate.sheet import Event
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch

SHARPS: Final = "FCGDAEB"
"""The order in which sharps are added to a key signature; flats are added from its end."""

_PLAIN: Final = {
    "#": ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"),
    "b": ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"),
}
"""Names without double accidentals."""


def signature(key: Key) -> dict[str, int]:
    """Return the alteration of each letter that a key signature alters."""
    count = abs(key.fifths)
    letters = SHARPS[:count] if key.fifths > 0 else SHARPS[::-1][:count]
    return dict.fromkeys(letters, 1 if key.fifths > 0 else -1)


def simpler(pitch: Pitch) -> Pitch:
    """Return the pitch as it is printed: a double accidental gives way to the plain name.

    >>> str(simpler(Pitch.parse("Bbb3")))
    'A3'
    """
    alter = pitch.name.alter
    if abs(alter) < 2:  # noqa: PLR2004 (a double accidental)
        return pitch
    name = _PLAIN["#" if alter > 0 else "b"][pitch.midi % 12]
    return Pitch.at(NoteName.parse(name), pitch.midi)


Line = tuple[str, int]
"""A letter and its octave: a line or space of the staff."""


class _Reader:
    """What a reader of the staff has in mind while going through it."""

    def __init__(self) -> None:
        self.key: dict[str, int] = {}
        self.seen: dict[Line, int] = {}
        self.before: dict[Line, int] = {}

    def bar_line(self) -> None:
        self.before, self.seen = self.seen, {}

    def expects(self, line: Line) -> int:
        return self.seen.get(line, self.key.get(line[0], 0))

    def doubts(self, line: Line, alter: int) -> bool:
        """Tell whether a note that needs no accidental could be misread for want of one."""
        if line in self.seen:
            return False
        here = any(other[0] == line[0] and a != alter for other, a in self.seen.items())
        return here or self.before.get(line, alter) != alter

    def read(self, event: Event) -> Event:
        if event.pitch is None or event.tied_back:
            return event
        alter = event.pitch.name.alter
        line = (event.pitch.name.letter, event.pitch.octave)
        due = self.expects(line) != alter
        courtesy = not due and self.doubts(line, alter)
        self.seen[line] = alter
        return replace(event, accidental=alter, courtesy=courtesy) if due or courtesy else event


def with_accidentals(
    measures: list[tuple[Key, tuple[Event, ...]]],
) -> list[tuple[Event, ...]]:
    """Return the events of each measure with the accidentals that are printed.

    Parameters
    ----------
    measures : list of (Key, tuple of Event)
        Each measure's key signature and events, in order.
    """
    reader = _Reader()
    done = []
    for key, events in measures:
        reader.key = signature(key)
        done.append(tuple(map(reader.read, events)))
        reader.bar_line()
    return done
