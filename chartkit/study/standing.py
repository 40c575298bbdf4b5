"""Each chord for as long as it stands, with the chords around it.

Conventions: spans of one root and one kind of chord that follow each other are one standing chord,
whatever their tensions and bass notes, and over a break of N.C. as well; in a loop the last and the
first may be one. Spans are named by their indexes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chartkit.harmony import Span
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import same_function


@dataclass(frozen=True, slots=True)
class Standing:
    """A chord (as its first span writes it) and the indexes of its spans, in order of time.

    Over the seam of a loop the indexes start again from the front.
    """

    chord: Chord
    spans: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Around:
    """A chord and its neighbours.

    Parameters
    ----------
    chord : Chord
    before : Chord or None
        The chord that stands before it.
    goal : Chord or None
        The next chord on another root: a dominant that waits as a minor chord on its own root
        (``D7 Dm7 G7``) goes where that one goes.
    beyond : Chord or None
        The goal's own goal.
    """

    chord: Chord
    before: Chord | None = None
    goal: Chord | None = None
    beyond: Chord | None = None

    def goes(self, semitones: int) -> bool:
        """Tell whether the goal's root lies so many semitones above this one's (modulo 12)."""
        return self.goal is not None and interval(self.chord, self.goal) == semitones % 12


def interval(one: Chord, other: Chord) -> int:
    """Return the semitones from a chord's root up to another's, 0-11."""
    return (other.root.pitch_class - one.root.pitch_class) % 12


def standings(spans: Sequence[Span], *, loop: bool) -> tuple[Standing, ...]:
    """Join spans to chords that stand; those without a chord are left out.

    Parameters
    ----------
    spans : sequence of Span
    loop : bool
        The end leads into the beginning.
    """
    found: list[Standing] = []
    for index, span in enumerate(spans):
        if span.chord is None:
            continue
        if found and same_function(found[-1].chord, span.chord):
            found[-1] = Standing(found[-1].chord, (*found[-1].spans, index))
        else:
            found.append(Standing(span.chord, (index,)))
    if loop and len(found) > 1 and same_function(found[-1].chord, found[0].chord):
        last = found.pop()
        found[0] = Standing(last.chord, (*last.spans, *found[0].spans))
    return tuple(found)


def surroundings(chords: Sequence[Standing], *, loop: bool) -> tuple[Around, ...]:
    """Return every standing chord with its neighbours, round the seam in a loop."""
    onward = _onward(chords, loop=loop)
    found = []
    for index, one in enumerate(chords):
        goal = onward[index]
        beyond = None if goal is None else onward[goal]
        before = chords[index - 1].chord if index or (loop and len(chords) > 1) else None
        found.append(
            Around(
                one.chord,
                before,
                None if goal is None else chords[goal].chord,
                None if beyond is None else chords[beyond].chord,
            )
        )
    return tuple(found)


def _onward(chords: Sequence[Standing], *, loop: bool) -> list[int | None]:
    """Return for each chord the index of the next one on another root.

    Going backwards, the one after next is known before it is asked for; a loop is gone through
    twice, so that its end knows its beginning.
    """
    count = len(chords)
    onward: list[int | None] = [None] * count
    for index in reversed(range(count if not loop else 2 * count)):
        here, following = index % count, (index + 1) % count
        if index + 1 == count and not loop:
            continue
        other = interval(chords[here].chord, chords[following].chord) != 0
        onward[here] = following if other else onward[following]
    return onward
