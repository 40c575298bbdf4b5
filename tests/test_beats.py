"""How words share a bar, against a plain search through every way to share it."""

from fractions import Fraction
from itertools import product

import pytest

from chartkit.beats import shares
from chartkit.chart import Meter
from chartkit.errors import Place
from chartkit.lines import Beat, Kind, Misread, Word


def words(text):
    kinds = {"/": Kind.SLASH, "N.C.": Kind.NO_CHORD}
    place = Place("x", 1, 1)
    return tuple(
        Beat(kinds.get(part, Kind.CHORD), Word(part.strip("()"), place), turnaround="(" in part)
        for part in text.split()
    )


def shared(text, meter):
    return [(beat.word.text, n) for beat, n in shares(words(text), meter.beats, meter)]


@pytest.mark.parametrize(
    ("text", "meter", "expected"),
    [
        ("F7", 4, [("F7", 4)]),
        ("F7 D7", 4, [("F7", 2), ("D7", 2)]),
        ("F7 D7 G7 C7", 4, [("F7", 1), ("D7", 1), ("G7", 1), ("C7", 1)]),
        ("F7 / / D7", 4, [("F7", 3), ("D7", 1)]),
        ("/ F7 / D7", 4, [("/", 1), ("F7", 2), ("D7", 1)]),
        ("/ / / /", 4, [("/", 4)]),
        ("N.C. / F7 /", 4, [("N.C.", 2), ("F7", 2)]),
        ("F7", 5, [("F7", 5)]),
        ("F7 / / D7 /", 5, [("F7", 3), ("D7", 2)]),
        ("F7 D7 G7", 6, [("F7", 2), ("D7", 2), ("G7", 2)]),
    ],
)
def test_shares(text, meter, expected):
    assert shared(text, Meter(meter)) == expected


@pytest.mark.parametrize("beats", range(1, 9))
@pytest.mark.parametrize("chords", range(1, 10))
def test_chords_without_slashes_share_evenly_or_not_at_all(beats, chords):
    ways = {
        lengths
        for lengths in product(range(1, beats + 1), repeat=min(chords, beats + 1))
        if sum(lengths) == beats and len(set(lengths)) == 1 and len(lengths) == chords
    }
    text = " ".join("CDEFGAB"[i % 7] for i in range(chords))
    if ways:
        assert {tuple(n for _, n in shared(text, Meter(beats)))} == ways
    else:
        with pytest.raises(Misread):
            shared(text, Meter(beats))


@pytest.mark.parametrize(
    ("text", "meter", "readings"),
    [
        ("F7 C7 D7", 4, ["F7 / C7 D7", "F7 C7 / D7", "F7 C7 D7 /"]),
        ("F7 C7", 3, ["F7 / C7", "F7 C7 /"]),
        ("F7 C7", 5, ["F7 / / C7 /", "F7 / C7 / /"]),
        ("F7 (C7) (D7)", 4, ["F7 / (C7 D7)", "F7 (C7 / D7)", "F7 (C7 D7 /)"]),
    ],
)
def test_what_cannot_be_shared_shows_what_could_be_meant(text, meter, readings):
    with pytest.raises(Misread, match="cannot share") as raised:
        shared(text, Meter(meter))
    assert raised.value.expected == tuple(f"`{reading}`" for reading in readings)


@pytest.mark.parametrize("beats", range(2, 8))
def test_every_reading_that_is_shown_can_be_read(beats):
    for chords in range(2, beats):
        text = " ".join("CDEFGAB"[:chords])
        if beats % chords == 0:
            continue
        with pytest.raises(Misread) as raised:
            shared(text, Meter(beats))
        for reading in raised.value.expected:
            lengths = [n for _, n in shared(reading.strip("`"), Meter(beats))]
            assert sum(lengths) == beats
            assert len(lengths) == chords
            assert max(lengths) - min(lengths) == 1


@pytest.mark.parametrize(
    ("text", "meter", "found"),
    [
        ("F7 /", Meter(4), "2 beats in a bar of 4 beats"),
        ("/", Meter(4), "1 beat in a bar of 4 beats"),
        ("F7 / / / /", Meter(4), "5 beats in a bar of 4 beats"),
        ("F7 / /", Meter(2, Fraction(3, 2)), "3 beats in a bar of 2 dotted quarters"),
        ("F7 / /", Meter(2, Fraction(2)), "3 beats in a bar of 2 halves"),
        ("A B C D E", Meter(4), "5 chords in a bar of 4 beats"),
    ],
)
def test_beats_that_do_not_fill_the_bar(text, meter, found):
    with pytest.raises(Misread) as raised:
        shared(text, meter)
    assert raised.value.found == found
