"""`chartkit phrase check`: what each phrase holds, or what is wrong with it."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import click

from chartkit.cli.checking import check
from chartkit.cli.phrase_loading import text_of
from chartkit.errors import Fault
from chartkit.phrase.phrase import Phrase


@click.command("check", epilog="Example: chartkit phrase check my-phrase.phrase another.phrase")
@click.argument("names", nargs=-1, required=True, metavar="FILE...")
@click.option("--json", "as_json", is_flag=True, help="Print a list with one object for each file.")
def command(names: tuple[str, ...], *, as_json: bool) -> int:
    """Tell what each phrase holds, or every fault in it."""
    return check(names, _read, _as_text, _as_object, as_json=as_json)


def _read(name: str) -> tuple[Phrase | None, tuple[Fault, ...]]:
    from chartkit.phrase.reader import parse

    reading = parse(*text_of(name))
    return reading.phrase, reading.faults


def _as_text(phrase: Phrase) -> str:
    from chartkit.phrase.chart import key_of

    guessed = "" if phrase.key else " (estimated from the chords)"
    rows = (
        ("Source", phrase.source),
        ("Key", f"{key_of(phrase)}{guessed}" if phrase.key or phrase.chords else ""),
        ("Meter", f"{phrase.meter}, {phrase.feel}"),
        ("Chords", _chords(phrase)),
        ("Length", _length(phrase)),
    )
    told = (f"  {word:<10}{value}" for word, value in rows if value)
    return "\n".join((phrase.title or "Untitled", *told))


def _chords(phrase: Phrase) -> str:
    from chartkit.phrase.chart import chords_in
    from chartkit.theory.symbol import write_symbol

    bars = (chords_in(phrase, number) for number in range(phrase.bars))
    words = (
        " ".join(write_symbol(one.chord) if one.chord else "N.C." for one in bar) for bar in bars
    )
    return " | ".join(words) if phrase.chords else ""


def _length(phrase: Phrase) -> str:
    from chartkit.phrase.shape import pitches_of, range_of

    count = len(pitches_of(phrase))
    compass = range_of(phrase)
    bars = f"{phrase.bars} bar{'' if phrase.bars == 1 else 's'}"
    lead = f" and a pick-up of {_quarters(phrase.pickup)}" if phrase.pickup else ""
    notes = f"{count} note{'' if count == 1 else 's'}"
    return f"{bars}{lead}; {notes}" + (f", {compass[0]} to {compass[1]}" if compass else "")


def _quarters(length: Fraction) -> str:
    whole, rest = divmod(length, 1)
    number = " ".join(str(part) for part in (int(whole), rest) if part)
    return f"{number} quarter{'s' if length > 1 else ''}"


def _as_object(phrase: Phrase) -> dict[str, Any]:
    from chartkit.phrase.chart import key_of
    from chartkit.phrase.shape import pitches_of, range_of

    compass = range_of(phrase)
    return {
        "title": phrase.title,
        "source": phrase.source,
        "key": str(key_of(phrase)) if phrase.key or phrase.chords else None,
        "meter": str(phrase.meter),
        "feel": phrase.feel,
        "tempo": float(phrase.tempo.quarters) if phrase.tempo else None,
        "chords": _chords(phrase),
        "bars": phrase.bars,
        "pickup": float(phrase.pickup),
        "notes": len(pitches_of(phrase)),
        "range": [str(pitch) for pitch in compass or ()],
    }
