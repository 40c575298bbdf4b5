"""Everything a player may want to know of a part of a tune, from one request.

Conventions: the part goes round, as it is practised. On the page a written bar stands once; what is
told of it is what it is the first time it comes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from chartkit.difficulty.hardest import HardBar, bar_by_bar
from chartkit.difficulty.movement import movements
from chartkit.difficulty.positions import PositionReport, position_report, positions
from chartkit.exercise.connected import connected
from chartkit.feel import FEELS
from chartkit.form import key_of
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import Span, spans
from chartkit.rounds import form_of
from chartkit.study.report import Report, report
from chartkit.take import Take
from chartkit.theory.key import Key


@dataclass(frozen=True, slots=True)
class Overview:
    """What a part of a tune is, and how it lies under the hand.

    Parameters
    ----------
    labels : tuple of str
        Its sections in playing order.
    bars : int
        As played, once round.
    key : Key
        The tune's, as written or estimated, in the transposition asked for.
    tempo : Fraction
        Quarter notes a minute.
    harmony : Report
    positions : tuple of PositionReport
        The best first.
    position : PositionReport
        The one asked for, else the best.
    efforts : tuple of HardBar
        How hard each written bar is in that position, in order of the printed numbers.
    """

    labels: tuple[str, ...]
    bars: int
    key: Key
    tempo: Fraction
    harmony: Report
    positions: tuple[PositionReport, ...]
    position: PositionReport
    efforts: tuple[HardBar, ...]


def overview(take: Take, position: int | None = None) -> Overview:
    """Return what there is to know of the part of a tune that a take asks for.

    Parameters
    ----------
    take : Take
        Its sections or bars, key and tempo count; the rest is not looked at.
    position : int, optional
        Fret of the first finger; the best position by default.

    Raises
    ------
    RequestError
        The part or the position asked for is not there.
    CannotPlay
        There is no chord, or the form cannot be played out.
    """
    form = form_of(take)
    music = spans(form, loop=True)
    harmony = report(music, loop=True)
    ranked = positions(music)
    chosen = position_report(music, position) if position else ranked[0]
    tempo = _tempo(take)
    return Overview(
        labels=form.labels,
        bars=len(form.bars),
        key=take.key or key_of(take.chart),
        tempo=tempo,
        harmony=harmony,
        positions=ranked,
        position=chosen,
        efforts=_efforts(music, chosen.position, tempo),
    )


def on_the_page(spans: Iterable[Span]) -> tuple[int, ...]:
    """Return the indexes of spans, each written one the first time it comes."""
    first: dict[tuple[object, Fraction], int] = {}
    for index, span in enumerate(spans):
        first.setdefault((span.bar, span.start - span.bar_start), index)
    return tuple(first.values())


def _tempo(take: Take) -> Fraction:
    own = take.chart.tempo
    return take.tempo or (own.quarters if own else Fraction(FEELS[take.chart.feel].tempo))


def _efforts(music: tuple[Span, ...], position: int, tempo: Fraction) -> tuple[HardBar, ...]:
    line = connected(music, *compass(STANDARD, position))
    return bar_by_bar(line, movements(line, finger(line, position=position)), tempo)
