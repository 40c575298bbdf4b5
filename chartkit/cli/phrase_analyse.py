"""`chartkit phrase analyse`: what each note is to its chord, and where the phrase lies."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any, Final

import click

from chartkit.cli.phrase_loading import PHRASE
from chartkit.cli.tables import INDENT, table
from chartkit.cli.values import KEY, KeyTyped
from chartkit.guitar.fretboard import STANDARD, numeral
from chartkit.phrase.analysis import NoteFacts, facts_of
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.shape import InPosition, Move, contour_of, positions_of, range_of
from chartkit.theory.symbol import write_symbol

SEVERAL: Final = 4
"""Positions that the table names, the easiest first."""

_HALF: Final = Fraction(1, 2)
_WAYS: Final = {1: "up to", -1: "down to", 0: "on"}
_COLUMNS: Final = ("bar", "beat", "note", "chord", "degree", "", "")


@click.command("analyse", epilog="Example: chartkit phrase analyse my-phrase.phrase --key Bb")
@PHRASE
@click.option("--key", type=KEY, help="Transpose to this key, such as Bb.")
@click.option("--json", "as_json", is_flag=True, help="Print one object for other programs.")
def command(file: str, *, key: KeyTyped | None, as_json: bool) -> None:
    """Tell each note's degree of its chord, what leads where, the range, the way, the positions.

    A note that leads to a chord tone on a stronger beat is an approach note; two from both sides
    are an enclosure; where they lead is a target.
    """
    from chartkit.cli.phrase_loading import load
    from chartkit.cli.phrase_options import in_key

    phrase = in_key(load(file).phrase, key)
    facts = facts_of(phrase)
    positions = positions_of(phrase, STANDARD)
    if as_json:
        click.echo(json.dumps(_as_object(phrase, facts, positions), indent=2))
    else:
        click.echo("\n".join(_as_text(phrase, facts, positions)))


def _as_text(
    phrase: Phrase, facts: Sequence[NoteFacts], positions: Sequence[InPosition]
) -> Iterator[str]:
    yield phrase.title or "Untitled"
    compass = range_of(phrase)
    rows = (
        ("Range", f"{compass[0]} to {compass[1]}" if compass else "no notes"),
        ("Contour", _contour(contour_of(phrase))),
        ("Position", _positions(positions)),
    )
    yield from (f"{INDENT}{word:<10}{value}" for word, value in rows if value)
    if facts:
        yield ""
        yield from table([_COLUMNS, *(_row(phrase, fact) for fact in facts)], numbers=1)


def _contour(moves: Sequence[Move]) -> str:
    return ", ".join(f"{_WAYS[move.way]} {move.to}" for move in moves)


def _positions(positions: Sequence[InPosition]) -> str:
    if not positions:
        return "in none as a whole; the hand moves"
    first, *others = (
        numeral(one.position) + (" with a stretch" if one.stretched else "")
        for one in positions[:SEVERAL]
    )
    return f"{first} lies best" + (f", then {', '.join(others)}" if others else "")


def _row(phrase: Phrase, fact: NoteFacts) -> tuple[str, ...]:
    bar, beat = _place(phrase, fact.start)
    return (
        str(bar) if bar else "-",
        beat,
        str(fact.pitch),
        write_symbol(fact.chord) + (" early" if fact.early else "") if fact.chord else "",
        str(fact.degree) if fact.degree else "",
        "" if fact.standing == "unknown" else fact.standing,
        fact.role,
    )


def _place(phrase: Phrase, start: Fraction) -> tuple[int, str]:
    """Return the bar of a point (0 in a pick-up) and its beat: ``2``, ``2 &`` or ``2 1/3``."""
    bar, within = divmod(start, phrase.meter.length)
    beat, rest = divmod(within / phrase.meter.unit, 1)
    return int(bar) + 1, f"{int(beat) + 1}{_beat_part(rest)}"


def _beat_part(rest: Fraction) -> str:
    if not rest:
        return ""
    return " &" if rest == _HALF else f" {rest}"


def _as_object(
    phrase: Phrase, facts: Sequence[NoteFacts], positions: Sequence[InPosition]
) -> dict[str, Any]:
    return {
        "title": phrase.title,
        "range": [str(pitch) for pitch in range_of(phrase) or ()],
        "contour": [
            {"to": str(move.to), "semitones": move.semitones, "notes": move.notes}
            for move in contour_of(phrase)
        ],
        "positions": [
            {"position": one.position, "cost": one.cost, "stretched": one.stretched}
            for one in positions
        ],
        "notes": [_note(phrase, fact) for fact in facts],
    }


def _note(phrase: Phrase, fact: NoteFacts) -> dict[str, Any]:
    bar, beat = _place(phrase, fact.start)
    return {
        "bar": bar,
        "beat": beat,
        "start": float(fact.start),
        "length": float(fact.length),
        "pitch": str(fact.pitch),
        "midi": fact.pitch.midi,
        "chord": write_symbol(fact.chord) if fact.chord else None,
        "degree": str(fact.degree) if fact.degree else None,
        "standing": fact.standing,
        "role": fact.role,
        "early": fact.early,
    }
