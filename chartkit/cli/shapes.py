"""`chartkit shapes`: diagrams of a chord or a scale on the neck."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from chartkit.cli import options
from chartkit.cli.instruments import INSTRUMENT, LEFT_HANDED, STRINGS, adding, instrument_of
from chartkit.cli.values import PAGES, POSITION
from chartkit.errors import ChordError, RequestError
from chartkit.exercise.tones import ROLES
from chartkit.guitar.fretboard import numeral
from chartkit.guitar.shapes import VOICINGS, in_position, over_the_neck, three_to_a_string, voiced
from chartkit.notate.symbols import chord_text, printed_name
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import NoteName
from chartkit.theory.scale import SCALES, Scale
from chartkit.theory.symbol import read_symbol

if TYPE_CHECKING:
    from chartkit.guitar.fretboard import Tuning
    from chartkit.guitar.shapes import Shape
    from chartkit.output.diagram import Label

USUAL_STRINGS: Final = {
    "triad": (3, 2, 1),
    "drop 2": (4, 3, 2, 1),
    "drop 3": (6, 4, 3, 2),
    "shell": (6, 4, 3),
}
"""Where a voicing is most often played [common practice, no source]."""

NAMES: Final = {"major": "ionian", "minor": "aeolian"}
"""Scales that are asked for by another name."""


@click.command("shapes", epilog='Example: chartkit shapes "G dorian" --position V')
@click.argument("what", metavar="CHORD|SCALE")
@click.option("--position", type=POSITION, help="The scale or the arpeggio in this position.")
@click.option("--three-a-string", "three", is_flag=True, help="The scale, three notes a string.")
@click.option("--voicing", type=click.Choice(list(VOICINGS)), help="The chord in this voicing.")
@click.option("--strings", type=STRINGS, help="The strings of the voicing, such as 4-3-2-1.")
@click.option(
    "--label",
    type=click.Choice(["fingers", "degrees"]),
    default="fingers",
    show_default=True,
    help="What stands in the dots; over the whole neck it is degrees.",
)
@adding((LEFT_HANDED, *INSTRUMENT))
@options.PAPER
@options.LARGE_PRINT
@options.writing(PAGES)
def command(
    what: str,
    *,
    position: int | None,
    three: bool,
    voicing: str | None,
    strings: tuple[int, ...] | None,
    label: Label,
    left_handed: bool,
    instrument: str,
    tuning: str | None,
    capo: int,
    paper: str,
    large: bool,
    path: Path | None,
    force: bool,
) -> None:
    """Draw a chord or a scale on the neck: in a position, in a voicing, or over the whole neck.

    CHORD is a symbol such as Bb7; SCALE a note and a name such as "G dorian".
    """
    from chartkit.cli.naming import destination
    from chartkit.output.diagram import Diagrams

    neck = instrument_of(instrument, tuning, capo).tuning
    if neck is None:
        raise RequestError(f"the {instrument} has no frets: choose an instrument that has")
    if sum((position is not None, three, voicing is not None)) > 1:
        raise RequestError("say one of --position, --three-a-string and --voicing")
    if strings and not voicing:
        raise RequestError("--strings tells where a voicing lies: say --voicing too")
    tones, name = read_tones(what)
    neck = replace(neck, left_handed=left_handed)
    if voicing:
        title, shapes = _voiced(tones, name, voicing, strings, neck)
    else:
        title, shapes = _laid_out(tones, name, position, neck, three=three)
        label = label if three or position else "degrees"
    stem = re.sub(r"[^\w#]+", "-", f"{what} {voicing or (position and numeral(position)) or ''}")
    target = destination(path, f"{stem.strip('-')}.pdf", force=force)
    options.print_sheet(Diagrams(title, shapes, label), target, paper, large=large)


def read_tones(what: str) -> tuple[Chord | Scale, str]:
    """Read ``Bb7`` or ``G dorian`` into its tones and its printed name.

    Raises
    ------
    RequestError
        It is neither.
    """
    first, *rest = what.split()
    scale = NAMES.get(" ".join(rest), " ".join(rest))
    try:
        if rest and scale in SCALES:
            root = NoteName.parse(first[:1].upper() + first[1:])
            return Scale.on(root, scale), f"{printed_name(root)} {' '.join(rest)}"
        chord = read_symbol(what.strip()).chord
    except (ValueError, ChordError) as error:
        raise RequestError(
            f"`{what}` is neither a chord nor a scale; write one like Bb7, or a note with one of "
            f"{', '.join((*NAMES, *SCALES))}"
        ) from error
    return chord, chord_text(chord)


def _laid_out(
    tones: Chord | Scale, name: str, position: int | None, neck: Tuning, *, three: bool
) -> tuple[str, tuple[Shape, ...]]:
    """Return a title, and a scale or an arpeggio in a position or over the neck."""
    if three:
        above = neck.open_strings[0] + 1  # an open string cannot be moved
        first = above + (tones.root.pitch_class - above) % 12
        return f"{name}, three notes a string", (three_to_a_string("", tones, first, neck),)
    if position:
        place = f"position {numeral(position)}"
        return f"{name}, {place}", (in_position("", tones, position, neck),)
    return name, (over_the_neck("", tones, neck),)


def _voiced(
    tones: Chord | Scale,
    name: str,
    voicing: str,
    strings: tuple[int, ...] | None,
    neck: Tuning,
) -> tuple[str, tuple[Shape, ...]]:
    """Return a title, and a chord's shapes in a voicing."""
    if not isinstance(tones, Chord):
        raise RequestError("a voicing is of a chord: write a symbol such as Bb7")
    chosen = strings or USUAL_STRINGS[voicing]
    voices = len(VOICINGS[voicing][0])
    if len(chosen) != voices or not set(chosen) <= set(neck.strings):
        raise RequestError(
            f"a {voicing} shape takes {voices} of the strings 1 to {neck.strings[-1]}"
        )
    shapes = voiced(name, tones, voicing, chosen, neck)
    where = "-".join(map(str, chosen))
    if not shapes:
        raise RequestError(f"{name} has no {voicing} shape on the strings {where}: choose others")
    lowest = (ROLES[shape.marks[0].degree.number] for shape in shapes)
    named = (
        replace(shape, name=f"{tone} lowest") for shape, tone in zip(shapes, lowest, strict=True)
    )
    return f"{name}: {voicing} on strings {where}", tuple(named)
