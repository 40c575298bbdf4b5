"""The choices about a line through the changes, told from the table of kinds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any, Final, TypeVar, cast

import click

from chartkit.cli.groups import under
from chartkit.exercise import KINDS
from chartkit.exercise.motif import MOTIFS
from chartkit.line_options import FIRSTS, SHAPES, SIDES, TONES, LineOptions

Function = TypeVar("Function", bound=Callable[..., Any])

LINE_HEADING: Final = "The line"


def line_choices(function: Function) -> Function:
    """Add the options of a line to a command, which gets them as `choices`, a `LineOptions`."""

    @wraps(function)
    def command(*args: Any, **given: Any) -> Any:  # noqa: ANN401 (click's own values pass through)
        names = LineOptions.__dataclass_fields__
        choices = LineOptions(**{name: given.pop(name) for name in names})
        return function(*args, choices=choices, **given)

    decorated: Callable[..., Any] = command
    for option in reversed(_OPTIONS):
        decorated = option(decorated)
    return cast("Function", decorated)


def _choice(flag: str, name: str, values: Sequence[str], told: str) -> Callable[..., Any]:
    """Return an option whose help names the kinds that take it."""
    kinds = ", ".join(kind.name for kind in KINDS.values() if name in kind.takes)
    return under(LINE_HEADING, flag, name, type=click.Choice(values), help=f"{told} (for {kinds})")


_OPTIONS = (
    _choice("--tones", "tones", TONES, "The chord tones to use."),
    _choice("--from", "first", FIRSTS, "The chord tone to start from."),
    _choice(
        "--shape",
        "shape",
        SHAPES,
        "One way; up and down in each chord; or turn about, one chord up and the next one down.",
    ),
    _choice("--side", "side", SIDES, "Where the approach comes from."),
    _choice("--motif", "motif", tuple(MOTIFS), "The rhythm."),
    under(
        LINE_HEADING,
        "--cadences",
        is_flag=True,
        help="Play over the cadences only, a drill of each ii-V-I, and rest elsewhere.",
    ),
)
