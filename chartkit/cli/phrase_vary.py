"""`chartkit phrase vary`: what can be changed about a phrase, and each change made."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.options import MUSIC_HEADING, SOUND_HEADING, Playing
from chartkit.cli.phrase_loading import ENDING, PHRASE
from chartkit.cli.phrase_options import write_playable
from chartkit.cli.values import MUSIC, NOTATION, POSITION
from chartkit.errors import RequestError
from chartkit.notate.line import Staves

if TYPE_CHECKING:
    from chartkit.phrase.variation import Variation

EXAMPLES: Final = examples(
    "chartkit phrase vary my-phrase.phrase",
    "chartkit phrase vary my-phrase.phrase --change rhythm --number 3 -o third.phrase",
    "chartkit phrase vary my-phrase.phrase --change octave --change ending",
    "chartkit phrase vary my-phrase.phrase --number 5 --with-band --tempo 100 -o fifth.wav",
)


@click.command("vary", cls=GroupedCommand, epilog=EXAMPLES)
@PHRASE
@under(
    MUSIC_HEADING,
    "--change",
    "dimensions",
    multiple=True,
    metavar="WHAT",
    help="Only this: start, rhythm, values, ending, octave, order, approach or mode. Twice for "
    "two changes at once.",
)
@under(
    MUSIC_HEADING,
    "--number",
    type=click.IntRange(1),
    help="Which one of the list to write.  [default: the first]",
)
@under(
    MUSIC_HEADING,
    "--position",
    type=POSITION,
    help="Print it in this position, such as 5 or V.  [default: where it lies best]",
)
@under(MUSIC_HEADING, "--json", "as_json", is_flag=True, help="Print the list for programs.")
@under(SOUND_HEADING, "--with-band", is_flag=True, help="Heard with the band instead of alone.")
@options.HEARD_TIMES
@options.STAVES
@options.PAPER
@options.LARGE_PRINT
@options.count_in(0)
@options.playing
@options.writing((ENDING, *NOTATION, *MUSIC))
def command(
    file: str,
    *,
    dimensions: tuple[str, ...],
    number: int | None,
    position: int | None,
    as_json: bool,
    with_band: bool,
    times: int,
    staves: Staves,
    paper: str,
    large: bool,
    count_in: int,
    path: Path | None,
    force: bool,
    **playing: Unpack[Playing],
) -> None:
    """Vary a phrase, one thing at a time or two: tell what can be changed, and write the result.

    Without -o the variations are listed with their numbers. None of them breaks the harmony on a
    strong beat. With -o one is written as a phrase, as a page or as sound.

    Warm up first and stop on pain: a stretch that hurts is a question for a teacher.
    """
    from chartkit.cli.naming import destination
    from chartkit.cli.phrase_loading import load
    from chartkit.cli.phrase_options import in_key
    from chartkit.make_phrase import phrase_playable, phrase_take
    from chartkit.phrase.variation import variations

    phrase = in_key(load(file).phrase, playing["key"])
    found = variations(phrase, dimensions)
    if path is None:
        click.echo(_as_json(found) if as_json else _as_text(phrase.title, found, number))
        return
    made = _chosen(found, number or 1).phrase
    to = destination(path, path.name, force=force)
    if to.suffix.lower() == ENDING:
        from chartkit.output.files import write_bytes
        from chartkit.phrase.writer import write

        write_bytes(to, write(made).encode())
        click.echo(to)
        return
    take = replace(phrase_take(made), times=times, count_in=count_in)
    take = options.played(take, {**playing, "key": None})
    take = take if with_band else replace(take, parts=())
    write_playable(phrase_playable(made, take, position, staves), to, take, paper, large=large)


def _chosen(found: tuple[Variation, ...], number: int) -> Variation:
    if not found:
        raise RequestError("nothing about it can be changed so: leave --change out to see what can")
    if number > len(found):
        raise RequestError(f"there are {len(found)} variations: choose a number up to that")
    return found[number - 1]


def _as_text(title: str, found: tuple[Variation, ...], number: int | None) -> str:
    if number is not None:
        from chartkit.phrase.writer import write

        return write(_chosen(found, number).phrase).rstrip("\n")
    from chartkit.cli.tables import table

    count = f"{len(found)} variation{'s' * (len(found) != 1)}"
    rows = [
        (str(n), ", ".join(change.dimension for change in one.changes), one.what)
        for n, one in enumerate(found, 1)
    ]
    head = f"{title or 'The phrase'}: {count if found else 'no such variation'}"
    return "\n".join((head, *(table([("", "changed", ""), *rows], numbers=1) if rows else ())))


def _as_json(found: tuple[Variation, ...]) -> str:
    from chartkit.phrase.writer import write

    objects = [
        {
            "number": n,
            "changes": [
                {"changed": change.dimension, "what": change.what} for change in one.changes
            ],
            "phrase": write(one.phrase),
        }
        for n, one in enumerate(found, 1)
    ]
    return json.dumps(objects, indent=2, ensure_ascii=False)
