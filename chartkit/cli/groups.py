"""Options under headings, so that a long help can be read.

Conventions: an option without a heading stands last, under "Other".
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeVar

import click

Function = TypeVar("Function", bound=Callable[..., Any])

OTHER: Final = "Other"


class GroupedOption(click.Option):
    """An option and the heading that it stands under."""

    def __init__(self, *names: Any, heading: str, **settings: Any) -> None:  # noqa: ANN401 (click's)
        super().__init__(*names, **settings)
        self.heading = heading


class GroupedCommand(click.Command):
    """A command whose help parts its options by their headings."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write each heading with its options, in the order in which they were added."""
        headings: dict[str, list[tuple[str, str]]] = {}
        others = []
        for param in self.get_params(ctx):
            record = param.get_help_record(ctx)
            if record and isinstance(param, GroupedOption):
                headings.setdefault(param.heading, []).append(record)
            elif record and isinstance(param, click.Option):
                others.append(record)
        for heading, records in {**headings, OTHER: others}.items():
            with formatter.section(heading):
                formatter.write_dl(records)


def under(
    heading: str,
    *names: str,
    **settings: Any,  # noqa: ANN401 (click's)
) -> Callable[[Function], Function]:
    """Return a `click.option` that stands under a heading."""
    return click.option(*names, cls=GroupedOption, heading=heading, **settings)


def examples(*commands: str) -> str:
    """Return an epilog that shows one command on each line."""
    first, *others = commands
    return "\n".join(("\b", f"Example: {first}", *(f"         {other}" for other in others)))
