"""Files rewritten in the one tidy spelling: the one way of the commands that tidy."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import click

from chartkit.cli.named import STDIN
from chartkit.errors import ChartFaults, ChartkitError


def tidy(
    names: Sequence[str], tidied: Callable[[str, str], str], noun: str, how: str, *, check: bool
) -> int:
    """Rewrite files, and return the exit code; standard input goes to standard output.

    Parameters
    ----------
    names : sequence of str
    tidied : callable
        From a file's text and its name to its tidy text; raises `ChartFaults`.
    noun : str
        What a file should hold, for messages.
    how : str
        The command that rewrites, for messages.
    check : bool
        Write nothing; fail if a file is not tidy.
    """
    failed = False
    for name in names:
        try:
            failed |= _tidy(name, tidied, noun, how, check=check)
        except ChartkitError as error:
            told = str(error) if isinstance(error, ChartFaults) else f"chartkit: {error}"
            click.echo(told, err=True)
            failed = True
    return int(failed)


def _tidy(
    name: str, tidied: Callable[[str, str], str], noun: str, how: str, *, check: bool
) -> bool:
    """Tidy one file; return whether a check found it untidy."""
    from chartkit.output.files import write_bytes
    from chartkit.source import load

    text = load(name, noun)
    after = tidied(text, name)
    if check:
        if after != text:
            click.echo(f"{name} is not tidy; {how} rewrites it", err=True)
        return after != text
    if name == STDIN:
        click.echo(after, nl=False)
    elif after != text:
        write_bytes(Path(name), after.encode())
    return False
