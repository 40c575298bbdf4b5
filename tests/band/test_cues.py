from fractions import Fraction
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.band.cues import cues

half = Fraction(1, 2)


def sounds(arrangement):
    return [cue.sound for cue in cues(arrangement)]


def test_a_push_sounds_before_its_beat(arranged):
    one, two = cues(arranged("F7 / / >Bb7"))
    assert (one.start, one.end, one.until) == (0, Fraction(5, 2), 4)
    assert (two.start, two.end, two.until) == (Fraction(5, 2), 4, 4)
    assert (one.pushed, two.pushed) == (False, True)


def test_a_stop_is_a_hit_and_then_silence(arranged):
    one, rest, two = cues(arranged("F7! / / / | / / / / | Bb7 / / /"))
    assert [cue.sound for cue in (one, rest, two)] == ["hit", "none", "full"]
    assert (one.start, one.end, one.until) == (0, 4, half)
    assert rest.until == rest.start


def test_a_pushed_stop_is_hit_early_and_silent_until_the_next_push(arranged):
    one, two, three = cues(arranged("F7 | >Bb7! / / / | >F7 / / /"))
    assert (two.sound, two.start, two.until, two.end) == ("hit", 4 - half, 4, 8 - half)
    assert one.until == two.start
    assert three.start == 8 - half


def test_a_break_is_silent(arranged):
    assert sounds(arranged("F7 | N.C. | Bb7")) == ["full", "none", "full"]
    first, _, last = cues(arranged("F7 | N.C. | Bb7"))
    assert first.until == 4
    assert last.new


def test_the_seam_of_a_loop(arranged):
    first, *_, last = cues(arranged(">F7 | Bb7 | C7"))
    assert first.start == -half
    assert last.end == last.until == 12 - half


def test_from_nothing_there_is_no_push(arranged):
    assert cues(arranged(">F7 | Bb7 | C7", loop=False))[0].start == 0


def test_new_chords(arranged):
    assert [cue.new for cue in cues(arranged("F7 | / / / / | Bb7 | Bb7/D | F7"))] == [
        *(True, False, True, True, True),
    ]


def test_a_chord_reaches_over_its_bars(arranged):
    assert [cue.reach for cue in cues(arranged("F7 | / / / / | Bb7 C7"))] == [8, 8, 2, 2]


def test_the_held_end(arranged):
    arrangement = arranged("[A]\nKey: F major\n| F6 | C7 | F6 |", loop=False)
    last = cues(arrangement)[-1]
    assert (last.sound, last.new, last.end) == ("held", True, last.span.start + last.span.length)


def test_pedals(arranged):
    """A run of chords over one bass note, with a slash among them; long chords walk."""
    assert [cue.pedal for cue in cues(arranged("F | Gm7/F | F | C7"))] == [True, True, True, False]
    assert [cue.pedal for cue in cues(arranged("F7 | Fm7 | Bb7 | F7"))] == [False] * 4
    assert [cue.pedal for cue in cues(arranged("F | / / / / | Gm7/F | C7"))] == [
        *(False, False, True, False),
    ]
    assert [cue.pedal for cue in cues(arranged("C7 | Gm7/F | Bb7 | F"))] == [False] * 4


def test_a_pedal_goes_round_the_seam(arranged):
    assert [cue.pedal for cue in cues(arranged("Gm7/F | C7 | F"))] == [True, False, True]
    assert not cues(arranged("Gm7/F | C7 | F | Bb", loop=False))[0].pedal


def test_spirit_follows_the_pass(arranged):
    played = cues(arranged("F7 | Bb7", loop=False, times=3))
    assert {cue.chorus for cue in played} == {1, 2, 3}
    assert played[0].intensity < played[-1].intensity


@settings(derandomize=True, max_examples=100, deadline=None)
@given(data=st.data())
def test_cues_follow_each_other_without_gap(arranged, drawn, data):
    for loop in (True, False):
        played = cues(arranged(data.draw(drawn), loop=loop, times=2))
        for one, two in pairwise(played):
            assert one.end == two.start
            assert one.start < one.end
            assert one.until <= played[-1].end
        for cue in played:
            assert cue.start - cue.span.start in (0, -half)
            assert (cue.until == cue.start) == (cue.sound == "none")
