"""Roman numerals: what each chord is to a key.

Conventions: degrees are counted against the major scale of the key's tonic in both modes, so that a
minor key has bIII, bVI and bVII; capitals for a major third (or none), small letters for a minor
one. A numeral ends in the symbol's own quality. ``V7/ii`` is the dominant of the key's second
degree, ``ii7/IV`` the second degree of its fourth, ``subV7`` the dominant a tritone away from V;
a dominant that goes elsewhere is written as it stands, ``VI7`` or ``bII7``. A slash bass changes
nothing. Numerals depend on sounds alone, so they are the same in all twelve keys.

The rules are rows of a table, tried from the top (common practice, no source). "In the key" means
that root, third and seventh lie in its scale (the major seventh of a minor chord is colour), and
the fifth of a minor chord, which tells it from a half-diminished one. A minor key has the tones of
natural, harmonic and melodic minor, one of them at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from chartkit.study.standing import Around, interval
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import Degree
from chartkit.theory.scale import SCALES
from chartkit.theory.tidy import tidy_quality

Role = Literal[
    "diatonic",
    "blues",
    "secondary dominant",
    "tritone substitute",
    "related ii",
    "diminished",
    "borrowed",
    "chromatic",
]


@dataclass(frozen=True, slots=True)
class Numeral:
    """What a chord is to a key.

    Parameters
    ----------
    degree : str
        ``ii``, ``bVII``, ``subV``.
    quality : str
        The rest of the symbol: ``maj7``, ``7(b9,b13)``, ``7b5`` of a half-diminished ``ii7b5``.
    target : str
        The degree of the key that it is heard against, ``ii`` in ``V7/ii``; empty for the tonic.
    role : str
        "related ii" is the minor chord a fifth above a dominant of another degree, "borrowed" a
        chord of the parallel key, "blues" the dominant sevenths of a blues on I and IV,
        "diminished" a diminished chord between two others; "chromatic" what no rule explains.
    """

    degree: str
    quality: str
    target: str
    role: Role

    def __str__(self) -> str:
        return self.degree + self.quality + (f"/{self.target}" if self.target else "")


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


def numeral(view: View) -> Numeral:
    """Return the numeral of a chord.

    Examples
    --------
    >>> from chartkit.theory.symbol import read_symbol
    >>> d7, g7, c7 = (read_symbol(text).chord for text in ("D7b9", "Gm7", "C7"))
    >>> str(numeral(View(Around(d7, goal=g7, beyond=c7), Key.written(5, "major"))))
    'V7b9/ii'
    """
    return respelled(_function(view), view.around.chord)


def respelled(found: Numeral, chord: Chord) -> Numeral:
    """Return a numeral with the quality of another chord of the same function."""
    quality = tidy_quality(chord.degrees)
    if _is_small(chord):
        quality = quality.removeprefix("m")
    return Numeral(found.degree, quality, found.target, found.role)


_FLATS: Final = ("I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII")
_SHARPS: Final = ("I", "#I", "II", "#II", "III", "IV", "#IV", "V", "#V", "VI", "#VI", "VII")
"""Degrees by semitones above the tonic. The raised fourth is one everywhere: no chord of the
parallel keys stands on a flat five."""

_TONIC, _SUBDOMINANT, _FIFTH = 0, 5, 7
_FOURTH_UP, _SEMITONE_DOWN, _SEMITONE_UP = 5, 11, 1

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


class _Rule(NamedTuple):
    """A row: what it finds, where it applies, and how it writes degree and target."""

    role: Role
    applies: Callable[[View], bool]
    writes: Callable[[View], tuple[str, str]]


def _function(view: View) -> Numeral:
    rule = next(rule for rule in _RULES if rule.applies(view))
    degree, target = rule.writes(view)
    return Numeral(degree, "", target, rule.role)


def _plain(view: View) -> tuple[str, str]:
    return _degree(view.step, view.around.chord), ""


def _degree(step: int, chord: Chord, names: tuple[str, ...] = _FLATS) -> str:
    name = names[step]
    return name.lower() if _is_small(chord) else name


def _is_small(chord: Chord) -> bool:
    return chord.third == Degree(3, -1)


def _target(view: View) -> str:
    """Return the degree of the goal; empty for the tonic."""
    goal, step = view.around.goal, view.goal_step
    return _degree(step, goal) if goal and step else ""


def _dominant_of(view: View) -> tuple[str, str]:
    return "V", _target(view)


def _substitute_of(view: View) -> tuple[str, str]:
    return "subV", _target(view)


def _related(view: View) -> tuple[str, str]:
    """Write a related ii against the goal of its dominant; before a substitute, as it stands."""
    dominant = view.onward()
    if dominant and _is_secondary(dominant):
        return "ii", _target(dominant)
    return _plain(view)


def _passing(view: View) -> tuple[str, str]:
    """Name a diminished chord with a sharp where it rises by a semitone, else with a flat."""
    names = _SHARPS if view.around.goes(_SEMITONE_UP) else _FLATS
    return _degree(view.step, view.around.chord, names), ""


def _in_scales(view: View, names: tuple[str, ...]) -> bool:
    frame = {(view.step + degree.semitones) % 12 for degree in _frame(view.around.chord)}
    return any(frame <= {degree.semitones for degree in SCALES[name]} for name in names)


def _frame(chord: Chord) -> tuple[Degree, ...]:
    """Return the degrees that tell what a chord is."""
    small = _is_small(chord)
    seventh = None if small and chord.seventh == Degree(7) else chord.seventh
    parts = (Degree(1), chord.third, chord.fifth if small else None, seventh)
    return tuple(part for part in parts if part)


def _is_in_key(view: View) -> bool:
    return _in_scales(view, _OWN[view.key.mode])


def _is_blues(view: View) -> bool:
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


def _is_the_fifth(view: View) -> bool:
    return view.step == _FIFTH and kind(view.around.chord) == "dominant"


def _is_secondary(view: View) -> bool:
    return (
        view.around.goes(_FOURTH_UP)
        and view.goal_step in _TARGETS[view.key.mode]
        and not _is_the_fifth(view)
        and (kind(view.around.chord) == "dominant" or _is_foreign_triad(view))
    )


def _is_foreign_triad(view: View) -> bool:
    """Tell whether it is a major or augmented triad outside the key."""
    chord = view.around.chord
    triad = kind(chord) in ("major", "augmented") and chord.seventh is None
    return triad and not _is_in_key(view)


def _is_substitute(view: View) -> bool:
    return (
        kind(view.around.chord) == "dominant"
        and view.around.goes(_SEMITONE_DOWN)
        and view.goal_step in _NEIGHBOURS[view.key.mode]
    )


def _is_unresolved(view: View) -> bool:
    """Tell whether it is the dominant of another degree, but goes elsewhere."""
    to = (view.step + _FOURTH_UP) % 12
    return kind(view.around.chord) == "dominant" and to in _TARGETS[view.key.mode]


def _is_unresolved_substitute(view: View) -> bool:
    """Tell whether it is the substitute of the key's own dominant, but goes elsewhere."""
    return kind(view.around.chord) == "dominant" and view.step == _SEMITONE_UP


def _is_related(view: View) -> bool:
    dominant = view.onward()
    return (
        dominant is not None
        and is_second(view.around.chord)
        and view.around.goes(_FOURTH_UP)
        and any(led(dominant) for led in _OTHER_DOMINANTS)
    )


_OTHER_DOMINANTS: Final = (
    _is_secondary,
    _is_substitute,
    _is_unresolved,
    _is_unresolved_substitute,
)

_RULES: Final = (
    _Rule("blues", _is_blues, _plain),
    _Rule("diatonic", _is_the_fifth, _plain),
    _Rule("secondary dominant", _is_secondary, _dominant_of),
    _Rule("tritone substitute", _is_substitute, _substitute_of),
    _Rule("diatonic", _is_in_key, _plain),
    _Rule("related ii", _is_related, _related),
    _Rule("secondary dominant", _is_unresolved, _plain),
    _Rule("tritone substitute", _is_unresolved_substitute, _plain),
    _Rule("diminished", lambda view: kind(view.around.chord) == "diminished", _passing),
    _Rule("borrowed", lambda view: _in_scales(view, _PARALLEL[view.key.mode]), _plain),
    _Rule("chromatic", lambda _: True, _plain),
)
