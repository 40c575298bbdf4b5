"""Variations and etudes are fingered as well as any line: checked against exhaustive search."""

import importlib.util
from importlib.resources import files
from pathlib import Path

import pytest

from chartkit.guitar.fretboard import STANDARD
from chartkit.line import Line, LineNote, sounding
from chartkit.make_etude import EtudeAsked, demo_phrases, made_etude
from chartkit.phrase.line import line_of
from chartkit.phrase.shape import positions_of
from chartkit.phrase.variation import DIMENSIONS, variations
from chartkit.reader import parse
from chartkit.take import Take

_AT = Path(__file__).parents[1] / "guitar" / "test_fingering.py"
_SPEC = importlib.util.spec_from_file_location("all_paths", _AT)
all_paths = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(all_paths)

PHRASES = demo_phrases(("corner-window", "long-corridor", "squeaky-hinge"))


def part_of(line, first, notes):
    """Return so many notes of a line from one on, tied ones as one, as a line of its own."""
    chosen = sounding(line)[first : first + notes]
    return Line(tuple(LineNote(n.start, n.length, n.pitch) for n in chosen), line.spans)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_variations_lie_as_well_as_they_can(dimension):
    for phrase in PHRASES:
        for one in variations(phrase, (dimension,))[:2]:
            line = line_of(one.phrase)
            all_paths.check_against_all_paths(part_of(line, 0, 6), STANDARD, "sum", {})
            for place in positions_of(one.phrase, STANDARD)[:1]:
                options = {"position": place.position}
                whole = part_of(line, 0, len(line.notes))
                all_paths.check_against_all_paths(whole, STANDARD, "sum", options)


@pytest.mark.parametrize("grade", [1, 3, 5])
def test_etudes_lie_as_well_as_they_can(grade):
    text = (files("chartkit.charts") / "cellar-stairs.chart").read_text(encoding="utf-8")
    made = made_etude(Take(parse(text, "x").chart), EtudeAsked(PHRASES, grade))
    for first in range(0, len(sounding(made.line)) - 14, 7):
        piece = part_of(made.line, first, 14)
        all_paths.check_against_all_paths(piece, STANDARD, "sum", {"position": 5})
