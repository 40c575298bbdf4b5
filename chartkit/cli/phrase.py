"""`chartkit phrase`: the player's own phrases, each command in a file of its own.

A new command is a module ``phrase_NAME`` with `command`, and its line in `COMMANDS`.
"""

from __future__ import annotations

from typing import Final

import click

from chartkit.cli.late import LateGroup

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


@click.group(
    "phrase",
    cls=LateGroup,
    told=COMMANDS,
    module="phrase_{}".format,
    epilog="Example: chartkit phrase sound my-phrase.phrase",
)
def command() -> None:
    """Keep phrases of your own: read them, hear them, see what they are made of.

    FILE is a phrase file, the name of a phrase that you keep or of a demo phrase, or - for standard
    input. How a phrase is written is told in grammar/README.md.
    """
