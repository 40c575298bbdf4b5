"""`chartkit phrase keys`: one phrase in several keys, one after the other."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.options import MUSIC_HEADING, SOUND_HEADING, Playing
from chartkit.cli.phrase_loading import PHRASE
from chartkit.cli.phrase_options import write_playable
from chartkit.cli.values import MUSIC, NOTATION, POSITION
from chartkit.errors import RequestError
from chartkit.notate.line import Staves

ALL: Final = 12

EXAMPLES: Final = examples(
    "chartkit phrase keys my-phrase.phrase",
    "chartkit phrase keys my-phrase.phrase --position V -o twelve.pdf",
    "chartkit phrase keys my-phrase.phrase --in 4 --with-band --tempo 90 -o four.wav",
)


@click.command("keys", cls=GroupedCommand, epilog=EXAMPLES)
@PHRASE
@under(
    MUSIC_HEADING,
    "--in",
    "number",
    type=click.IntRange(1, ALL),
    default=ALL,
    show_default=True,
    metavar="KEYS",
    help="How many keys round the cycle of fourths, from the phrase's own or --key.",
)
@under(
    MUSIC_HEADING,
    "--position",
    type=POSITION,
    help="All of them in this position, such as 5 or V.  [default: along the neck]",
)
@under(SOUND_HEADING, "--with-band", is_flag=True, help="Heard with the band instead of alone.")
@options.STAVES
@options.PAPER
@options.LARGE_PRINT
@options.count_in(0)
@options.playing
@options.writing((*NOTATION, *MUSIC))
def command(
    file: str,
    *,
    number: int,
    position: int | None,
    with_band: bool,
    staves: Staves,
    paper: str,
    large: bool,
    count_in: int,
    path: Path | None,
    force: bool,
    **playing: Unpack[Playing],
) -> None:
    """Write a phrase through the keys, round the cycle of fourths, as a page or as sound.

    Warm up first and stop on pain: a stretch that hurts is a question for a teacher.
    """
    from chartkit.cli.naming import destination
    from chartkit.cli.phrase_loading import load
    from chartkit.cli.phrase_options import in_key
    from chartkit.make_chorus import in_keys
    from chartkit.make_phrase import phrase_playable, phrase_take

    if playing["keys"]:
        raise RequestError("the keys go round already: leave --key-each-time out")
    loaded = load(file)
    phrase = in_keys(in_key(loaded.phrase, playing["key"]), number, position)
    take = options.played(replace(phrase_take(phrase), count_in=count_in), {**playing, "key": None})
    if not with_band:
        take = replace(take, parts=())
    made = phrase_playable(phrase, take, position, staves)
    to = destination(path, f"{loaded.stem}-{number}-keys.pdf", force=force)
    write_playable(made, to, take, paper, large=large)
