"""`chartkit phrase page`: a phrase as a page, with tablature and fingers."""

from __future__ import annotations

from pathlib import Path

import click

from chartkit.cli import options
from chartkit.cli.phrase_loading import PHRASE
from chartkit.cli.values import KEY, NOTATION, POSITION, KeyTyped
from chartkit.notate.line import Staves


@click.command("page", epilog="Example: chartkit phrase page my-phrase.phrase --position V")
@PHRASE
@click.option("--key", type=KEY, help="Transpose to this key, such as Bb.")
@click.option(
    "--position",
    type=POSITION,
    help="Stay in this position, such as 5 or V.  [default: where it lies best]",
)
@click.option("--degrees", is_flag=True, help="Write each note's degree of its chord over it.")
@options.STAVES
@options.PAPER
@options.LARGE_PRINT
@options.writing(NOTATION)
def command(
    file: str,
    *,
    key: KeyTyped | None,
    position: int | None,
    degrees: bool,
    staves: Staves,
    paper: str,
    large: bool,
    path: Path | None,
    force: bool,
) -> None:
    """Print a phrase with its chords, tablature and fingers.

    Warm up first and stop on pain: a stretch that hurts is a question for a teacher.
    """
    from chartkit.cli.naming import destination
    from chartkit.cli.phrase_loading import load
    from chartkit.cli.phrase_options import in_key
    from chartkit.guitar.fretboard import numeral
    from chartkit.make_phrase import phrase_sheet

    loaded = load(file)
    sheet = phrase_sheet(in_key(loaded.phrase, key), position, staves, degrees=degrees)
    words = [f"in-{key[0]}"] if key else []
    words += [numeral(position)] if position else []
    name = "-".join((loaded.stem, *words)) + ".pdf"
    options.print_sheet(sheet, destination(path, name, force=force), paper, large=large)
