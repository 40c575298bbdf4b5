"""`chartkit phrase sound`: a phrase as it is heard, round and round."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final, Unpack

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.options import FILE_HEADING, MUSIC_HEADING, Playing
from chartkit.cli.phrase_loading import PHRASE
from chartkit.cli.values import MUSIC
from chartkit.phrase.phrase import Phrase
from chartkit.take import Take

EXAMPLES: Final = examples(
    "chartkit phrase sound my-phrase.phrase --tempo 100",
    "chartkit phrase sound my-phrase.phrase --click 2,4 --count-in 1",
    "chartkit phrase sound my-phrase.phrase --with-band --times 12 --key-each-time fourths",
)


@click.command("sound", cls=GroupedCommand, epilog=EXAMPLES)
@PHRASE
@under(MUSIC_HEADING, "--with-band", is_flag=True, help="With the band on its own chords.")
@under(
    MUSIC_HEADING,
    "--times",
    type=click.IntRange(1, 500),
    default=1,
    show_default=True,
    help="Times round.",
)
@options.count_in(0)
@options.playing
@options.writing(MUSIC)
@under(FILE_HEADING, "--play", is_flag=True, help="Play it until Ctrl-C instead of writing a file.")
def command(
    file: str,
    *,
    with_band: bool,
    times: int,
    count_in: int,
    path: Path | None,
    force: bool,
    play: bool,
    **playing: Unpack[Playing],
) -> None:
    """Render a phrase as a seamless loop: alone, with a click, or with the band.

    Bars of the last chord are added where it needs an even number of them, or room for its pick-up.
    """
    from chartkit.cli.naming import destination, take_name
    from chartkit.cli.phrase_loading import load
    from chartkit.cli.progress import progress
    from chartkit.make_phrase import phrase_take, write_phrase_music

    loaded = load(file)
    take = replace(phrase_take(loaded.phrase), times=times, count_in=count_in)
    take = options.played(take, playing)
    if not with_band:
        take = replace(take, parts=())
    if play:
        _play(loaded.phrase, take)
        return
    to = destination(path, f"{take_name(loaded.stem, take)}.wav", force=force)
    with progress(f"Rendering {to.name}") as report:
        write_phrase_music(loaded.phrase, take, to, report)
    if to.suffix.lower() == ".mp3":
        options.warn("MP3 pads its ends, so it loops with a gap: choose .wav, .flac or .ogg")
    click.echo(to)


def _play(phrase: Phrase, take: Take) -> None:
    """Play a phrase until Ctrl-C, which is the ordinary way to end it."""
    from chartkit.make_phrase import play_phrase

    click.echo("playing until Ctrl-C", err=True)
    try:
        play_phrase(phrase, take)
    except KeyboardInterrupt:
        click.echo("stopped", err=True)
