"""`chartkit phrase`: the player's own phrases, each command in a file of its own.

A new command is a module ``phrase_NAME`` with `command`, and its line in `COMMANDS`.
"""

from __future__ import annotations

import importlib
from typing import Final

import click

COMMANDS: Final = {
    "check": "Tell what each phrase holds, or every fault in it.",
    "tidy": "Rewrite phrases in the one tidy spelling.",
    "analyse": "Tell what each note is to its chord, and where to play it.",
    "convert": "From and to MusicXML and MIDI.",
    "page": "Print a phrase, with tablature and fingers.",
    "place": "Tell where a phrase fits in a tune, and play it there.",
    "keys": "Write a phrase through the keys.",
    "vary": "Vary a phrase, one thing at a time or two.",
    "etude": "Write a line over a tune from phrases and exercises.",
    "keep": "Keep phrases for the routine of a day.",
    "sound": "Render a phrase: alone, with a click, or with the band.",
}
"""Every command and its line in the list of them, known without importing it."""


class _Phrases(click.Group):
    """A group whose commands are imported when they are named, so that help is instant."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 (click's signature)
        return list(COMMANDS)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in COMMANDS:
            return None
        command = importlib.import_module(f"chartkit.cli.phrase_{cmd_name}").command
        assert isinstance(command, click.Command)
        return command


@click.group("phrase", cls=_Phrases, epilog="Example: chartkit phrase sound my-phrase.phrase")
def command() -> None:
    """Keep phrases of your own: read them, hear them, see what they are made of.

    FILE is a phrase file, the name of a phrase that you keep or of a demo phrase, or - for standard
    input. How a phrase is written is told in grammar/README.md.
    """
