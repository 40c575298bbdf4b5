"""Who plays, on what, and in which range."""

import pytest

from chartkit.errors import RequestError
from chartkit.guitar.fretboard import pitch_at
from chartkit.guitar.tunings import TUNINGS
from chartkit.instrument import GUITAR, INSTRUMENTS, restrung
from chartkit.line import Line
from chartkit.player import GUITARIST, Player, fingered, place_words, range_of, unbroken_range


@pytest.mark.parametrize("position", [None, 1, 5, 12])
@pytest.mark.parametrize("strings", [None, (3, 2, 1), (6,), (5, 4)])
def test_the_range_is_what_the_hand_has(position, strings):
    player = Player(strings=strings)
    tuning = GUITAR.tuning
    free = range(13 if strings else 23)
    frets = range(max(position - 1, 0), position + 5) if position else free
    held = [pitch_at(tuning, s, f) for s in strings or tuning.strings for f in frets]
    assert range_of(player, position) == unbroken_range(player, position) == (min(held), max(held))


@pytest.mark.parametrize(
    ("strings", "tuning", "position", "ends"),
    [
        # In drop D the low string ends a tone below where the fifth begins in a position: A is
        # missing in II, so the range is that of the other strings.
        (None, "drop D", 2, (46, 70)),
        ((6, 1), "standard", 5, (68, 73)),  # six notes each: the higher ones
        ((6, 5, 1), "standard", 5, (44, 54)),
        (None, "bass", 5, (32, 52)),
    ],
)
def test_no_note_is_missing_in_the_range(strings, tuning, position, ends):
    player = Player(restrung(GUITAR, TUNINGS[tuning]), strings=strings)
    assert unbroken_range(player, position) == ends
    held = {
        pitch_at(TUNINGS[tuning], string, fret)
        for string in strings or TUNINGS[tuning].strings
        for fret in range(position - 1, position + 5)
    }
    assert set(range(ends[0], ends[1] + 1)) <= held


def test_without_frets_the_range_is_the_instruments_own():
    flute = Player(INSTRUMENTS["flute"])
    assert range_of(flute, None) == (60, 93)
    assert fingered(Line((), ()), flute, None) is None
    with pytest.raises(RequestError, match="say a range instead"):
        range_of(flute, 5)


def test_strings_need_frets_and_have_numbers():
    with pytest.raises(RequestError, match="leave the strings out"):
        Player(INSTRUMENTS["trumpet"], strings=(1,))
    with pytest.raises(RequestError, match="numbered 1 to 4"):
        Player(INSTRUMENTS["ukulele"], strings=(5,))
    with pytest.raises(RequestError, match="choose some"):
        Player(strings=())


def test_a_neck_ends_somewhere():
    with pytest.raises(RequestError, match="no position 20"):
        range_of(GUITARIST, 20)
    assert range_of(Player(strings=(1,)), 19) == (64 + 18, 86)


def test_what_a_page_tells():
    assert [*place_words(GUITARIST, None)] == []
    violin = Player(INSTRUMENTS["violin"])
    assert [*place_words(violin, None)] == ["violin"]
    assert [*place_words(Player(strings=(2, 1)), 7)] == ["position VII", "strings 2-1"]
