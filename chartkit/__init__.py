r"""A practice band, exercises and sheets from one plain-text chart.

The few names to begin with; each is loaded when it is first asked for. See DEVELOPERS.md for the
stages behind them.

>>> import chartkit
>>> chart = chartkit.parse("[A]\n| Dm7 | G7 | Cmaj7 | % |", "four bars").chart
>>> take = chartkit.Take(chart, sections=("A",), exercise=chartkit.ExerciseAsked(position=5))
>>> [track.part for track in chartkit.performance(take).tracks]
['bass', 'chords', 'drums', 'line']
"""

import importlib
from typing import Any, Final

_HOME: Final = {
    "parse": "reader",
    "read": "reader",
    "write": "writer",
    "Take": "take",
    "ExerciseAsked": "take",
    "performance": "make",
    "exercise_sheet": "make",
    "write_music": "make",
    "write_sheet": "make",
    "notate_chart": "notate",
    "ChartkitError": "errors",
}
"""Each public name and the module it lives in."""

__all__ = tuple(_HOME)


def __getattr__(name: str) -> Any:  # noqa: ANN401
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    return sorted((*globals(), *_HOME))
