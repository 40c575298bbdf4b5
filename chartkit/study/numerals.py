"""Roman numerals: what each chord is to a key.

Conventions: degrees are counted against the major scale of the key's tonic in both modes, so that a
minor key has bIII, bVI and bVII; capitals for a major third (or none), small letters for a minor
one. A numeral ends in the symbol's own quality. ``V7/ii`` is the dominant of the key's second
degree, ``ii7/IV`` the second degree of its fourth, ``subV7`` the dominant a tritone away from V;
a dominant that goes elsewhere is written as it stands, ``VI7`` or ``bII7``. A slash bass changes
nothing. Numerals depend on sounds alone, so they are the same in all twelve keys.

The rules are rows of a table, tried from the top (common practice, no source); the tests that they
make stand in `chartkit.study.functions`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from chartkit.study.functions import (
    SEMITONE_UP,
    View,
    is_blues,
    is_borrowed,
    is_diminished,
    is_in_key,
    is_own_dominant,
    is_related,
    is_secondary,
    is_small,
    is_substitute,
    is_unresolved,
    is_unresolved_substitute,
)
from chartkit.theory.chord import Chord
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
        "diminished" a diminished chord outside the key, "chromatic" what no rule explains.
    """

    degree: str
    quality: str
    target: str
    role: Role

    def __str__(self) -> str:
        return self.degree + self.quality + (f"/{self.target}" if self.target else "")


def numeral(view: View) -> Numeral:
    """Return the numeral of a chord.

    Examples
    --------
    >>> from chartkit.study.standing import Around
    >>> from chartkit.theory.key import Key
    >>> from chartkit.theory.symbol import read_symbol
    >>> d7, g7, c7 = (read_symbol(text).chord for text in ("D7b9", "Gm7", "C7"))
    >>> str(numeral(View(Around(d7, goal=g7, beyond=c7), Key.written(5, "major"))))
    'V7b9/ii'
    """
    return respelled(_function(view), view.around.chord)


def respelled(found: Numeral, chord: Chord) -> Numeral:
    """Return a numeral with the quality of another chord of the same function."""
    quality = tidy_quality(chord.degrees)
    if is_small(chord):
        quality = quality.removeprefix("m")
    return Numeral(found.degree, quality, found.target, found.role)


_FLATS: Final = ("I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII")
_SHARPS: Final = ("I", "#I", "II", "#II", "III", "IV", "#IV", "V", "#V", "VI", "#VI", "VII")
"""Degrees by semitones above the tonic. The raised fourth is one everywhere: no chord of the
parallel keys stands on a flat five."""


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
    return name.lower() if is_small(chord) else name


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
    if dominant and is_secondary(dominant):
        return "ii", _target(dominant)
    return _plain(view)


def _passing(view: View) -> tuple[str, str]:
    """Name a diminished chord with a sharp where it rises by a semitone, else with a flat."""
    names = _SHARPS if view.around.goes(SEMITONE_UP) else _FLATS
    return _degree(view.step, view.around.chord, names), ""


_RULES: Final = (
    _Rule("blues", is_blues, _plain),
    _Rule("diatonic", is_own_dominant, _plain),
    _Rule("secondary dominant", is_secondary, _dominant_of),
    _Rule("tritone substitute", is_substitute, _substitute_of),
    _Rule("diatonic", is_in_key, _plain),
    _Rule("related ii", is_related, _related),
    _Rule("secondary dominant", is_unresolved, _plain),
    _Rule("tritone substitute", is_unresolved_substitute, _plain),
    _Rule("diminished", is_diminished, _passing),
    _Rule("borrowed", is_borrowed, _plain),
    _Rule("chromatic", lambda _: True, _plain),
)
