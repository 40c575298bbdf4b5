"""A line as a sheet, from the worked arpeggios and from lines made by hand."""

from dataclasses import replace
from fractions import Fraction
from itertools import accumulate

import pytest

from chartkit.chart import Meter, Tempo
from chartkit.form import BarId
from chartkit.guitar.fingering import Fingering
from chartkit.guitar.fretboard import STANDARD, Stop
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.notate import notate_line
from chartkit.notate.line import CAUTION
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch
from chartkit.theory.scale import Scale
from chartkit.theory.symbol import read_symbol

C = Key(NoteName("C"))
COMMON = Meter(4)


def span(symbol, start, length=4, *, bar=None, section="A", meter=COMMON, new=True, **more):
    """Make one chord; `bar` is the first beat of its bar and gives the bar its number."""
    first = Fraction(start if bar is None else bar)
    number = int(first / meter.length) + 1
    return Span(
        Fraction(start),
        Fraction(length),
        read_symbol(symbol).chord,
        None,
        None,
        C,
        BarId(section, number - 1, number),
        first,
        meter,
        "swing",
        new,
        **more,
    )


def notes(text):
    """Read ``D3:1/2 r:1 F3:3/2``: pitches and lengths, one after the other."""
    words = [word.split(":") for word in text.split()]
    lengths = [Fraction(length) for _, length in words]
    starts = [0, *accumulate(lengths)]
    return tuple(
        LineNote(Fraction(start), length, None if name == "r" else Pitch.parse(name))
        for start, (name, _), length in zip(starts, words, lengths, strict=False)
    )


def written(measure):
    """Write a measure's events: ``D3 1/2~`` goes on by a tie, ``3(`` and ``)`` hold a triplet."""
    found = []
    for e in measure.events:
        name = str(e.pitch) if e.pitch else "r"
        value = f"{name}:{e.value.base * (2 - Fraction(1, 2**e.value.dots))}"
        tie = "~" if e.tied_on else ""
        opening = "3(" if e.tuplet_edge == "start" else ""
        closing = ")" if e.tuplet_edge == "stop" else ""
        found.append(opening + value + tie + closing)
    return " ".join(found)


def sheet(text, *spans, **more):
    return notate_line(Line(notes(text), spans), title="Test", **more)


def eighths(text):
    return " ".join(f"{name}:1/2" for name in text.split())


def test_the_worked_arpeggio_is_written_bar_by_bar():
    # MIDI 50 53 57 60 62 65 69 72 and 71 67 65 62 59 55 53 50: Dm7, G7 from D3 in eighths.
    text = eighths("D3 F3 A3 C4 D4 F4 A4 C5 B4 G4 F4 D4 B3 G3 F3 D3")
    made = sheet(text, span("Dm7", 0), span("G7", 4))
    first, second = made.measures
    assert [e.pitch.midi for e in first.events] == [50, 53, 57, 60, 62, 65, 69, 72]
    assert [e.pitch.midi for e in second.events] == [71, 67, 65, 62, 59, 55, 53, 50]
    assert [e.beams[0] for e in first.events] == ["begin", "continue", "continue", "end"] * 2
    assert [str(c.chord.root) for m in made.measures for c in m.chords] == ["D", "G"]
    assert made.clef == "treble 8"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("D3:4 E3:4", ["D3:4", "E3:4"]),
        ("D3:7/2 E3:9/2", ["D3:2~ D3:3/2 E3:1/2~", "E3:4"]),
        ("D3:3/2 E3:1 F3:3/2 G3:4", ["D3:3/2 E3:1/2~ E3:1/2 F3:3/2", "G3:4"]),
        ("r:1 D3:3 r:4", ["r:1 D3:3", "r:4"]),
        ("D3:1/3 E3:1/3 F3:1/3 G3:3 r:4", ["3(D3:1/2 E3:1/2 F3:1/2) G3:3", "r:4"]),
        ("D3:2/3 E3:1/3 G3:3 r:4", ["3(D3:1 E3:1/2) G3:3", "r:4"]),
        ("D3:2/3 E3:2/3 F3:2/3 G3:2 r:4", ["3(D3:1 E3:1 F3:1) G3:2", "r:4"]),
        # A note that starts in a triplet and lasts beyond it is tied at the triplet's end.
        ("D3:1/3 E3:1/3 F3:4/3 G3:2 r:4", ["3(D3:1/2 E3:1/2 F3:1/2~) F3:1 G3:2", "r:4"]),
    ],
)
def test_notes_are_written_with_ties_and_triplets(text, expected):
    made = sheet(text, span("C", 0), span("F", 4))
    assert [written(m) for m in made.measures] == expected


def test_a_bar_of_rest_is_one_rest_as_long_as_the_bar():
    made = sheet("r:3 D3:3", *(span("C", 3 * n, 3, meter=Meter(3)) for n in range(2)))
    (rest,) = made.measures[0].events
    assert (rest.kind, rest.value.length) == ("bar rest", 3)


def test_a_tie_of_the_line_is_kept_over_the_bar_line():
    first, second = notes("D3:4 D3:4")
    line = Line((replace(first, tie=True), second), (span("C", 0), span("F", 4)))
    a, b = notate_line(line, title="Test").measures
    assert a.events[0].tied_on
    assert b.events[0].tied_back
    assert not b.events[0].tied_on


def test_double_accidentals_are_printed_plain():
    made = sheet("F##3:2 Bbb3:2", span("C", 0))
    assert written(made.measures[0]) == "G3:2 A3:2"


def test_a_symbol_stands_where_the_chord_is_new_and_where_a_section_starts():
    made = sheet(
        "C3:4 " * 4,
        span("C", 0, ends=""),
        span("C", 4, new=False, ends="section"),
        span("C", 8, new=False, section="B"),
        span("F", 12, 2, section="B"),
        span("G", 14, 2, bar=12, section="B"),
    )
    assert [[(str(c.chord.root), c.start) for c in m.chords] for m in made.measures] == [
        [("C", 0)],
        [],
        [("C", 0)],
        [("F", 0), ("G", 2)],
    ]
    assert [m.rehearsal for m in made.measures] == ["A", "", "B", ""]
    assert [m.right for m in made.measures] == ["|", "||", "|", "|]"]


def test_a_section_played_twice_has_its_letter_twice():
    made = sheet("C3:4 C3:4", span("C", 0, ends="section"), span("C", 4))
    assert [m.rehearsal for m in made.measures] == ["A", "A"]


def test_signatures_stand_where_they_change():
    waltz = replace(span("F", 4, 3), meter=Meter(3), key=Key(NoteName("F")))
    made = sheet("C3:4 C3:3", span("C", 0), waltz)
    assert [(m.meter, m.key) for m in made.measures] == [
        (Meter(4), C),
        (Meter(3), Key(NoteName("F"))),
    ]


def test_a_pickup_is_counted_from_the_end_of_its_bar():
    pickup = replace(span("G7", 0, Fraction(3, 2)), bar=BarId("A", 0, 0))
    bar = replace(span("C", Fraction(3, 2)), bar=BarId("A", 1, 1), bar_start=Fraction(3, 2))
    made = sheet("G3:1/2 A3:1/2 B3:1/2 C4:4", pickup, bar)
    assert [e.beams[:1] for e in made.measures[0].events] == [("begin",), ("continue",), ("end",)]
    assert [m.length for m in made.measures] == [Fraction(3, 2), 4]
    assert not made.measures[1].new_system


def stops(text):
    """Read ``5.5.3``: string, fret, finger."""
    found = (None if word == "r" else Stop(*map(int, word.split("."))) for word in text.split())
    return Fingering(tuple(found), 0.0)


def test_stops_go_with_their_notes_through_ties():
    made = sheet("D3:1 r:1 E3:1/2 F3:3/2", span("C", 0), fingering=stops("5.5.3 r 5.7.4 4.3.1"))
    assert [(e.stop.string, e.stop.fret) if e.stop else None for e in made.measures[0].events] == [
        (5, 5),
        None,
        (5, 7),
        (4, 3),
        *[(4, 3)] * (len(made.measures[0].events) - 4),
    ]
    assert made.tuning is STANDARD
    assert sheet("C3:4", span("C", 0)).tuning is None


@pytest.mark.parametrize(
    ("staves", "expected"),
    [("both", ("staff", "tab")), ("staff", ("staff",)), ("tab", ("tab",))],
)
def test_the_staves_are_those_asked_for(staves, expected):
    made = sheet("D3:4", span("C", 0), fingering=stops("5.5.3"), staves=staves)
    assert made.staves == expected
    assert made.measures[0].events[0].stop == Stop(5, 5, 3)
    assert sheet("D3:4", span("C", 0), staves=staves).staves == ("staff",)


@pytest.mark.parametrize(
    ("fingering", "positions", "cautioned"),
    [
        ("5.5.1 5.8.4", (5, 5), False),
        ("5.5.1 5.9.4", (5, 5), True),  # fourth finger a fret beyond its place
        ("5.4.1 5.8.4", (5, 5), True),  # first finger a fret below it
        ("5.5.1 5.12.4", (5, 9), False),  # a shift
        ("5.7.3 5.11.2", (5, 10), False),
        ("5.0.0 5.9.4", (6, 6), False),  # an open string holds no finger
    ],
)
def test_a_stretch_is_cautioned_against(fingering, positions, cautioned):
    held = replace(stops(fingering), positions=positions)
    made = sheet("D3:2 E3:2", span("C", 0), fingering=held)
    assert made.caution == (CAUTION if cautioned else "")


def test_headings_are_handed_on():
    made = sheet(
        "C3:4", span("C", 0), subtitle="Study", composer="chartkit", tempo=Tempo(Fraction(90))
    )
    assert (made.title, made.subtitle, made.composer) == ("Test", "Study", "chartkit")
    assert made.tempo.quarters == 90


def test_nothing_stands_over_a_bare_scale():
    bare = replace(span("C", 0), chord=None, scale=Scale.on(NoteName("C"), "ionian"), new=False)
    scale = "C3 D3 E3 F3 G3 A3 B3 C4"
    assert [measure.chords for measure in sheet(eighths(scale), bare).measures] == [()]
    no_chord = replace(bare, scale=None)
    assert len(sheet(eighths(scale), no_chord).measures[0].chords) == 1
