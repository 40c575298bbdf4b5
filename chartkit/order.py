"""Which written bar is played after which: repeats, endings, D.C., D.S., Fine and Coda.

Conventions: bars are counted from 0 through all the sections handed in. A *run* is a stretch of
bars between two jumps. Every function here is lazy or bounded by `LONGEST`, so that no chart,
however it is written, can play for ever.

Source of the rules: the chart language; where it is silent, common practice as music21's
``expandRepeats`` has it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import dropwhile, islice, pairwise
from typing import Final, TypeVar

from chartkit.chart import Bar, Sign
from chartkit.errors import CannotPlay

T = TypeVar("T")

LONGEST: Final = 10_000
"""Bars that one chorus may last."""

_JUMPS: Final[dict[Sign, tuple[Sign | None, Sign | None]]] = {
    Sign.DA_CAPO: (None, None),
    Sign.DA_CAPO_AL_FINE: (None, Sign.FINE),
    Sign.DA_CAPO_AL_CODA: (None, Sign.TO_CODA),
    Sign.DAL_SEGNO: (Sign.SEGNO, None),
    Sign.DAL_SEGNO_AL_FINE: (Sign.SEGNO, Sign.FINE),
    Sign.DAL_SEGNO_AL_CODA: (Sign.SEGNO, Sign.TO_CODA),
}
"""Where each jump goes (None: to the beginning) and the word it makes act (None: whichever)."""


@dataclass(frozen=True, slots=True)
class Block:
    """Bars that are repeated together: `lead` every time, then the ending of that time, if any.

    Parameters
    ----------
    lead : range
    endings : tuple of (tuple of int, range)
        The times on which each ending is played, and its bars.
    times : int
        How often the block is played; 1 where nothing is repeated.
    """

    lead: range
    endings: tuple[tuple[tuple[int, ...], range], ...] = ()
    times: int = 1

    @property
    def bars(self) -> range:
        """All of it, as written."""
        last = self.endings[-1][1] if self.endings else self.lead
        return range(self.lead.start, last.stop)

    def played(self, first: int = 1) -> Iterator[tuple[int, bool]]:
        """Yield each bar from a time through to the last, and whether it does not come again."""
        ending = {n: (bars, max(numbers)) for numbers, bars in self.endings for n in numbers}
        for time in range(first, self.times + 1):
            for bar in self.lead:
                yield bar, time == self.times
            bars, last = ending.get(time, (range(0), 0))
            for bar in bars:
                yield bar, time == last


def blocks(bars: Sequence[Bar], offset: int = 0) -> tuple[Block, ...]:
    """Divide a section at its repeat signs.

    Parameters
    ----------
    bars : sequence of Bar
        The section, without its pickup.
    offset : int
        The count of its first bar.
    """
    coming = _endings_to_come(bars)
    found: list[Block] = []
    first, highest = 0, 0
    for i, bar in enumerate(bars):
        highest = max((highest, *bar.ending))
        following = bars[i + 1] if i + 1 < len(bars) else None
        if _ends_block(bar, following, in_last_ending=0 < highest >= coming[i]):
            found.append(_block(bars[first : i + 1], offset + first))
            first, highest = i + 1, 0
    return tuple(found)


def unfold(section: Iterable[Block]) -> Iterator[int]:
    """Return a section's bars with its repeats and endings played out, jumps ignored."""
    return bounded(bar for block in section for bar, _ in block.played())


def runs(
    bars: Sequence[Bar],
    parts: Sequence[Block],
    *,
    start: int,
    capo: int,
    close: int,
    last_time: bool,
) -> Iterator[tuple[int, ...]]:
    """Yield the runs of one chorus with its jumps made.

    After a jump, repeats that were played before are not taken again and their last ending is
    used; a repeat met for the first time (in a coda) is taken. `To Coda` and `Fine` act only after
    a jump. Each jump is made once in a chorus. The coda is entered only by `To Coda`: a chorus that
    comes up to it otherwise (its jump being for the last time only) ends there. The closing
    sections belong to the last chorus alone, which goes on to them from a `Fine` as well.

    Parameters
    ----------
    bars : sequence of Bar
        Of all sections.
    parts : sequence of Block
        The same bars as blocks.
    start, capo : int
        Where the chorus begins, and where D.C. returns to.
    close : int
        The first bar of the closing sections.
    last_time : bool
        It is the last chorus: marks with ``last time`` act.

    Raises
    ------
    CannotPlay
        A jump leads to a sign that is not there, or a run is longer than `LONGEST`.
    """
    signs = [tuple(m.sign for m in bar.marks if last_time or not m.last_time) for bar in bars]
    places = _places(bars)
    closed = set() if last_time else {close}
    if {Sign.TO_CODA, Sign.CODA} <= places.keys():
        closed.add(places[Sign.CODA])
    acting: frozenset[Sign] = frozenset()
    heard: set[int] = set()
    at = start
    while at < len(bars):
        run, sign = _run(_steps(parts, at, heard), signs, acting, closed)
        yield run
        heard.update(run)
        if sign is None or (sign is Sign.FINE and (not last_time or max(heard) >= close)):
            return
        if sign is Sign.FINE:
            at, acting = close, frozenset()
        elif sign is Sign.TO_CODA:
            at, acting = _found(places, Sign.CODA), frozenset({Sign.FINE})
        else:
            signs[run[-1]] = tuple(other for other in signs[run[-1]] if other is not sign)
            goal, word = _JUMPS[sign]
            at = capo if goal is None else _found(places, goal)
            acting = frozenset({word} if word else {Sign.TO_CODA, Sign.FINE})


def bounded(items: Iterable[T]) -> Iterator[T]:
    """Yield the items; raise `CannotPlay` beyond `LONGEST` of them."""
    for count, item in enumerate(items):
        if count == LONGEST:
            raise CannotPlay(
                f"one time through the form is longer than {LONGEST} bars: "
                "write fewer bars, fewer repeats or a shorter order"
            )
        yield item


def _endings_to_come(bars: Sequence[Bar]) -> list[int]:
    """Return for each bar the number of the next ending after it, 0 where none comes."""
    found: list[int] = []
    number = 0
    for bar in reversed(bars):
        found.append(number)
        number = min(bar.ending, default=number)
    return found[::-1]


def _ends_block(bar: Bar, following: Bar | None, *, in_last_ending: bool) -> bool:
    """Tell whether a bar is its block's last."""
    if following is None or following.left == "|:":
        return True
    if bar.right == ":|":
        return not following.ending
    return bar.right != "|" and in_last_ending


def _block(bars: Sequence[Bar], start: int) -> Block:
    """Make one block; after a lone first ending the second time goes straight on."""
    cuts = [*(i for i, bar in enumerate(bars) if bar.ending), len(bars)]
    endings = tuple((bars[a].ending, range(start + a, start + b)) for a, b in pairwise(cuts))
    repeated = 2 if any(bar.right == ":|" for bar in bars) else 1
    times = max([repeated, *(bar.times for bar in bars if bar.times)])
    if endings:
        times = max(repeated, sum(len(numbers) for numbers, _ in endings))
    return Block(range(start, start + cuts[0]), endings, times)


def _steps(parts: Sequence[Block], at: int, heard: set[int]) -> Iterator[tuple[int, bool]]:
    """Yield bars from one on, and whether each does not come again in its block."""
    for block in islice(parts, bisect_right(parts, at, key=lambda part: part.bars.stop), None):
        again = not heard.isdisjoint(block.bars)
        steps = block.played(block.times if again else 1)
        yield from dropwhile(lambda step: step[0] != at, steps) if at in block.bars else steps


def _run(
    steps: Iterator[tuple[int, bool]],
    signs: Sequence[tuple[Sign, ...]],
    acting: frozenset[Sign],
    closed: Container[int],
) -> tuple[tuple[int, ...], Sign | None]:
    """Return the bars up to the next jump, and the sign that makes it (None at the end)."""
    run: list[int] = []
    for bar, final in bounded(steps):
        if run and bar in closed and bar not in run:
            break
        run.append(bar)
        if final:
            for sign in signs[bar]:
                if sign in _JUMPS or sign in acting:
                    return tuple(run), sign
    return tuple(run), None


def _places(bars: Sequence[Bar]) -> dict[Sign, int]:
    """Return the first bar of each sign."""
    places: dict[Sign, int] = {}
    for i, bar in enumerate(bars):
        for mark in bar.marks:
            places.setdefault(mark.sign, i)
    return places


def _found(places: Mapping[Sign, int], sign: Sign) -> int:
    if sign not in places:
        raise CannotPlay(f"a jump leads to `{sign.value}`, which stands nowhere in the chart")
    return places[sign]
