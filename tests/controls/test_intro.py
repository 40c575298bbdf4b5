"""Intros made from the end of a tune."""

import pytest

from chartkit.controls.intro import intro_bars
from chartkit.form import body
from chartkit.reader import parse
from chartkit.theory.symbol import write_symbol


def chords(text, intro):
    reading = parse(text, "test.chart")
    assert reading.chart, [str(fault) for fault in reading.faults]
    bars = intro_bars(body(reading.chart), intro)
    return " | ".join(
        " ".join(write_symbol(c.chord) if c.chord else "N.C." for c in bar.changes) for bar in bars
    ), bars


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("| C | Am7 | Dm7 | G7 | Em7 | A7 |", "Dm7 | G7 | Em7 | A7"),
        ("| C | G7 |", "C | G7"),
        ("| C | F | C6 (A7) | (Dm7 G7) |", "C | F | C6 A7 | Dm7 G7"),
    ],
)
def test_the_last_four_bars_or_all_there_are(text, expected):
    assert chords(f"Key: C\n[A]\n{text}", "last-four")[0] == expected


@pytest.mark.parametrize(
    ("key", "text", "expected"),
    [
        ("C", "| C | F | C6 (A7) | (Dm7 G7) |", "C6 A7 | Dm7 G7 | C6 A7 | Dm7 G7"),
        ("C", "| Dm7 | G7 | C | (G7) |", "G7 | G7 | G7 | G7"),
        ("C", "| C | Dm7 | G7 | C6 |", "Dm7 | G7 | Dm7 | G7"),
        ("C", "| C | Dm7 G7 | C6 | C6 |", "Dm7 G7 | Dm7 G7 | Dm7 G7 | Dm7 G7"),
        ("Cm", "| Cm6 | Dm7b5 | G7b9 | Cm6 |", "Dm7b5 | G7b9 | Dm7b5 | G7b9"),
        ("C", "| C | Gm7 C7 | F | Bb7 |", "F | Bb7 | F | Bb7"),
        ("C", "| C | Dm7 | % | G7 | C |", "Dm7 | G7 | Dm7 | G7"),
    ],
)
def test_a_vamp(key, text, expected):
    assert chords(f"Key: {key}\n[A]\n{text}", "vamp")[0] == expected


@pytest.mark.parametrize("intro", ["written", "none"])
def test_no_bars_are_made_up_for_the_charts_own(intro):
    assert chords("Key: C\n[A]\n| C | F |", intro)[1] == ()


def test_an_intro_is_one_section_whose_first_chord_is_struck():
    text = "Key: C\n[A]\n| C | F |\n[B]\n| G7 | / / Dm7 / |"
    _, bars = chords(text, "vamp")
    assert [bar.ends_section for bar in bars] == [False, False, False, True]
    _, bars = chords("Key: C\n[A]\n| C | F | Am7 / D7 / | / / G7 / | C | / / / / |", "last-four")
    assert not bars[0].changes[0].held
    assert bars[3].changes[0].held
    assert [bar.start for bar in bars] == [0, 4, 8, 12]
