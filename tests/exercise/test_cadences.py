"""Drills over the cadences: what is played and what rests."""

import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise import KINDS, line_through
from chartkit.exercise.terms import Terms
from chartkit.line_options import LineOptions

CADENCES = LineOptions(cadences=True)


def played(line):
    """The bars in which something sounds."""
    return {
        span.bar.number
        for span in line.spans
        for note in line.notes
        if note.pitch and span.start <= note.start < span.start + span.length
    }


# Found by eye.
BY_EYE = [
    ("Cmaj7 | Ebmaj7 | Dm7 | G7 | Cmaj7 | Abmaj7", "C major", {3, 4, 5}),
    ("Cmaj7 | Abmaj7 | Bm7b5 E7b9 | Am7 | Ebmaj7 | Gbmaj7", "C major", {3, 4}),
    # Of a turnaround only the ii-V counts.
    ("Cmaj7 C#dim7 | Dm7 G7 | Ebmaj7 | Abmaj7", "C major", {2}),
    ("Ebmaj7 | Dm7 | Db7 | Cmaj7 | Abmaj7 | Gbmaj7", "C major", {2, 3, 4}),
]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("rows", "key", "bars"), BY_EYE)
def test_it_plays_over_each_cadence_and_rests_elsewhere(tune, kind, rows, key, bars):
    made = tune(rows, key=key)
    line = line_through(made, kind, Terms(45, 76, options=CADENCES))
    assert played(line) == bars
    # The page still shows the chords over the rests.
    assert line.spans == made


def test_the_line_over_a_cadence_is_the_one_the_kind_makes(tune, written):
    made = tune("Ebmaj7 | Dm7 | G7 | Cmaj7 | Abmaj7 | Gbmaj7")
    line = line_through(made, "connected", Terms(45, 72, options=CADENCES))
    assert written(line) == (
        "- | D3 F3 A3 C4 D4 F4 A4 C5 | B4 G4 F4 D4 B3 G3 F3 D3 | C3 B2 C3 E3 G3 B3 C4 E4 | - | -"
    )


def test_where_there_is_none(tune):
    with pytest.raises(CannotPlay, match="there is no cadence here to drill; take in more"):
        line_through(tune("Cmaj7 | Ebmaj7"), "connected", Terms(45, 72, options=CADENCES))
