"""What the commands of phrases share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartkit.cli import options
from chartkit.cli.values import NOTATION, KeyTyped
from chartkit.errors import RequestError
from chartkit.phrase.chart import key_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.transpose import transpose_phrase
from chartkit.take import Take
from chartkit.theory.key import Key

if TYPE_CHECKING:
    from chartkit.playable import Playable


def in_key(phrase: Phrase, asked: KeyTyped | None) -> Phrase:
    """Return a phrase in the key that was typed; the name that was typed wins.

    Raises
    ------
    RequestError
        The other mode was asked for.
    """
    if asked is None:
        return phrase
    tonic, mode = asked
    home = key_of(phrase)
    if mode not in (None, home.mode):
        raise RequestError(
            f"the phrase is in {home}, and a transposition keeps the mode: say --key {tonic}"
        )
    return transpose_phrase(phrase, Key(tonic, home.mode))


def write_playable(made: Playable, path: Path, take: Take, paper: str, *, large: bool) -> None:
    """Write what is to be played as a page or as sound, by the ending, and print the file's name.

    The soundfont and the tuning are the take's.
    """
    if path.suffix.lower() in NOTATION:
        options.print_sheet(made.sheet, path, paper, large=large)
        return
    from chartkit.cli.progress import progress
    from chartkit.output.music import write

    with progress(f"Rendering {path.name}") as report:
        write(made.performance, path, soundfont=take.soundfont, a4=take.a4, progress=report)
    click.echo(path)
