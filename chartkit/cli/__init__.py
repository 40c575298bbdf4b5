"""The command line, one file a command, each thin: read, call one function, write.

Results go to standard output, talk to standard error. Exit codes: 0 well, 1 a chart or a file is
at fault, 2 the request is. Every error that a player can cause ends here as one sentence.
"""

from __future__ import annotations

import os
import signal
import sys
from types import FrameType
from typing import Final, NoReturn

import click

from chartkit.cli.late import LateGroup
from chartkit.errors import ChartkitError

COMMANDS: Final = {
    "check": "Tell what each chart holds, or every fault in it.",
    "tidy": "Rewrite charts in the one tidy spelling.",
    "analyse": "Tell key areas, numerals, cadences, and where to play.",
    "loop": "Render the band on sections of a tune as a seamless loop.",
    "playalong": "Render the full form, from count-in to ending.",
    "exercise": "Write a line through the changes of a section.",
    "technique": "Write warm-ups, scales and chords along the neck.",
    "today": "Make today's work, ready to play.",
    "log": "Note how today's practice went.",
    "progress": "Look back: minutes, tempos, keys and positions.",
    "sheet": "Print the chart.",
    "shapes": "Draw a chord or a scale on the neck.",
    "sound": "Tell what plays, and render a few bars to hear it.",
    "phrase": "Keep phrases of your own: read, hear and study them.",
    "stand": "Open the music stand in the browser.",
}
"""Every command and its line in the list of them, known without importing it."""

MODULES: Final = {"progress": "looking_back"}
"""Modules of commands that do not bear the command's name."""

INTERRUPTED: Final = "stopped; no half-written file was left"


@click.group(
    cls=LateGroup,
    told=COMMANDS,
    module=lambda name: MODULES.get(name, name),
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(package_name="chartkit")
def cli() -> None:
    """From a plain-text chart: a band that loops, exercises through its changes, sheets to print.

    FILE is a chart file, the name of a demo tune, or - for standard input.

    Warm up before you play, keep the volume safe, and stop on pain: a teacher or a clinician knows
    more than a program.
    """


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit code.

    Parameters
    ----------
    arguments : list of str or None
        Without the program's name; None for the process's own.
    """
    signal.signal(signal.SIGTERM, _interrupt)
    sys.exit(run(arguments))


def run(arguments: list[str] | None = None) -> int:
    """Run the command line and return its exit code; see `main`."""
    try:
        code = cli.main(arguments, prog_name="chartkit", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except ChartkitError as error:
        click.echo(f"chartkit: {error}", err=True)
        return error.exit_code
    except (KeyboardInterrupt, click.Abort):
        click.echo(f"chartkit: {INTERRUPTED}", err=True)
        return 1
    except BrokenPipeError:
        # The reader of our output has gone; give the interpreter's last flush somewhere to go.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    return code if isinstance(code, int) else 0


def _interrupt(_number: int, _frame: FrameType | None) -> NoReturn:
    raise KeyboardInterrupt
