"""The cadences as rows: a few chords, each on one of some degrees, of one of some sorts.

Conventions: degrees are semitones above the tonic. Small letters name a minor tonic: ``ii-V-i``.
Names and contents: common practice, no source.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple, TypeAlias

from chartkit.theory.chord_scale import Kind
from chartkit.theory.key import Mode

Sort: TypeAlias = Kind | Literal["triad", "blues"]
"""A kind of chord, "triad" for a major or augmented one without a seventh or sixth, "blues" for the
dominant sevenths on I and IV of a blues, which are at rest."""

Part: TypeAlias = Literal["whole", "first bar", "last bar"]
"""What of a chord belongs to the cadence."""

TURNAROUND: Final = "turnaround"
HALF: Final = "half"
"""A section's end on V; it goes by where it stands, so it is no row."""

HALF_SORTS: Final[frozenset[Sort]] = frozenset({"dominant", "triad"})
"""What a V may be that a section ends on."""


class Slot(NamedTuple):
    """A chord of a row: semitones above the tonic, sorts, and the bar of it that counts."""

    steps: frozenset[int]
    sorts: frozenset[Sort]
    part: Part = "whole"


class Row(NamedTuple):
    """A cadence: its name, its tonic's mode, its chords.

    Where no mode is given, the ii tells it: half-diminished in minor. A row `at_home` is heard
    against the tonic of the area only, whose own mode holds where none is given; it lasts at most
    `longest` bars.
    """

    name: str
    mode: Mode | None
    slots: tuple[Slot, ...]
    at_home: bool = False
    longest: int | None = None


def _slot(step: int, *sorts: Sort) -> Slot:
    return Slot(frozenset({step}), frozenset(sorts))


def _arrival(step: int, *sorts: Sort) -> Slot:
    return Slot(frozenset({step}), frozenset(sorts), "first bar")


_II: Final = _slot(2, "minor", "half-diminished")
_V: Final = _slot(7, "dominant")
_V_TRIAD: Final = _slot(7, "triad")
_SUB_V: Final = _slot(1, "dominant")
_MAJOR: Final = _arrival(0, "major", "augmented", "triad", "blues")
_MINOR: Final = _arrival(0, "minor")
_ANY_TONIC: Final = _arrival(0, *_MAJOR.sorts, *_MINOR.sorts)
_SETTING_OUT: Final = Slot(frozenset({0, 4}), _ANY_TONIC.sorts, "last bar")
_ON_THE_WAY: Final = (
    _slot(9, "minor", "half-diminished", "dominant"),
    Slot(frozenset({1, 3}), frozenset({"diminished"})),
    _slot(3, "dominant"),
)
_ANY_II: Final = _slot(2, "minor", "half-diminished", "dominant")
_ANY_V: Final = Slot(frozenset({1, 7}), frozenset({"dominant"}))

ROWS: Final = (
    Row("ii-V-I", "major", (_II, _V, _MAJOR)),
    Row("ii-V-i", "minor", (_II, _V, _MINOR)),
    Row("ii-subV-I", "major", (_II, _SUB_V, _MAJOR)),
    Row("ii-subV-i", "minor", (_II, _SUB_V, _MINOR)),
    Row("ii-V", None, (_II, _V)),
    Row("V-I", "major", (_V, _MAJOR)),
    Row("V-i", "minor", (_V, _MINOR)),
    Row("subV-I", "major", (_SUB_V, _MAJOR)),
    Row("subV-i", "minor", (_SUB_V, _MINOR)),
    Row("ii-V-I", "major", (_II, _V_TRIAD, _MAJOR), at_home=True),
    Row("ii-V-i", "minor", (_II, _V_TRIAD, _MINOR), at_home=True),
    Row("V-I", "major", (_V_TRIAD, _MAJOR), at_home=True),
    Row("V-i", "minor", (_V_TRIAD, _MINOR), at_home=True),
    Row("backdoor", "major", (_slot(5, "minor"), _slot(10, "dominant"), _MAJOR), at_home=True),
    Row("backdoor", "major", (_slot(10, "dominant"), _MAJOR), at_home=True),
    Row("plagal", None, (_slot(5, *_ANY_TONIC.sorts), _ANY_TONIC), at_home=True),
    Row("deceptive", None, (_slot(7, "dominant", "triad"), _arrival(9, "minor")), at_home=True),
    Row(
        "deceptive",
        None,
        (_slot(7, "dominant", "triad"), _arrival(8, "major", "triad")),
        at_home=True,
    ),
    *(
        Row(TURNAROUND, None, (_SETTING_OUT, way, _ANY_II, _ANY_V), at_home=True, longest=2)
        for way in _ON_THE_WAY
    ),
)
