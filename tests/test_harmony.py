"""Chords in context: what is new, what comes next, and which scale.

``python tests/test_harmony.py`` writes the goldens anew; read the difference before keeping it.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import accumulate
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.chart import Meter
from chartkit.form import BarId, Form, PlayedBar, Sounding
from chartkit.harmony import spans
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol, write_symbol

GOLDEN = Path(__file__).parent / "golden" / "harmony"

F_MAJOR = Key(NoteName("F"))
C_MINOR = Key(NoteName("C"), "minor")

many = settings(derandomize=True, max_examples=200, deadline=None)


def form(text, key=F_MAJOR):
    """Return bars in 4/4 from ``Gm7 C7 | F``; a ``-`` is N.C., a bar after ``||`` a new section."""
    cells = [cell.split() for cell in text.replace("||", "|").split("|")]
    ends = [part.count("|") + 1 for part in text.split("||")]
    last_bars = {total - 1 for total in accumulate(ends)}
    bars = tuple(
        bar(cell, index, key, ends_section=index in last_bars) for index, cell in enumerate(cells)
    )
    return Form(bars, Fraction(4 * len(bars)))


def bar(symbols, index, key, *, ends_section):
    share = Fraction(4, len(symbols))
    changes = tuple(
        Sounding(None if symbol == "-" else read_symbol(symbol).chord, share * place, share)
        for place, symbol in enumerate(symbols)
    )
    source = BarId("A", index, index + 1)
    start = Fraction(4 * index)
    return PlayedBar(
        source, start, Meter(4), Fraction(4), key, "swing", changes, ends_section=ends_section
    )


def name(chord):
    return write_symbol(chord) if chord else "-"


def following(text, *, loop):
    return [name(span.next_chord) for span in spans(form(text), loop=loop)]


def news(text, *, loop):
    return [span.new for span in spans(form(text), loop=loop)]


def test_a_span_stands_where_its_chord_does():
    found = spans(form("Gm7 C7 | F6"), loop=False)
    assert [(span.start, span.length) for span in found] == [(0, 2), (2, 2), (4, 4)]
    assert [span.bar.number for span in found] == [1, 1, 2]
    assert [span.bar_start for span in found] == [0, 0, 4]


def test_pushes_and_stops_are_handed_on():
    one = form("F7")
    played = replace(one.bars[0].changes[0], pushed=True, stopped=True)
    one = replace(one, bars=(replace(one.bars[0], changes=(played,)),))
    assert [(span.pushed, span.stopped) for span in spans(one, loop=True)] == [(True, True)]


@pytest.mark.parametrize(
    ("text", "loop", "wanted"),
    [
        ("F7 | Bb7 | C7", False, "Bb7 C7 -"),
        ("F7 | Bb7 | C7", True, "Bb7 C7 F7"),
        ("F7 | F7 | Bb7 | F7", False, "Bb7 Bb7 F7 -"),
        ("F7 | F7 | Bb7 | F7", True, "Bb7 Bb7 F7 Bb7"),
        ("F7 | F7/A | F9", True, "F7/A F9 F7"),
        ("F7 | - | Bb7 | -", True, "- Bb7 - F7"),
        ("F7 | - | - | Bb7", False, "- Bb7 Bb7 -"),
        ("F7 | F7", True, "- -"),
        ("F7", True, "-"),
        ("-", True, "-"),
    ],
)
def test_the_next_chord_is_the_next_that_differs(text, loop, wanted):
    assert following(text, loop=loop) == wanted.split()


@pytest.mark.parametrize(
    ("text", "loop", "wanted"),
    [
        ("F7 | F7 | Bb7", False, [True, False, True]),
        ("F7 | F7 | Bb7", True, [True, False, True]),
        ("F7 | Bb7 | F7", True, [False, True, True]),
        ("F7 | Bb7 | F7", False, [True, True, True]),
        ("F7 | F9 | F7/A", False, [True, True, True]),
        ("F7 | - | F7", False, [True, True, True]),
        ("F7", False, [True]),
        ("F7 | F7", True, [False, False]),
    ],
)
def test_a_chord_is_new_when_root_quality_or_bass_changed(text, loop, wanted):
    assert news(text, loop=loop) == wanted


def test_the_last_bars_of_sections_and_chorus_are_marked():
    found = spans(form("F | C7 F || Bb | F || C7 | F6 F"), loop=False)
    assert [span.ends for span in found] == [
        *("", "section", "section"),
        *("", "section"),
        *("", "chorus", "chorus"),
    ]


def test_a_pickup_never_comes_round():
    whole = form("C7 | F6 | Gm7 | Bbm6")
    bars = tuple(replace(one, start=one.start - 4) for one in whole.bars)
    found = spans(Form(bars, Fraction(12), pickup=Fraction(4)), loop=True)
    assert [span.start for span in found] == [-4, 0, 4, 8]
    assert [name(span.next_chord) for span in found] == ["F6", "Gm7", "Bbm6", "F6"]
    assert [span.new for span in found] == [True] * 4


def test_a_scale_looks_past_chords_of_the_same_function():
    # G7sus and G7b9 go to C minor together; the slash does not hide the cadence.
    found = spans(form("G7 | G7b9/F | Cm6", C_MINOR), loop=False)
    assert found[0].scale.name == "phrygian dominant"
    minor = spans(form("Dm7 | Dm7/C | G7"), loop=False)
    assert [span.scale.name for span in minor[:2]] == ["dorian", "dorian"]


def test_a_blues_is_known_by_its_first_tonic_chord():
    # Bb7 goes nowhere in either; only in a blues is that the plain fourth degree.
    assert spans(form("F7 | Bb7 | Am7"), loop=False)[1].scale.name == "mixolydian"
    assert spans(form("Fmaj7 | Bb7 | Gm7"), loop=False)[1].scale.name == "lydian dominant"


def test_a_scale_looks_past_a_break():
    assert spans(form("D7 | - | Gm7"), loop=False)[0].scale.name == "phrygian dominant"
    assert spans(form("D7 | -"), loop=False)[0].scale.name == "lydian dominant"


def test_no_chord_has_no_scale():
    silent = spans(form("F7 | -"), loop=True)[1]
    assert (silent.chord, silent.scale) == (None, None)


def test_the_scale_of_the_last_chord_follows_the_loop():
    text = "Am7 | D7"
    assert spans(form(f"{text} | Gm7"), loop=False)[1].scale.name == "phrygian dominant"
    assert spans(form("Gm7 | D7"), loop=True)[1].scale.name == "phrygian dominant"
    assert spans(form("Gmaj7 | D7"), loop=True)[1].scale.name == "mixolydian"


PROGRESSIONS = {
    "blues": (F_MAJOR, "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bo7 | F7 | D7b9 | Gm7 | C7 | F7 D7 | C7"),
    "minor": (C_MINOR, "Cm6 | Fm7 | Dm7b5 | G7alt | Cm(maj7) | Ab7 G7 | Ebmaj7 | Dm7b5 Db7"),
    "major": (
        Key(NoteName("C")),
        "Cmaj7 Am7 | Dm7 G7sus | Em7 A7 | F#m7 B7 | Bb7 | Fm6 | D7 Dm7 | G13b9 - ",
    ),
}


def table(key, text):
    """Yield a line a span: bar, chord, next chord, scale and its notes."""
    for span in spans(form(text, key), loop=True):
        scale = f"{span.scale.name:18} {' '.join(map(str, span.scale.tones))}" if span.scale else ""
        line = f"{span.bar.number:2} {name(span.chord):9} to {name(span.next_chord):9} {scale}"
        yield line.rstrip()


@pytest.mark.parametrize("title", PROGRESSIONS)
def test_progressions_of_every_day(title):
    assert list(table(*PROGRESSIONS[title])) == (GOLDEN / f"{title}.txt").read_text().splitlines()


CHORDS = st.sampled_from(
    "F7 Bb7 C7sus Gm7 F#o7 Ebmaj7 Am7b5 D7alt Fm(maj7) Bb5 C/E -".split()  # noqa: SIM905 (a row)
)
TEXTS = st.lists(
    st.lists(CHORDS, min_size=1, max_size=4).map(" ".join), min_size=1, max_size=8
).map(" | ".join)


@many
@given(TEXTS, st.booleans())
def test_spans_fill_the_form_and_scales_hold_their_chords(text, loop):
    one = form(text)
    found = spans(one, loop=loop)
    ends = [span.start + span.length for span in found]
    assert [span.start for span in found] == [0, *ends[:-1]]
    assert ends[-1] == one.length
    for span in found:
        assert (span.scale is None) == (span.chord is None)
        assert span.chord is None or span.chord.pitch_classes <= span.scale.pitch_classes
        assert span.next_chord is None or span.next_chord != span.chord


@many
@given(TEXTS, st.integers(1, 7))
def test_a_loop_has_no_beginning(text, turn):
    bars = text.split(" | ")
    turn %= len(bars)
    turned = spans(form(" | ".join(bars[turn:] + bars[:turn])), loop=True)
    plain = spans(form(text), loop=True)
    facts = [(span.chord, span.next_chord, span.new) for span in plain]
    split = sum(len(cell.split()) for cell in bars[:turn])
    assert [(s.chord, s.next_chord, s.new) for s in turned] == facts[split:] + facts[:split]


if __name__ == "__main__":
    for title, progression in PROGRESSIONS.items():
        (GOLDEN / f"{title}.txt").write_text("".join(f"{row}\n" for row in table(*progression)))
