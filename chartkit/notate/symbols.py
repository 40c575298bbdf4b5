"""Chord symbols as they are printed: the tidy spelling, with real flat and sharp signs."""

from __future__ import annotations

import re
from typing import Final

from chartkit.notate.sheet import ChordSymbol
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import write_symbol

NO_CHORD = "N.C."

SIGNS: Final = {"b": "♭", "#": "♯"}

PRINTED: Final = (
    (re.compile(r"[b#](?=\d)"), lambda sign: SIGNS[sign[0]]),
    (re.compile(r"69"), "6/9"),
    (re.compile(r"^o"), "°"),
)
"""What a hand writes otherwise than a keyboard."""


def printed_name(name: NoteName) -> str:
    """Return a note name as it is printed.

    >>> printed_name(NoteName("B", -1))
    'B♭'
    """
    return name.letter + (SIGNS["#"] * name.alter or SIGNS["b"] * -name.alter)


def quality_text(chord: Chord) -> str:
    """Return what is printed between a chord's root and its slash bass."""
    plain = write_symbol(chord)
    start = len(str(chord.root))
    end = len(plain) - (len(str(chord.bass)) + 1 if chord.bass else 0)
    text = plain[start:end]
    for pattern, sign in PRINTED:
        text = pattern.sub(sign, text)
    return text


def chord_text(chord: Chord) -> str:
    """Return a chord's symbol as it is printed."""
    bass = f"/{printed_name(chord.bass)}" if chord.bass else ""
    return printed_name(chord.root) + quality_text(chord) + bass


def symbol_text(symbol: ChordSymbol) -> str:
    """Return a whole chord symbol as it is printed, turnaround brackets included."""
    text = chord_text(symbol.chord) if symbol.chord else NO_CHORD
    return "(" * symbol.opens + text + ")" * symbol.closes
