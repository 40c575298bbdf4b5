"""What a chord does in a key: the tests that its role is found by.

Conventions: each test speaks of the chord of a `View`; steps are semitones above the key's tonic.
"In the key" means that root, third and seventh lie in its scale (the major seventh of a minor chord
is colour), and the fifth of a minor chord, which tells it from a half-diminished one. A minor key
has the tones of natural, harmonic and melodic minor, one of them at a time. [common practice, no
source]
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from chartkit.study.standing import Around, interval
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import Degree
from chartkit.theory.scale import SCALES

_TONIC, _SUBDOMINANT, _FIFTH = 0, 5, 7
_FOURTH_UP, _SEMITONE_DOWN, SEMITONE_UP = 5, 11, 1

_TARGETS: Final[Mapping[Mode, frozenset[int]]] = {
    "major": frozenset({2, 4, 5, 7, 9}),
    "minor": frozenset({5, 7, 8, 10}),
}
"""Steps that can have a dominant of their own. In minor that of bIII is bVII itself."""

_NEIGHBOURS: Final[Mapping[Mode, frozenset[int]]] = {
    "major": frozenset({0, 2, 4, 5, 7, 9}),
    "minor": frozenset({0, 2, 3, 5, 7, 8, 10}),
}
"""Steps that a dominant may fall to by a semitone."""

_OWN: Final[Mapping[Mode, tuple[str, ...]]] = {
    "major": ("ionian",),
    "minor": ("aeolian", "harmonic minor", "melodic minor"),
}
_PARALLEL: Final[Mapping[Mode, tuple[str, ...]]] = {
    "major": ("aeolian", "harmonic minor", "melodic minor", "dorian", "phrygian", "mixolydian"),
    "minor": ("ionian", "dorian", "phrygian"),
}
"""Scales on the tonic whose chords are in the key, and those whose chords it borrows."""


@dataclass(frozen=True, slots=True)
class View:
    """A chord among its neighbours, seen from a key; `blues` where its tonic chord is dominant."""

    around: Around
    key: Key
    blues: bool = False

    @property
    def step(self) -> int:
        """Semitones of the root above the key's tonic, 0-11."""
        return self._above_tonic(self.around.chord)

    @property
    def goal_step(self) -> int | None:
        """Semitones of the goal's root above the key's tonic, 0-11."""
        return self._above_tonic(self.around.goal) if self.around.goal else None

    def onward(self) -> View | None:
        """Return the same view of the goal; None where the music ends."""
        if self.around.goal is None:
            return None
        return View(
            Around(self.around.goal, self.around.chord, self.around.beyond), self.key, self.blues
        )

    def _above_tonic(self, chord: Chord) -> int:
        return (chord.root.pitch_class - self.key.tonic.pitch_class) % 12


def is_small(chord: Chord) -> bool:
    """Tell whether a chord has a minor third."""
    return chord.third == Degree(3, -1)


def _in_scales(view: View, names: tuple[str, ...]) -> bool:
    frame = {(view.step + degree.semitones) % 12 for degree in _frame(view.around.chord)}
    return any(frame <= {degree.semitones for degree in SCALES[name]} for name in names)


def _frame(chord: Chord) -> tuple[Degree, ...]:
    """Return the degrees that tell what a chord is."""
    small = is_small(chord)
    seventh = None if small and chord.seventh == Degree(7) else chord.seventh
    parts = (Degree(1), chord.third, chord.fifth if small else None, seventh)
    return tuple(part for part in parts if part)


def is_in_key(view: View) -> bool:
    """Tell whether it lies in one of the key's own scales."""
    return _in_scales(view, _OWN[view.key.mode])


def is_blues(view: View) -> bool:
    """Tell whether it is I7 or IV7 of a blues, and not led to another degree by its own ii."""
    chord, before = view.around.chord, view.around.before
    if not (view.blues and kind(chord) == "dominant" and view.step in (_TONIC, _SUBDOMINANT)):
        return False
    led = before is not None and is_second(before) and interval(before, chord) == _FOURTH_UP
    return not (led and view.around.goes(_FOURTH_UP))


def is_second(chord: Chord) -> bool:
    """Tell whether a chord can be the ii of a dominant: minor or half-diminished, no major 7th."""
    minor = kind(chord) in ("minor", "half-diminished")
    return minor and chord.seventh != Degree(7)


def is_own_dominant(view: View) -> bool:
    """Tell whether it is the key's V7, whatever it goes to."""
    return view.step == _FIFTH and kind(view.around.chord) == "dominant"


def is_secondary(view: View) -> bool:
    """Tell whether it goes up a fourth as the dominant of another degree."""
    return (
        view.around.goes(_FOURTH_UP)
        and view.goal_step in _TARGETS[view.key.mode]
        and not is_own_dominant(view)
        and (kind(view.around.chord) == "dominant" or _is_foreign_triad(view))
    )


def _is_foreign_triad(view: View) -> bool:
    """Tell whether it is a major or augmented triad outside the key."""
    chord = view.around.chord
    triad = kind(chord) in ("major", "augmented") and chord.seventh is None
    return triad and not is_in_key(view)


def is_substitute(view: View) -> bool:
    """Tell whether it falls a semitone as the tritone substitute of a degree's dominant."""
    return (
        kind(view.around.chord) == "dominant"
        and view.around.goes(_SEMITONE_DOWN)
        and view.goal_step in _NEIGHBOURS[view.key.mode]
    )


def is_unresolved(view: View) -> bool:
    """Tell whether it is the dominant of another degree, but goes elsewhere."""
    to = (view.step + _FOURTH_UP) % 12
    return kind(view.around.chord) == "dominant" and to in _TARGETS[view.key.mode]


def is_unresolved_substitute(view: View) -> bool:
    """Tell whether it is the substitute of the key's own dominant, but goes elsewhere."""
    return kind(view.around.chord) == "dominant" and view.step == SEMITONE_UP


def is_related(view: View) -> bool:
    """Tell whether it is the ii of a dominant other than the key's V7."""
    dominant = view.onward()
    return (
        dominant is not None
        and is_second(view.around.chord)
        and view.around.goes(_FOURTH_UP)
        and any(led(dominant) for led in _OTHER_DOMINANTS)
    )


_OTHER_DOMINANTS: Final = (
    is_secondary,
    is_substitute,
    is_unresolved,
    is_unresolved_substitute,
)


def is_diminished(view: View) -> bool:
    """Tell whether it is a diminished triad or seventh."""
    return kind(view.around.chord) == "diminished"


def is_borrowed(view: View) -> bool:
    """Tell whether it lies in a scale of the parallel key."""
    return _in_scales(view, _PARALLEL[view.key.mode])
