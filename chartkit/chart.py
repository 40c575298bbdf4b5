"""The written chart: what stands in a chart file, as values without behaviour.

Conventions: beats are counted in the meter's own beat here (a dotted quarter in 12/8), because that
is what is written; from `chartkit.form` on, time is in quarter notes. A `Place` never takes part
in equality: two charts are equal when they would be played and printed alike.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from typing import Final, Literal, TypeAlias

from chartkit.errors import Place
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key


@dataclass(frozen=True, slots=True)
class Meter:
    """A number of beats and the length of one.

    Parameters
    ----------
    beats : int
        Beats in a bar.
    unit : Fraction
        Length of a beat in quarter notes: 1 in 4/4, 3/2 in 12/8, 2 in 2/2.
    """

    beats: int
    unit: Fraction = Fraction(1)

    @property
    def length(self) -> Fraction:
        """Length of a bar in quarter notes."""
        return self.beats * self.unit

    @property
    def signature(self) -> tuple[int, int]:
        """The two numbers as written: (12, 8) for four dotted quarters."""
        value = self.unit / 4
        return self.beats * value.numerator, value.denominator

    def __str__(self) -> str:
        return "{}/{}".format(*self.signature)


@dataclass(frozen=True, slots=True)
class Tempo:
    """So many notes of a kind in a minute, as written.

    Parameters
    ----------
    count : Fraction
        Notes a minute.
    unit : Fraction
        The note that is counted, in quarter notes: 1, 2 (half) or 3/2 (dotted quarter).
    """

    count: Fraction
    unit: Fraction = Fraction(1)

    @property
    def quarters(self) -> Fraction:
        """Quarter notes a minute."""
        return self.count * self.unit


@dataclass(frozen=True, slots=True)
class Change:
    """A chord (None for N.C.) and the beats it is written for.

    `pushed`: it sounds an eighth early. `stopped`: a hit, then silence until the next chord.
    `turnaround`: in brackets, left out at the very end. `text` is printed over its beat.
    """

    chord: Chord | None
    beats: int
    pushed: bool = False
    stopped: bool = False
    turnaround: bool = False
    text: str | None = None
    place: Place | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Hold:
    """Beats at a bar's start that go on with the chord before the bar."""

    beats: int
    place: Place | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Simile:
    """The last `bars` bars again (1 or 2); stands alone in its cell, which lasts as long."""

    bars: Literal[1, 2]
    place: Place | None = field(default=None, compare=False, repr=False)


Slot: TypeAlias = Change | Hold | Simile


class Sign(Enum):
    """The words of navigation, as they are written."""

    SEGNO = "Segno"
    CODA = "Coda"
    TO_CODA = "To Coda"
    FINE = "Fine"
    DA_CAPO = "D.C."
    DA_CAPO_AL_FINE = "D.C. al Fine"
    DA_CAPO_AL_CODA = "D.C. al Coda"
    DAL_SEGNO = "D.S."
    DAL_SEGNO_AL_FINE = "D.S. al Fine"
    DAL_SEGNO_AL_CODA = "D.S. al Coda"

    @property
    def at_start(self) -> bool:
        """Whether it stands at its bar's start; the others stand at its end."""
        return self in (Sign.SEGNO, Sign.CODA)

    @property
    def jumps(self) -> bool:
        """Whether it sends the player back: D.C. or D.S., al something or not."""
        return self.value.startswith(("D.C.", "D.S."))


@dataclass(frozen=True, slots=True)
class Mark:
    """A navigation word at its bar; with `last_time` it acts in the last chorus only."""

    sign: Sign
    last_time: bool = False
    place: Place | None = field(default=None, compare=False, repr=False)


LeftBarline = Literal["|", "|:"]
RightBarline = Literal["|", "||", "|]", ":|"]


@dataclass(frozen=True, slots=True)
class Bar:
    """One written bar (one written cell: a two-bar simile is a single `Bar`).

    Parameters
    ----------
    number : int
        The printed bar number; 0 for a pickup bar. A two-bar simile takes this number and the next.
    slots : tuple of Slot
        What fills it, in order; the beats add up to the meter (or to the pickup).
    left, right : str
        Its bar lines. ``:|:`` is ``:|`` on the right of one bar and ``|:`` on the left of the next.
    ending : tuple of int
        The endings that start here: (1,), (1, 2), ...; empty for none.
    times : int or None
        How often the repeat that closes here is played, where it is written (``:|x3``).
    marks : tuple of Mark
        Navigation at this bar: Segno and Coda at its start, the others at its end.
    meter : Meter or None
        A meter change written in this bar.
    ends_system : bool
        The line of the file ends here.
    place, left_place, right_place : Place or None
        Of its first word and of its bar lines.
    """

    number: int
    slots: tuple[Slot, ...]
    left: LeftBarline = "|"
    right: RightBarline = "|"
    ending: tuple[int, ...] = ()
    times: int | None = None
    marks: tuple[Mark, ...] = ()
    meter: Meter | None = None
    ends_system: bool = False
    place: Place | None = field(default=None, compare=False, repr=False)
    left_place: Place | None = field(default=None, compare=False, repr=False)
    right_place: Place | None = field(default=None, compare=False, repr=False)


OPENING: Final = frozenset({"intro"})
"""Labels, in lower case, of sections that are played once before the first chorus."""

CLOSING: Final = frozenset({"tag", "ending", "outro"})
"""Labels, in lower case, of sections that are played once after the last chorus."""


@dataclass(frozen=True, slots=True)
class Section:
    """A label, what it overrides, and its bars."""

    label: str
    bars: tuple[Bar, ...]
    key: Key | None = None
    meter: Meter | None = None
    feel: str | None = None
    place: Place | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment of the file, kept through a rewrite.

    Parameters
    ----------
    text : str
        Without its semicolon, outer space trimmed.
    anchor : tuple of str or int
        Where it stands in the tidy file, such as ``("header", "Key")``, ``("section", "A")`` or
        ``("row", "A", 2)``; documented in `chartkit.writer`.
    own_line : bool
        It stands on the line before its anchor rather than at the end of the anchor's line.
    """

    text: str
    anchor: tuple[str | int, ...]
    own_line: bool


@dataclass(frozen=True, slots=True)
class Chart:
    """A whole chart file.

    Parameters
    ----------
    sections : tuple of Section
        At least one, in the order written.
    title, composer : str
        Empty where not given.
    key : Key or None
        None where not given: `chartkit.analysis.estimate_key` tells.
    meter : Meter
    feel : str
        A name from `chartkit.feel`.
    tempo : Tempo or None
        None where not given: the feel's own.
    order : tuple of str or None
        ``Form:``, section labels in playing order; None where not given.
    solos : tuple of str or None
        ``Solos:``, the order of the choruses between the first and the last.
    pickup : int
        Beats in the pickup bar, 0 for none.
    notes : tuple of str
        Free text, one entry a ``Note:`` line.
    comments : tuple of Comment
    """

    sections: tuple[Section, ...]
    title: str = ""
    composer: str = ""
    key: Key | None = None
    meter: Meter = Meter(4)
    feel: str = "swing"
    tempo: Tempo | None = None
    order: tuple[str, ...] | None = None
    solos: tuple[str, ...] | None = None
    pickup: int = 0
    notes: tuple[str, ...] = ()
    comments: tuple[Comment, ...] = ()
