"""`chartkit phrase convert`: phrases from and to MusicXML and MIDI."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from chartkit.cli import options
from chartkit.cli.phrase_loading import ENDING
from chartkit.cli.values import BARS
from chartkit.errors import OutputError, RequestError
from chartkit.phrase.phrase import Phrase

MUSICXML: Final = (".musicxml", ".xml", ".mxl")
MIDI: Final = (".mid", ".midi")
TO: Final = (ENDING, ".musicxml", ".mid")


@click.command("convert", epilog="Example: chartkit phrase convert solo.musicxml --bars 5-8")
@click.argument("file", metavar="FILE")
@click.option("--bars", type=BARS, help="Only these bars of a MusicXML or MIDI file, such as 5-8.")
@click.option("--part", type=click.IntRange(1), help="Which of its parts, from 1.")
@click.option(
    "--swung", is_flag=True, help="Off-beats of a MIDI file are played late: read them as eighths."
)
@options.writing(TO)
def command(
    file: str,
    *,
    bars: tuple[int, int] | None,
    part: int | None,
    swung: bool,
    path: Path | None,
    force: bool,
) -> None:
    """Make a phrase of a MusicXML or MIDI file, or one of those of a phrase.

    What is guessed on the way (names of notes, values, what is left out) is told. Without -o a
    phrase becomes MusicXML, and any other file a phrase. A phrase is written as it stands, in even
    eighths: for swing and a band see chartkit phrase sound.
    """
    from chartkit.cli.naming import destination

    foreign = Path(file).suffix.lower() in (*MUSICXML, *MIDI)
    if foreign:
        phrase, stem = _imported(file, bars, part, swung=swung), Path(file).stem
    else:
        phrase, stem = _own(file, bars, part, swung=swung)
    usual = f"{stem}{ENDING if foreign else '.musicxml'}"
    to = destination(path, usual, force=force)
    _write(phrase, to)
    click.echo(to)


def _own(
    file: str, bars: tuple[int, int] | None, part: int | None, *, swung: bool
) -> tuple[Phrase, str]:
    from chartkit.cli.phrase_loading import load

    if bars or part or swung:
        raise RequestError("--bars, --part and --swung go with MusicXML and MIDI files")
    loaded = load(file)
    return loaded.phrase, loaded.stem


def _imported(file: str, bars: tuple[int, int] | None, part: int | None, *, swung: bool) -> Phrase:
    """Read a file of another kind, and say on standard error what was guessed."""
    from chartkit.phrase.from_midi import LARGEST as LARGEST_MIDI
    from chartkit.phrase.from_midi import import_midi
    from chartkit.phrase.from_musicxml import import_musicxml
    from chartkit.phrase.safe_xml import LARGEST as LARGEST_XML
    from chartkit.source import load_bytes

    is_midi = Path(file).suffix.lower() in MIDI
    if swung and not is_midi:
        raise RequestError("--swung goes with MIDI files: MusicXML tells its values")
    data = load_bytes(file, LARGEST_MIDI if is_midi else LARGEST_XML, "music")
    try:
        if is_midi:
            made = import_midi(data, part=part, bars=bars, swung=swung)
        else:
            made = import_musicxml(data, part=part, bars=bars)
    except OutputError as error:
        raise OutputError(f"cannot read {file}: {error}") from error
    for sentence in made.report:
        click.echo(f"{file}: {sentence}", err=True)
    return made.phrase


def _write(phrase: Phrase, path: Path) -> None:
    if path.suffix.lower() == ENDING:
        from chartkit.output.files import write_bytes
        from chartkit.phrase.writer import write

        write_bytes(path, write(phrase).encode())
        return
    from chartkit.make_phrase import write_exact

    write_exact(phrase, path)
