"""From a written chart to the bars in the order they are played.

Conventions: from here on time is in quarter notes, counted from the form's first bar. Nothing
written short is left: similes, holds, repeats, endings and jumps are played out; which bar follows
which is found in `chartkit.order`.

Without ``Form:`` the sections are played in the order written, with the jumps. ``Form:`` and
``Solos:`` name them in playing order instead, and then no jump is made. A section called Intro
comes once before the first chorus, and Tag, Ending or Outro once after the last, unless the order
names them itself. D.C. goes back to the first bar after the intro.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate, chain, groupby

from chartkit.analysis import estimate_key
from chartkit.chart import CLOSING, OPENING, Bar, Change, Chart, Meter, Section, Simile
from chartkit.errors import CannotPlay, RequestError
from chartkit.order import Block, blocks, bounded, runs, unfold
from chartkit.simile import spelled_out
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key


@dataclass(frozen=True, slots=True)
class BarId:
    """The thread from the file to the page and the sound.

    Parameters
    ----------
    section : str
        The section's label.
    index : int
        The written bar's place in its section, from 0 (the second half of a two-bar simile counts).
    number : int
        The printed bar number; 0 for a pickup.
    """

    section: str
    index: int
    number: int


@dataclass(frozen=True, slots=True)
class Sounding:
    """A chord (None for N.C.) as it comes in a played bar.

    Parameters
    ----------
    start, length : Fraction
        In quarter notes from the bar's first beat.
    held : bool
        It goes on from the bar before without being written again (``| / / / |``): its sound, or
        after a stop its silence.
    turnaround : bool
        It stands in turnaround brackets and gives way at the very end (`ended`).
    """

    chord: Chord | None
    start: Fraction
    length: Fraction
    pushed: bool = False
    stopped: bool = False
    held: bool = False
    text: str | None = None
    turnaround: bool = False


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """One bar in playing order; `start` in quarter notes from the form's first bar.

    `key` is the section's own or the chart's; `ends_section` is set on the last bar of each
    section as played.
    """

    source: BarId
    start: Fraction
    meter: Meter
    length: Fraction
    key: Key
    feel: str
    changes: tuple[Sounding, ...]
    ends_section: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """Bars in playing order and their total length in quarter notes.

    `pickup` is the length of a first bar that stands before the form's beat one and is played in
    the count-in's last beats; that bar's `start` is below zero and it is not in `length`.
    """

    bars: tuple[PlayedBar, ...]
    length: Fraction
    pickup: Fraction = Fraction(0)

    @property
    def labels(self) -> tuple[str, ...]:
        """Section labels in playing order; a section that a jump cuts short counts."""
        return tuple(bar.source.section for bar in self.bars if bar.ends_section)


def key_of(chart: Chart) -> Key:
    """Return the chart's key as written, else the one that its changes suggest."""
    return chart.key or _estimated(_written(chart, chart.sections))


def chorus(chart: Chart, number: int = 1, of: int = 1) -> Form:
    """Return one of several choruses as it is played.

    The first begins with the pickup and the intro. The last makes the jumps marked ``last time``
    and ends with the closing sections, and at its very end a turnaround gives way to the chord
    before it. Those between follow ``Solos:`` where it is given.

    Parameters
    ----------
    chart : Chart
    number, of : int
        The number-th of so many choruses, from 1.

    Raises
    ------
    RequestError
        There is no such chorus, or the order names a section that is not there.
    CannotPlay
        The chorus is longer than `chartkit.order.LONGEST` bars, a jump has nowhere to go, or a
        hold or a simile has nothing before it.
    """
    if not 1 <= number <= of:
        raise RequestError(f"there is no chorus {number} of {of}")
    first, last = number == 1, number == of
    between = not first and not last
    named = chart.solos if between and chart.solos else chart.order
    form = _round(chart, named, first=first, last=last)
    return ended(form) if last else form


def body(chart: Chart) -> Form:
    """Return the chorus that goes round: no pickup, intro, closing section or ``last time``.

    Raises what `chorus` raises.
    """
    return _round(chart, chart.order, first=False, last=False)


def excerpt(chart: Chart, labels: Sequence[str]) -> Form:
    """Return sections joined in the order given, their repeats and endings played out.

    Jumps are not made, and a pickup is left out.

    Raises
    ------
    RequestError
        No section is named, or one that is not there.
    CannotPlay
        As for `chorus`.
    """
    if not labels:
        raise RequestError("name the sections to play")
    written = _written(chart, chart.sections)
    parts = _parts(written)
    return _form(chart, written, [unfold(_part(parts, label)) for label in labels])


def bar_range(chart: Chart, first: int, last: int) -> Form:
    """Return the written bars between two printed numbers, both included.

    Each is played once, as it stands on the page: repeats are not taken, endings follow one
    another, jumps are not made.

    Raises
    ------
    RequestError
        The range is empty or leaves the tune; the message tells which bars there are.
    """
    written = _written(chart, chart.sections)
    highest = max(bar.source.number for bar in written)
    if not 1 <= first <= last <= highest:
        raise RequestError(f"there are no bars {first}-{last}: the tune has bars 1-{highest}")
    asked = [i for i, bar in enumerate(written) if first <= bar.source.number <= last]
    return _form(chart, written, [asked])


def edge_labels(chart: Chart) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the labels of what comes once before the first chorus, and once after the last."""
    opening, _, closing = _divided(chart.sections, chart.order or ())
    return tuple(s.label for s in opening), tuple(s.label for s in closing)


def joined(forms: Sequence[Form]) -> Form:
    """Put forms end to end; only the first may have a pickup."""
    starts = [*accumulate((form.length for form in forms), initial=Fraction(0))]
    bars = tuple(
        replace(bar, start=start + bar.start)
        for form, start in zip(forms, starts, strict=False)
        for bar in form.bars
    )
    return Form(bars, starts[-1], forms[0].pickup)


def ended(form: Form) -> Form:
    """Return the form as it is played at the very end of a performance.

    A turnaround in its last bars gives way to the chord before it, which holds. A form of nothing
    but turnaround stays as it is.
    """
    kept = [
        (at, n)
        for at, bar in enumerate(form.bars)
        for n, change in enumerate(bar.changes)
        if not change.turnaround
    ]
    if not kept:
        return form
    at, n = kept[-1]
    bar = form.bars[at]
    last = bar.changes[n]
    here = (*bar.changes[:n], replace(last, length=bar.length - last.start))
    zero = Fraction(0)
    after = (replace(b, changes=(_held(last, zero, b.length),)) for b in form.bars[at + 1 :])
    return replace(form, bars=(*form.bars[:at], replace(bar, changes=here), *after))


@dataclass(frozen=True, slots=True)
class _Written:
    """A written bar with nothing short left in it; `key` is None where the chart's holds."""

    bar: Bar
    source: BarId
    meter: Meter
    length: Fraction
    key: Key | None
    feel: str
    changes: tuple[Sounding, ...]


def _written(chart: Chart, sections: Iterable[Section]) -> tuple[_Written, ...]:
    return tuple(bar for section in sections for bar in _section_written(chart, section))


def _section_written(chart: Chart, section: Section) -> Iterator[_Written]:
    """Yield a section's bars; a meter change lasts from its bar to the section's end."""
    meter = section.meter or chart.meter
    feel = section.feel or chart.feel
    before: Sounding | None = None
    for index, bar in enumerate(spelled_out(section)):
        meter = bar.meter or meter
        source = BarId(section.label, index, bar.number)
        changes = tuple(_soundings(bar, meter, before))
        before = changes[-1]
        length = before.start + before.length
        yield _Written(bar, source, meter, length, section.key, feel, changes)


def _soundings(bar: Bar, meter: Meter, before: Sounding | None) -> Iterator[Sounding]:
    """Yield a bar's changes in quarter notes; a hold takes its chord from the bar before."""
    start = Fraction(0)
    for slot in bar.slots:
        if isinstance(slot, Simile):
            raise CannotPlay(f"the simile in bar {bar.number} does not stand alone")
        length = slot.beats * meter.unit
        if isinstance(slot, Change):
            yield _sounding(slot, start, length)
        elif before:
            yield _held(before, start, length)
        else:
            raise CannotPlay(f"bar {bar.number} begins with `/`, but no chord stands before it")
        start += length


def _held(before: Sounding, start: Fraction, length: Fraction) -> Sounding:
    """Go on with a chord; after a stop its silence goes on, and nothing is hit again."""
    return Sounding(before.chord, start, length, held=True, turnaround=before.turnaround)


def _sounding(change: Change, start: Fraction, length: Fraction) -> Sounding:
    return Sounding(
        change.chord,
        start,
        length,
        pushed=change.pushed,
        stopped=change.stopped,
        text=change.text,
        turnaround=change.turnaround,
    )


def _round(chart: Chart, named: tuple[str, ...] | None, *, first: bool, last: bool) -> Form:
    """Return one time through the tune, in the order named or, with its jumps, as written."""
    opening, inner, closing = _divided(chart.sections, named or ())
    written = _written(chart, (*opening, *inner, *closing))
    parts = _parts(written)
    order: Iterable[Iterable[int]]
    if named is None:
        capo = _count(written, opening)
        order = runs(
            [bar.bar for bar in written],
            [block for part in parts.values() for block in part],
            start=0 if first else capo,
            capo=capo,
            close=len(written) - _count(written, closing),
            last_time=last,
        )
    else:
        before = [section.label for section in opening] if first else []
        after = [section.label for section in closing] if last else []
        order = [unfold(_part(parts, label)) for label in (*before, *named, *after)]
    return _form(chart, written, order, pickup=first)


def _divided(
    sections: Sequence[Section], named: Sequence[str]
) -> tuple[tuple[Section, ...], tuple[Section, ...], tuple[Section, ...]]:
    """Divide sections into those before the first chorus, the choruses', and those after the last.

    A section that is named in the order, and any section of a chart that has no others, belongs to
    the chorus.
    """

    def called(labels: frozenset[str]) -> tuple[Section, ...]:
        return tuple(s for s in sections if s.label.lower() in labels and s.label not in named)

    opening, closing = called(OPENING), called(CLOSING)
    inner = tuple(s for s in sections if s not in (*opening, *closing))
    return (opening, inner, closing) if inner else ((), tuple(sections), ())


def _count(written: Sequence[_Written], sections: Sequence[Section]) -> int:
    labels = {section.label for section in sections}
    return sum(bar.source.section in labels for bar in written)


def _parts(written: Sequence[_Written]) -> dict[str, tuple[Block, ...]]:
    """Return each section's bars as blocks, counted through all that is written; no pickup."""
    counted = [(i, bar) for i, bar in enumerate(written) if bar.source.number]
    parts = {}
    for label, group in groupby(counted, key=lambda pair: pair[1].source.section):
        bars = list(group)
        parts[label] = blocks([bar.bar for _, bar in bars], offset=bars[0][0])
    return parts


def _part(parts: Mapping[str, tuple[Block, ...]], label: str) -> tuple[Block, ...]:
    """Return the section of a label, in capitals or not."""
    if label in parts:
        return parts[label]
    for known, part in parts.items():
        if known.casefold() == label.casefold():
            return part
    raise RequestError(f"there is no section {label}: the chart has {', '.join(parts)}")


def _form(
    chart: Chart,
    written: Sequence[_Written],
    order: Iterable[Iterable[int]],
    *,
    pickup: bool = False,
) -> Form:
    """Put written bars end to end in the order of the runs, after the pickup if it is wanted."""
    short = [i for i, bar in enumerate(written) if pickup and not bar.source.number]
    before = sum((written[i].length for i in short), Fraction(0))
    home = chart.key or _estimated(written)
    played: list[PlayedBar] = []
    start = -before
    last = -1
    for i, ends in bounded(_steps(written, chain([short], order))):
        bar = _played(written[i], start, home, ends=ends, straight_on=i == last + 1)
        played.append(bar)
        start += bar.length
        last = i
    if not start:
        raise CannotPlay("there are no bars to play")
    return Form(tuple(played), start, before)


def _steps(
    written: Sequence[_Written], order: Iterable[Iterable[int]]
) -> Iterator[tuple[int, bool]]:
    """Yield each bar of the runs, and whether it is the last of its section there."""
    for run in order:
        for _, group in groupby(run, key=lambda i: written[i].source.section):
            *most, last = group
            yield from ((i, False) for i in most)
            yield last, bool(written[last].source.number)


def _played(
    written: _Written, start: Fraction, home: Key, *, ends: bool, straight_on: bool
) -> PlayedBar:
    """Place a bar; a chord held from the bar before is struck where another bar comes before."""
    return PlayedBar(
        written.source,
        start,
        written.meter,
        written.length,
        written.key or home,
        written.feel,
        tuple(replace(change, held=change.held and straight_on) for change in written.changes),
        ends,
    )


def _estimated(written: Iterable[_Written]) -> Key:
    """Return the key that the changes suggest."""
    return estimate_key(
        (change.chord, change.length) for bar in written for change in bar.changes if change.chord
    )
