"""Groups whose commands are imported when they are named, so that help is instant."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping
from typing import Any

import click


class LateGroup(click.Group):
    """A group of commands, each the `command` of a module of its own in ``chartkit.cli``.

    Parameters
    ----------
    told : mapping of str to str
        Every command and its line in the list of them, known without importing it.
    module : callable
        From a command's name to its module's.
    """

    def __init__(
        self,
        *names: Any,  # noqa: ANN401 (click's)
        told: Mapping[str, str],
        module: Callable[[str], str],
        **settings: Any,  # noqa: ANN401 (click's)
    ) -> None:
        super().__init__(*names, **settings)
        self._told = told
        self._module = module

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 (click's signature)
        """Return the names of the commands."""
        return list(self._told)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write each command with its line."""
        with formatter.section("Commands"):
            formatter.write_dl(list(self._told.items()))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Return a command, imported now."""
        if cmd_name not in self._told:
            return None
        command = importlib.import_module(f"chartkit.cli.{self._module(cmd_name)}").command
        assert isinstance(command, click.Command)
        return command
