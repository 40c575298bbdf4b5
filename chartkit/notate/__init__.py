"""From a chart or a line to what a copyist would write: a `Sheet`, ready for any format."""

from chartkit.notate.chart import notate_chart
from chartkit.notate.line import notate_line
from chartkit.notate.sheet import (
    ChordSymbol,
    Event,
    Measure,
    NoteValue,
    Sheet,
    Words,
)

__all__ = [
    "ChordSymbol",
    "Event",
    "Measure",
    "NoteValue",
    "Sheet",
    "Words",
    "notate_chart",
    "notate_line",
]
