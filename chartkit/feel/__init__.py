"""The feels: one row each, and a pattern file that a musician can read and add to.

Conventions: tempos are quarter notes a minute. A feel is its row here and the figures in the file
of its name beside this module (``12/8 blues`` is ``12-8-blues.toml``), or in another feel's file;
the players hold no branch for any feel. A feel whose file is not there yet is known by name and
cannot be played.

Source of the tempo bands and off-beats: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, Final, Literal

from chartkit.errors import RequestError, either

OffBeat = Literal["swing", "straight", "triplet"]

FOLDER: Final = Path(__file__).parent
"""Where the pattern files lie."""


@dataclass(frozen=True, slots=True)
class Feel:
    """What the players and the clock need to know of a feel.

    Parameters
    ----------
    name : str
        As written after ``Feel:`` in a chart, in small letters.
    meters : tuple of str
        Signatures of the bars it can play, such as ``4/4``.
    slowest, fastest : int
        The tempo band, both included; outside it the feel loses its character.
    tempo : int
        Where the chart gives none.
    off_beat : str
        Where the second eighth of a beat falls: "swing" (late, by tempo), "straight" (half way) or
        "triplet" (the beat is felt in three).
    chords_program : int
        General MIDI program, from 0, of the chord instrument.
    pulse : Fraction
        The beat that the figures count, in quarter notes.
    widest : Fraction
        The ratio of long to short off-beats at most, where they swing.
    file : str
        The feel whose figures are played too; empty for its own.
    """

    name: str
    meters: tuple[str, ...]
    slowest: int
    fastest: int
    tempo: int
    off_beat: OffBeat
    chords_program: int
    pulse: Fraction = Fraction(1)
    widest: Fraction = Fraction(7, 2)
    file: str = ""

    def refuses(self, meter: str, number: int) -> str | None:
        """Return a clause that tells that it cannot play a bar, by its number; None where it can.

        >>> FEELS["jazz waltz"].refuses("4/4", 7)
        'bar 7 is in 4/4; jazz waltz plays 3/4'
        """
        if meter in self.meters:
            return None
        return f"bar {number} is in {meter}; {self.name} plays {either(self.meters)}"

    @property
    def built(self) -> bool:
        """Whether the feel has its pattern file, so that it can be played."""
        return _file(self.file or self.name).is_file()


_GUITAR: Final = 26
_NYLON: Final = 24
_PIANO: Final = 0
_SIMPLE: Final = ("4/4", "1/4", "2/4", "3/4", "5/4", "6/4", "7/4", "2/2", "3/2")
_EVEN: Final = ("4/4", "2/4", "6/4", "2/2")
_DOTTED: Final = Fraction(3, 2)
_HALF: Final = Fraction(2)
_EIGHTH: Final = Fraction(1, 2)
_GENTLE: Final = Fraction(23, 10)

FEELS: Final[dict[str, Feel]] = {
    row.name: row
    for row in (
        #    name               meters   slowest fastest tempo off-beat    chords   pulse
        Feel("ballad", ("4/4",), 48, 80, 62, "swing", _PIANO, widest=_GENTLE),
        Feel("straight ballad", ("4/4",), 48, 80, 62, "straight", _PIANO, file="ballad"),
        Feel("two-beat swing", ("4/4",), 100, 200, 140, "swing", _GUITAR),
        Feel("swing", _SIMPLE, 60, 300, 140, "swing", _GUITAR),
        Feel("jazz waltz", ("3/4",), 70, 220, 140, "swing", _PIANO),
        Feel("bossa nova", ("4/4",), 100, 150, 130, "straight", _NYLON),
        Feel("samba", ("4/4",), 160, 240, 200, "straight", _NYLON),
        Feel("12/8 blues", ("12/8",), 68, 150, 90, "triplet", _GUITAR, _DOTTED),
        Feel("straight eighths", ("4/4",), 80, 180, 120, "straight", _PIANO),
        Feel("5/4 swing", ("5/4",), 100, 200, 150, "swing", _PIANO),
        Feel("6/4 swing", ("6/4",), 100, 200, 150, "swing", _PIANO),
        Feel("half-time swing", _EVEN, 120, 300, 220, "swing", _GUITAR, _HALF, file="swing"),
        Feel("double-time swing", _SIMPLE, 40, 150, 70, "swing", _GUITAR, _EIGHTH, file="swing"),
    )
}
"""Every feel by name, built or not."""


@cache
def feel(name: str) -> Feel:
    """Return the feel of a name that can be played.

    Raises
    ------
    RequestError
        No feel has this name, or its patterns are not built yet; the sentence lists what is there.
    """
    row = FEELS.get(" ".join(name.lower().split()))
    if row is None:
        raise RequestError(f"`{name}` is not a feel; choose {_choice(built_only=False)}")
    if not row.built:
        raise RequestError(
            f"the feel `{row.name}` cannot be played yet; choose {_choice(built_only=True)}"
        )
    return row


@cache
def patterns(name: str) -> dict[str, Any]:
    """Return the pattern file of a built feel: one table a player, as the file has it.

    The tables are shared between callers, who must not change them.
    """
    import tomllib

    return tomllib.loads(_file(FEELS[name].file or name).read_text(encoding="utf-8"))


def _choice(*, built_only: bool) -> str:
    return either(tuple(f"`{row.name}`" for row in FEELS.values() if row.built or not built_only))


def _file(name: str) -> Path:
    return FOLDER / ("-".join(name.replace("/", " ").split()) + ".toml")
