"""The template: what comes with the program, a player's own, and what is wrong in one."""

from fractions import Fraction

import pytest

from chartkit.errors import RequestError
from chartkit.practice.entry import ACTIVITIES
from chartkit.practice.template import FILE, read_template, usual


def test_the_usual_one_has_every_activity_in_order():
    assert tuple(activity for activity, _ in usual().shares) == ACTIVITIES
    assert sum(share for _, share in usual().shares) == 1
    assert usual() == read_template(FILE.read_text(encoding="utf-8"), "own")


def test_what_is_left_out_stays_as_it_was():
    own = read_template("[rules]\nclean-days = 4\n", "own")
    assert own.clean_days == 4
    assert own.runs_up == usual().runs_up
    assert own.shares == usual().shares


def test_own_shares_are_taken_as_they_stand():
    own = read_template("[shares]\nsolo = 3\nscales = 1\nwarm-up = 0\n", "own")
    assert own.shares == (("solo", Fraction(3, 4)), ("scales", Fraction(1, 4)))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[shares", "own: "),
        ("[shars]\nsolo = 1", "`shars` is none of its tables shares, longest"),
        ("shares = 3", "`shares` is none of its tables"),
        ("[shares]\nsinging = 1", "not `singing`"),
        ("[shares]\nsolo = -1", "share of solo is a number from 0 up, not -1"),
        ('[shares]\nsolo = "all"', "share of solo"),
        ("[shares]\nsolo = true", "share of solo"),
        ("[shares]\nsolo = 0", "no activity has a share"),
        ("[longest]\nsolo = 5", "solo in [longest] is a whole number from 20 to 3600"),
        ("[tempos]\nscales = [90]", "tempos of scales are two"),
        ("[tempos]\nscales = [90, 60]", "the slower one first"),
        ("[rules]\nclean-days = 0", "clean-days in [rules] is a whole number from 1"),
        ("[rules]\nup = 1.5", "up in [rules]"),
        ("[tunes]\nposition = 13", "from 1 to 12"),
        ("[keys]\na-day = 13", "from 1 to 12"),
    ],
)
def test_what_is_wrong_is_said(text, words):
    with pytest.raises(RequestError) as caught:
        read_template(text, "own")
    assert words in str(caught.value)
    assert str(caught.value).startswith("own: ")
