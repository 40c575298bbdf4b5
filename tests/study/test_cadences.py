"""Cadences against handbook progressions and a plain search over degrees.

The progressions are common practice, no source.
"""

import re
from importlib.resources import files
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.form import body
from chartkit.harmony import spans
from chartkit.reader import parse
from chartkit.study.cadence_rows import HALF, ROWS, TURNAROUND
from chartkit.study.report import report
from chartkit.study.standing import standings
from chartkit.theory.chord_scale import kind
from chartkit.theory.symbol import write_symbol
from chartkit.transpose import transpose

many = settings(derandomize=True, max_examples=200, deadline=None)
CHARTS = {
    path.name: parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}

HANDBOOK = [
    ("Dm7 | G7 | Cmaj7 | Cmaj7", "C major", {"1 2 3: ii-V-I C major"}),
    ("Dm7b5 | G7b9 | Cm6 | Cm6", "C minor", {"1 2 3: ii-V-i C minor"}),
    ("Dm7 | Db7 | Cmaj7 | Cmaj7", "C major", {"1 2 3: ii-subV-I C major"}),
    ("Dm7b5 | Db7 | Cm6 | Cm6", "C minor", {"1 2 3: ii-subV-i C minor"}),
    ("C | Am | G | C | C | Em", "C major", {"3 4: V-I C major"}),
    ("Cm | Cm | G7 | Cm | Cm | Ab", "C minor", {"3 4: V-i C minor"}),
    ("C | Dm | G | C | C | Em", "C major", {"2 3 4: ii-V-I C major"}),
    ("C | C | F | C", "C major", {"3 4: plagal C major"}),
    ("C | C | Fm | C", "C major", {"3 4: plagal C major"}),
    ("Cm | Cm | Fm | Cm", "C minor", {"3 4: plagal C minor"}),
    ("C6 | C6 | Db7 | C6", "C major", {"3 4: subV-I C major"}),
    ("C | C | G7 | Am", "C major", {"3 4: deceptive C major"}),
    ("Cm | Cm | G7 | Abmaj7", "C minor", {"3 4: deceptive C minor"}),
    ("Cmaj7 | Fm7 | Bb7 | Cmaj7", "C major", {"2 3 4: backdoor C major"}),
    ("Cmaj7 | Cmaj7 | Bb7 | Cmaj7", "C major", {"3 4: backdoor C major"}),
    ("Cmaj7 | F#m7 B7 | Am7 | Cmaj7", "C major", {"2: ii-V E major"}),
    ("Cmaj7 | F#m7b5 B7 | Am7 | Cmaj7", "C major", {"2: ii-V E minor"}),
    # Both ends of the loop: V at the end, I at the front.
    ("Cmaj7 | Fmaj7 | Em7 | G7", "C major", {"4 1: V-I C major"}),
    ("G7 | Cmaj7 | Fmaj7 | Dm7", "C major", {"4 1 2: ii-V-I C major"}),
    # A cadence to the second degree, and the one that begins on its arrival.
    (
        "Em7b5 | A7 | Dm7 | G7 | Cmaj7 | Fmaj7",
        "C major",
        {"1 2 3: ii-V-i D minor", "3 4 5: ii-V-I C major"},
    ),
    # A turnaround is told besides what lies in it.
    (
        "Cmaj7 A7 | Dm7 G7",
        "C major",
        {"1 2: turnaround C major", "1 2: V-i D minor", "2 1: ii-V-I C major"},
    ),
    (
        "Em7 Ebo7 | Dm7 G7 | Am7",
        "C major",
        {"1 2: turnaround C major", "2: ii-V C major", "2 3: deceptive C major"},
    ),
    (
        "Cmaj7 Eb7 | Dm7 Db7",
        "C major",
        {"1 2: turnaround C major", "1 2: subV-i D minor", "2 1: ii-subV-I C major"},
    ),
    # Over a break a dominant still leads to its tonic.
    ("G7 | N.C. | Cmaj7 | Em7", "C major", {"1 3: V-I C major"}),
    # In a blues I7 and IV7 are at rest: no dominants, but places to arrive at.
    ("C7 | F7 | C7 | Eb7", "C major", {"2 3: plagal C major"}),
    (
        "C7 | Gm7 C7 | F7 | C7 | Dm7 | G7",
        "C major",
        {
            "2 3: ii-V-I F major",
            "3 4: plagal C major",
            "5 6 1: ii-V-I C major",
        },
    ),
    # A dominant on its way to another one is no cadence.
    ("E7 | A7 | D7 | G7 | Cmaj7", "C major", {"4 5: V-I C major"}),
]


def told(found):
    """Every cadence as ``bars: name key``."""
    return {f"{bars(found, one)}: {one.name} {one.key}" for one in found.cadences}


def bars(found, cadence):
    numbers = (str(found.spans[index].bar.number) for index in cadence.spans)
    return " ".join(dict.fromkeys(numbers))


@pytest.mark.parametrize(("text", "key", "wanted"), HANDBOOK)
def test_handbook_cadences(look, text, key, wanted):
    found = look(text, key)
    assert {str(one) for one in found.keys} == {key}
    assert told(found) == wanted


def test_where_it_does_not_go_round_there_is_no_seam(look):
    text = "Cmaj7 | Fmaj7 | Dm7 | G7"
    assert told(look(text)) == {"3 4 1: ii-V-I C major"}
    assert told(look(text, loop=False)) == {"3 4: ii-V C major"}


def test_of_the_arrival_only_its_first_bar_counts(look):
    found = look("Dm7 | Dm7 | G9sus | G7 | Cmaj7 | C6 | C6")
    (only,) = found.cadences
    assert only.spans == (0, 1, 2, 3, 4)
    assert [write_symbol(chord) for chord in only.chords] == ["Dm7", "G9sus", "Cmaj7"]


def test_a_long_round_of_the_same_chords_is_no_turnaround(look):
    assert not any(one.name == TURNAROUND for one in look("Cmaj7 | A7 | Dm7 | G7").cadences)
    # Of a tonic that has stood for long, only its last bar counts.
    found = look("Cmaj7 | Cmaj7 | Cmaj7 A7 | Dm7 G7")
    assert [bars(found, one) for one in found.cadences if one.name == TURNAROUND] == ["3 4"]


SECTIONS = """\
Key: {key}

[A]
| {first} |

[B]
| {second} |
"""


def in_sections(first, second, key="C major", *, loop=True):
    chart = parse(SECTIONS.format(key=key, first=first, second=second), "test.chart").chart
    return report(spans(body(chart), loop=loop), loop=loop)


@pytest.mark.parametrize(
    ("first", "second", "key", "half"),
    [
        ("C | F | Am | G", "C | F | G | C", "C major", "3 4: half C major"),
        ("Cmaj7 | Am7 | D7 | G7", "Cmaj7 | Dm7 | Em7 | F6", "C major", "3 4: half C major"),
        ("Cm6 | Fm6 | Ab7 | G7", "Ebmaj7 | Fm7 | Bb7 | Cm6", "C minor", "3 4: half C minor"),
        # V that stands for two bars is the goal as a whole; of what led there one bar counts.
        (
            "Cmaj7 | D7 | D7 | G7 | G7",
            "Fmaj7 | Em7 | Dm7 | Cmaj7",
            "C major",
            "3 4 5: half C major",
        ),
        ("Cmaj7 | Am7 | D7 | G7 Fmaj7", "Cmaj7 | Dm7 | Em7 | F6", "C major", None),
        ("C | F | G | C", "C | F | Am | G", "C major", None),  # the end of the chorus
        ("C7 | F7 | C7 | C7", "F7 | C7 | Dm7 G7 | C7", "C major", None),
    ],
)
def test_a_section_that_ends_on_v_is_a_half_cadence(first, second, key, half):
    found = in_sections(first, second, key)
    assert [one for one in told(found) if ": half " in one] == ([half] if half else [])


def test_a_half_cadence_is_told_beside_the_cadence_over_the_bar_line():
    found = in_sections("Cmaj7 | Am7 | Dm7 | G7", "Cmaj7 | Dm7 | Em7 | F6")
    assert {"3 4: half C major", "3 4 5: ii-V-I C major"} <= told(found)
    (half,) = (one for one in found.cadences if one.name == HALF)
    assert [write_symbol(chord) for chord in half.chords] == ["Dm7", "G7"]


# ---- A plain search: the degrees of every chord above each of the twelve tonics, as text ---------

LETTERS = {
    "major": "M",
    "augmented": "M",
    "minor": "m",
    "half-diminished": "h",
    "dominant": "d",
    "diminished": "o",
    "open third": "s",
}
ANYWHERE = {
    "ii-V-I": r"2[mh] 7d 0[MTb]",
    "ii-V-i": r"2[mh] 7d 0m",
    "ii-subV-I": r"2[mh] 1d 0[MTb]",
    "ii-subV-i": r"2[mh] 1d 0m",
    "ii-V": r"2[mh] 7d",
    "V-I": r"7d 0[MTb]",
    "V-i": r"7d 0m",
    "subV-I": r"1d 0[MTb]",
    "subV-i": r"1d 0m",
}
LONGER = {  # what a cadence is a part of
    "ii-V": ("ii-V-I", "ii-V-i"),
    "V-I": ("ii-V-I",),
    "V-i": ("ii-V-i",),
    "subV-I": ("ii-subV-I",),
    "subV-i": ("ii-subV-i",),
}


def letter(chord, role):
    if role == "blues":
        return "b"
    plain = LETTERS[kind(chord)]
    return "T" if plain == "M" and chord.seventh is None else plain


def plainly(found, *, loop):
    """Names, tonics and first chords of the cadences that are heard anywhere."""
    chords = standings(found.spans, loop=loop)
    roles = [found.numerals[one.spans[0]].role for one in chords]
    count = len(chords)
    keys = [found.keys[one.spans[0]] for one in chords]
    places = set()
    backdoors = set()
    for first, tonic in product(range(count), range(12)):
        order = range(first, min(first + 3, first + count) if loop else min(first + 3, count))
        text = " ".join(
            f"{(chords[i % count].chord.root.pitch_class - tonic) % 12}"
            f"{letter(chords[i % count].chord, roles[i % count])}"
            for i in order
        )
        for name, pattern in ANYWHERE.items():
            if re.match(pattern + r"\b", text):
                places.add((name, tonic, first))
        at_home = {(keys[i % count].tonic.pitch_class, keys[i % count].mode) for i in order}
        if re.match(r"5m 10d 0[MTb]", text) and len(at_home) == 1 and tonic == min(at_home)[0]:
            backdoors.add(("ii-V", (tonic + 3) % 12, first))  # the ii-V that is a part of it
    places -= backdoors
    return {place for place in places if not any(covers(other, place, count) for other in places)}


def covers(longer, shorter, count):
    """Whether a cadence holds a shorter one: one on the same tonic, from its start or its end."""
    within = (
        longer[2] == shorter[2] if shorter[0] == "ii-V" else (longer[2] + 1) % count == shorter[2]
    )
    return longer[0] in LONGER.get(shorter[0], ()) and longer[1] == shorter[1] and within


def searched(found, *, loop):
    chords = standings(found.spans, loop=loop)
    first = {one.spans[0]: number for number, one in enumerate(chords)}
    return {
        (one.name, one.key.tonic.pitch_class, first[one.spans[0]])
        for one in found.cadences
        if one.name in ANYWHERE and not is_of_triads(one)
    }


def is_of_triads(cadence):
    """Whether its V is a triad, which only the tonic of the area has."""
    return any(letter(chord, "") == "T" for chord in cadence.chords[:-1])


@pytest.mark.parametrize("semitones", range(12))
@pytest.mark.parametrize("name", CHARTS)
def test_demo_tunes_have_the_cadences_of_a_plain_search_in_every_key(name, semitones):
    found = report(spans(body(transpose(CHARTS[name], semitones)), loop=True), loop=True)
    assert searched(found, loop=True) == plainly(found, loop=True)


SYMBOLS = (
    "Dm7",
    "G7",
    "Cmaj7",
    "Dm7b5",
    "Cm6",
    "Db7",
    "C7",
    "F7",
    "Fm7",
    "A7",
    "Ebo7",
    "F",
    "N.C.",
)


@many
@given(st.lists(st.sampled_from(SYMBOLS), min_size=1, max_size=8), st.booleans())
def test_drawn_changes_have_the_cadences_of_a_plain_search(look, symbols, loop):
    if set(symbols) == {"N.C."}:
        return
    found = look(" | ".join(symbols), loop=loop)
    assert searched(found, loop=loop) == plainly(found, loop=loop)


def test_every_row_is_heard_somewhere(look):
    names = {one.name for text, key, _ in HANDBOOK for one in look(text, key).cadences}
    assert names == {row.name for row in ROWS}


@pytest.mark.parametrize("name", CHARTS)
def test_cadences_of_the_demo_tunes_are_told_in_order_and_lie_in_the_music(name):
    found = report(spans(body(CHARTS[name]), loop=True), loop=True)
    assert found.cadences
    firsts = [one.spans[0] for one in found.cadences]
    seam = [i for i, first in enumerate(firsts) if i and first < firsts[i - 1]]
    assert len(seam) <= 1
    for one in found.cadences:
        count = len(found.spans)
        steps = {(b - a) % count for a, b in zip(one.spans, one.spans[1:], strict=False)}
        assert steps <= set(range(1, 4))
