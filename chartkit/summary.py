"""What a chart holds, in a few figures."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from chartkit.chart import Bar, Chart, Meter, Section, Simile
from chartkit.feel import FEELS
from chartkit.form import body, key_of
from chartkit.theory.key import Key


@dataclass(frozen=True, slots=True)
class Summary:
    """The figures of one chart.

    Parameters
    ----------
    title : str
    key : Key
        As written, else estimated; `key_written` tells which.
    meter : Meter
    feel : str
    tempo : Fraction
        Quarter notes a minute: as written, else the feel's own.
    sections : tuple of (str, int)
        Each label and its number of written bars.
    form : tuple of str
        Section labels in playing order, one chorus.
    bars : int
        Bars of one chorus as played.
    seconds : Fraction
        Length of one chorus.
    """

    title: str
    key: Key
    key_written: bool
    meter: Meter
    feel: str
    tempo: Fraction
    sections: tuple[tuple[str, int], ...]
    form: tuple[str, ...]
    bars: int
    seconds: Fraction


def summarise(chart: Chart) -> Summary:
    """Return the figures of a chart.

    Raises
    ------
    CannotPlay
        Its form cannot be played out.
    """
    form = body(chart)
    tempo = chart.tempo.quarters if chart.tempo else Fraction(FEELS[chart.feel].tempo)
    return Summary(
        title=chart.title,
        key=key_of(chart),
        key_written=chart.key is not None,
        meter=chart.meter,
        feel=chart.feel,
        tempo=tempo,
        sections=tuple((section.label, _bar_count(section)) for section in chart.sections),
        form=form.labels,
        bars=len(form.bars),
        seconds=form.length * 60 / tempo,
    )


def _bar_count(section: Section) -> int:
    """Return a section's printed bars; a two-bar simile counts as two, a pickup as none."""
    return sum(_printed(bar) for bar in section.bars if bar.number)


def _printed(bar: Bar) -> int:
    return max(slot.bars if isinstance(slot, Simile) else 1 for slot in bar.slots)
