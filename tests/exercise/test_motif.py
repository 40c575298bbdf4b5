"""Rhythm motifs: worked examples, and their definition on every chart."""

from collections import Counter
from fractions import Fraction
from itertools import groupby

import pytest

from chartkit.errors import CannotPlay
from chartkit.exercise.motif import MOTIFS, motif
from chartkit.exercise.terms import Terms
from chartkit.line_options import LineOptions

EIGHTH = Fraction(1, 2)


@pytest.mark.parametrize("name", MOTIFS)
def test_a_motif_is_written_with_its_three_signs(name):
    assert MOTIFS[name].name == name == name.lower()
    for rows in (MOTIFS[name].in_two, MOTIFS[name].in_three):
        assert all(row and set(row) <= set("x-.") and row[0] != "-" for row in rows)
        assert any("x" in row for row in rows)


def rhythm(line):
    """Notes and rests of a line as lengths, rests in brackets."""
    return " ".join(f"{n.length}" if n.pitch else f"({n.length})" for n in line.notes)


@pytest.mark.parametrize(
    ("name", "meter", "lengths"),
    [
        ("steady", "4/4", "1 1/2 1/2 1 1/2 1/2"),
        ("syncopated", "4/4", "1/2 1 1/2 1/2 1 1/2"),
        ("off-beats", "4/4", "(1/2) 1/2 (1/2) 1/2 (1/2) 1/2 (1/2) 1/2"),
        ("cross-rhythm", "4/4", "3/2 3/2 1"),
        ("cross-rhythm", "3/4", "3/2 3/2"),
        ("cross-rhythm", "5/4", "3/2 3/2 1 1"),
        ("late-start", "4/4", "(1/2) 1/2 1/2 1/2 2"),
        ("cross-rhythm", "12/8", "1 1 1 1 1 1"),
        ("off-beats", "12/8", "(1) 1/2 (1) 1/2 (1) 1/2 (1) 1/2"),
    ],
)
def test_rhythms(tune, name, meter, lengths):
    line = motif(tune("C6", meter=meter), Terms(48, 72, options=LineOptions(motif=name)))
    assert rhythm(line) == lengths


def test_other_note_values_go_through_the_motif_faster_or_slower(tune):
    def told(value):
        return rhythm(motif(tune("C6"), Terms(48, 72, value=Fraction(value))))

    assert told("1") == "2 1 1"
    assert told("1/4") == " ".join(["1/2 1/4 1/4"] * 4)
    assert told("1/3") == " ".join(["1 1/3 1/3 1/3"] * 2)


def test_the_pitches_follow_the_changes(tune, written):
    options = LineOptions(motif="cross-rhythm")
    line = motif(tune("Dm7 | G7 | Cmaj7 A7"), Terms(45, 72, options=options))
    # The second note of the last bar comes an eighth before A7, and is its own.
    assert written(line) == "D3 F3 A3 | B3 D4 F4 | G4 A4 | G4"


def test_every_other_bar_rests(tune, written):
    options = LineOptions(motif="every-other-bar")
    line = motif(tune("Dm7 | G7 | Cmaj7 | C6"), Terms(45, 72, options=options))
    assert written(line) == "D3 F3 A3 C4 D4 | - | E4 G4 B4 C5 B4 | -"


def test_nothing_sounds_over_no_chord(tune, written):
    options = LineOptions(motif="cross-rhythm")
    line = motif(tune("C6 N.C. | N.C. C6"), Terms(48, 72, options=options))
    # Held notes end where the chord does; the second note of the bar would start over N.C.
    assert written(line) == "C3 E3 | - | - | - G3"
    assert [note.length for note in line.notes if note.pitch] == [Fraction(3, 2), EIGHTH, 1]


def test_a_bar_that_is_not_filled(tune):
    with pytest.raises(CannotPlay, match="bar 1: 3 quarter notes are not filled by notes of 2"):
        motif(tune("C6", meter="3/4"), Terms(48, 72, value=Fraction(2)))


def check(case):
    """The same onsets bar after bar; each note travels on, in the chord it sounds longest under."""
    told = MOTIFS[case.options.motif or "steady"]
    bars = [list(bar) for _, bar in groupby(case.spans, lambda span: span.bar_start)]
    expected = []
    for number, bar in enumerate(bars):
        thirds = (bar[0].meter.unit / case.value).numerator % 3 == 0
        rows = told.in_three if thirds else told.in_two
        expected += in_bar(bar, rows[number % len(rows)], case.value)
    assert [(note.start, note.length) for note, _ in case.played] == [e[:2] for e in expected]
    heard = []
    for (note, _), (_, _, span) in zip(case.played, expected, strict=True):
        index = case.spans.index(span)
        heard.append((note.pitch.midi, case.choice(index)))
        case.check_spelling(note, index)
    case.check_travel(heard)


MOMENT = Fraction(1, 24)
"""A time that every note value and every beat is a multiple of."""


def in_bar(bar, row, value):
    """Start, length and chord of each note, moment by moment."""
    start, end = bar[0].start, bar[-1].start + bar[-1].length
    notes, sounding = [], False
    for number in range(int((end - start) / MOMENT)):
        at = start + number * MOMENT
        unit, within = divmod(at - start, value)
        span = [s for s in bar if s.start <= at][-1]
        sign = row[unit % len(row)] if within == 0 else "-"
        if sign == "x" and span.chord:
            notes.append((at, Counter()))
        sounding = bool(span.chord) and (sign == "x" or (sign == "-" and sounding))
        if sounding:
            notes[-1][1][span.start] += 1
    by_start = {span.start: span for span in bar}
    return [
        (at, sum(under.values()) * MOMENT, by_start[max(under, key=lambda s: (under[s], s))])
        for at, under in notes
    ]


OPTIONS = [
    *(LineOptions(motif=name) for name in MOTIFS),
    LineOptions(motif="off-beats", tones="3-5-7-9"),
    LineOptions(tones="triads"),
]


def test_on_charts(on_charts):
    on_charts(check, "motif", *OPTIONS)


@pytest.mark.sweep
def test_on_every_chart(on_every_chart):
    on_every_chart(check, "motif", *OPTIONS)
