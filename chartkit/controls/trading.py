"""Trading: the band and the player take turns, four or eight bars each.

Conventions: the band has the first turn. Turns are counted from the first bar of each time round
(an intro before it and a closing section after it are the band's), so that they lie alike on the
form; where the bars do not divide, the last turn of a time round is shorter. Who has the next turn
runs on from one time round to the next: over twelve bars in fours the band has the first four and
the last four bars, and the next time round the middle four [common practice, no source].
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from chartkit.errors import RequestError
from chartkit.feel import feel
from chartkit.form import PlayedBar
from chartkit.harmony import Span
from chartkit.track import Part

SILENT: Final[dict[str, tuple[Part, ...]]] = {
    "drums": ("bass", "chords"),
    "nothing": ("bass", "chords", "drums"),
}
"""Who is silent in the player's bars, by what is to be left of the band. A drummer who is silent
plays the last beats of them all the same, to bring the band back in: half a bar at most [common
practice, no source]."""

DRUMS: Final[Part] = "drums"

EARLY: Final = Fraction(1, 2)
"""How far a push comes before its beat, in quarter notes."""


@dataclass(frozen=True, slots=True)
class Trading:
    """How many bars a turn has, and what is left of the band in the player's.

    Raises
    ------
    RequestError
        A turn has no bars.
    """

    bars: int = 4
    behind: Literal["drums", "nothing"] = "drums"

    def __post_init__(self) -> None:
        if self.bars < 1:
            raise RequestError("trade at least one bar at a time")


@dataclass(frozen=True, slots=True)
class Turn:
    """From one beat to another, in quarter notes; the player's or the band's.

    `last_bar` is the first beat of its last bar.
    """

    start: Fraction
    end: Fraction
    last_bar: Fraction
    player: bool


@dataclass(frozen=True, slots=True)
class Silence:
    """Parts that do not sound from one beat up to another, in quarter notes."""

    start: Fraction
    end: Fraction
    parts: tuple[Part, ...]


def turns(rounds: Iterable[Sequence[PlayedBar]], bars: int, until: Fraction) -> tuple[Turn, ...]:
    """Return the turns of every time round, in order.

    Parameters
    ----------
    rounds : iterable of sequence of PlayedBar
        The bars of each time round.
    bars : int
        Bars in a turn.
    until : Fraction
        From here on, a held last chord is the band's.

    Raises
    ------
    RequestError
        The player never gets a turn.
    """
    found: list[Turn] = []
    for own in rounds:
        for first in range(0, len(own), bars):
            last = own[first : first + bars][-1]
            end = min(last.start + last.length, until)
            found.append(Turn(own[first].start, end, last.start, player=len(found) % 2 == 1))
    taken = tuple(turn for turn in found if turn.start < until)
    if not any(turn.player for turn in taken):
        raise RequestError(
            f"trading {bars} bars, the player never gets a turn: ask for more times round"
        )
    return taken


def phrased(spans: Sequence[Span], taken: Sequence[Turn]) -> tuple[Span, ...]:
    """Return spans in which a turn ends as a section does: the drums set up the next one."""
    last = {turn.last_bar for turn in taken}
    return tuple(
        replace(span, ends=span.ends or "section") if span.bar_start in last else span
        for span in spans
    )


def silences(
    taken: Iterable[Turn], spans: Sequence[Span], behind: str, seam: Fraction | None
) -> Iterator[Silence]:
    """Yield the band's silence in each of the player's turns.

    A chord that is pushed over the beginning or the end of a turn belongs to what it leads into.

    Parameters
    ----------
    taken : iterable of Turn
    spans : sequence of Span
        All that is played.
    behind : str
        What is left of the band, a name of `SILENT`.
    seam : Fraction or None
        Where a loop comes round, in quarter notes; None without one.
    """
    pushed = {span.start for span in spans if span.pushed}
    silent = SILENT[behind]
    others = tuple(part for part in silent if part != DRUMS)
    if seam is not None and spans[0].pushed:
        pushed.add(seam)

    def onset(beat: Fraction) -> Fraction:
        return beat - EARLY if beat in pushed else beat

    for turn in taken:
        if turn.player:
            yield Silence(onset(turn.start), onset(turn.end), others)
            if DRUMS in silent:
                yield Silence(onset(turn.start), cue_in(turn, spans), (DRUMS,))


def cue_in(turn: Turn, spans: Sequence[Span]) -> Fraction:
    """Return the beat from which the drums bring the band back in at a player's turn's end."""
    last = next(span for span in reversed(spans) if span.bar_start == turn.last_bar)
    pulse = feel(last.feel).pulse
    beats = int((turn.end - turn.last_bar) / pulse)
    return turn.end - beats // 2 * pulse


def cues_in(taken: Iterable[Turn], spans: Sequence[Span], behind: str) -> tuple[Fraction, ...]:
    """Return every beat on which the drums alone come back before the band; see `silences`."""
    if DRUMS not in SILENT[behind]:
        return ()
    return tuple(cue_in(turn, spans) for turn in taken if turn.player)
