"""Requests from outside: read strictly, and the take that they are."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartkit.controls.clicks import Click
from chartkit.controls.ladder import Ladder
from chartkit.errors import RequestError
from chartkit.reader import parse
from chartkit.stand.asked import READERS, asked_of, take_of
from chartkit.take import ExerciseAsked, Take
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

CHART = parse(
    "Title: Tin Cup\nKey: Dm\nTempo: 120\n[A]\n| Dm6 | Em7b5 A7 |\n[B]\n| Gm7 | C7 |\n", "x"
).chart


def take(**request):
    return take_of(asked_of({"tune": "x", **request}), CHART)


def test_what_is_left_out_is_the_charts_own():
    assert take() == Take(CHART, count_in=1)
    assert take(tempo=None, sections=None) == take()


def test_every_field_has_its_place_in_the_take():
    made = take(
        sections=["A", "B"],
        tempo=97.5,
        key="F#",
        feel="swing",
        countIn=2,
        seed=7,
        click={"beats": [2, 4], "oneBarIn": 2},
        exercise={
            "kind": "approach",
            "position": 7,
            "value": "quarter",
            "direction": "down",
            "side": "above",
        },
    )
    asked = made.exercise
    assert made.sections == ("A", "B")
    assert made.tempo == Fraction(195, 2)
    assert made.key == Key(NoteName.parse("F#"), "minor")
    assert (made.feel, made.count_in, made.seed) == ("swing", 2, 7)
    assert made.click == Click((2, 4), 2)
    assert isinstance(asked, ExerciseAsked)
    assert (asked.kind, asked.position, asked.value, asked.upward) == ("approach", 7, 1, False)
    assert asked.options.side == "above"


def test_a_ladder_and_keys_are_played_to_their_end():
    assert take(ladder={"by": 10, "upTo": 150, "every": 2}).ladder == Ladder(
        Fraction(10), Fraction(150), 2
    )
    assert take(ladder={"by": 10, "upTo": 150, "every": 2}).times == 8
    assert take(keys="fourths").times == 12
    assert take(keys=-3).times == 4
    assert take(keys=["C", "Eb"]).times == 2
    assert take(keys=["C", "Eb"], times=5).times == 5


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=8,
)
REQUESTS = st.fixed_dictionaries(
    {"tune": st.just("x")},
    optional={name: JSON for name in READERS if name not in ("tune", "item")},
)


@given(JSON | REQUESTS)
def test_whatever_is_sent_is_a_take_or_one_sentence(data):
    told = ""
    try:
        take_of(asked_of(data), CHART)
    except RequestError as error:
        told = str(error)
    assert len(told) < 700
    assert told.isprintable()


@pytest.mark.parametrize(
    ("request_of", "sentence"),
    [
        ({"tempo": "fast"}, "`tempo` should be a number from 30 to 400"),
        ({"click": {"beat": 1}}, "in `click`: `beat` is not known; send beats or oneBarIn"),
        ({"exercise": {"kind": "x"}}, "in `exercise`: `kind` should be arpeggio, connected"),
        ({"keys": [1]}, "`keys` should be the name of a note"),
        ({"item": "x"}, "ask for a `tune` or for an `item` of today"),
    ],
)
def test_the_sentence_tells_which_field_is_wrong(request_of, sentence):
    with pytest.raises(RequestError) as told:
        take(**request_of)
    assert str(told.value).startswith(sentence)
