"""Keys in turn."""

import pytest

from chartkit.controls.keys import FOURTHS, check_keys, key_in_turn, times_for
from chartkit.errors import RequestError
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName


def key(text, mode="major"):
    return Key(NoteName.parse(text), mode)


def names(home, keys, count):
    return [str(key_in_turn(home, keys, number).tonic) for number in range(1, count + 1)]


# The cycle of fourths in major and in minor as any method prints it; common practice, no source.
@pytest.mark.parametrize(
    ("home", "keys", "expected"),
    [
        (key("C"), FOURTHS, "C F Bb Eb Ab Db Gb B E A D G C"),
        (key("A", "minor"), FOURTHS, "A D G C F Bb Eb G# C# F# B E A"),
        (key("C"), 1, "C Db D Eb E F Gb G Ab A Bb B C"),
        (key("F"), -1, "F E Eb D Db C B Bb A Ab G Gb F"),
        (key("F#"), 2, "F# Ab Bb C D E F#"),
        (key("G"), 0, "G G G"),
        (key("G"), (), "G G"),
        (key("C"), tuple(map(NoteName.parse, ("D", "Gb", "A"))), "D Gb A D Gb"),
    ],
)
def test_keys_by_hand(home, keys, expected):
    assert names(home, keys, len(expected.split())) == expected.split()


@pytest.mark.parametrize("step", range(-11, 12))
def test_every_key_of_a_step_comes_once_and_then_the_first_again(step):
    count = times_for(step)
    tonics = {key_in_turn(key("C"), step, n).tonic.pitch_class for n in range(1, count + 1)}
    assert len(tonics) == count
    assert key_in_turn(key("C"), step, count + 1) == key("C")


def test_the_mode_stays():
    assert key_in_turn(key("D", "minor"), (NoteName("G"),), 1) == key("G", "minor")


@pytest.mark.parametrize("step", [12, -12, 40])
def test_a_step_beyond_the_octave(step):
    with pytest.raises(RequestError, match="1-11 semitones"):
        check_keys(step, None)


def test_one_key_and_keys_in_turn():
    with pytest.raises(RequestError, match="not for both"):
        check_keys((NoteName("C"),), key("F"))
    check_keys(5, key("F"))
    check_keys((), key("F"))
