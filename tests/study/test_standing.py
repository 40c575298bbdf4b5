"""Standing chords and their neighbours, on changes made for each case."""

from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.study.standing import interval, standings, surroundings
from chartkit.theory.symbol import read_symbol, write_symbol

many = settings(derandomize=True, max_examples=200, deadline=None)
SYMBOLS = ("Dm7", "G7", "G9sus", "Cmaj7", "C6", "C7", "Gm7", "N.C.")


def told(music, text, *, loop=True):
    found = standings(music(text, loop=loop), loop=loop)
    return [(write_symbol(one.chord), one.spans) for one in found]


def goals(music, text, *, loop=True):
    found = surroundings(standings(music(text, loop=loop), loop=loop), loop=loop)
    return [one.goal and write_symbol(one.goal) for one in found]


def test_one_root_and_one_kind_is_one_chord(music):
    found = told(music, "G9sus G7b9 | G7/B | Cmaj7 C6")
    assert found == [("G9sus", (0, 1, 2)), ("Cmaj7", (3, 4))]


def test_another_kind_on_the_same_root_is_another_chord(music):
    assert [symbol for symbol, _ in told(music, "A7 | Am7 | Am7b5")] == ["A7", "Am7", "Am7b5"]


def test_a_break_parts_nothing(music):
    assert told(music, "G7 | N.C. | G7 | C6") == [("G7", (0, 2)), ("C6", (3,))]


def test_in_a_loop_the_last_and_the_first_may_be_one(music):
    assert told(music, "C7 | F7 | C9") == [("C9", (2, 0)), ("F7", (1,))]
    assert told(music, "C7 | F7 | C9", loop=False) == [("C7", (0,)), ("F7", (1,)), ("C9", (2,))]


def test_one_chord_alone_has_no_neighbours(music):
    assert told(music, "C7 | C9 | C7") == [("C7", (0, 1, 2))]
    (only,) = surroundings(standings(music("C7 | C9"), loop=True), loop=True)
    assert (only.before, only.goal, only.beyond) == (None, None, None)


def test_the_goal_is_on_another_root(music):
    assert goals(music, "A7 | Am7 | D7 | Gmaj7") == ["D7", "D7", "Gmaj7", "A7"]
    assert goals(music, "A7 | Am7 | D7 | Gmaj7", loop=False) == ["D7", "D7", "Gmaj7", None]


def plain_goal(chords, index, *, loop):
    """The same by looking at every chord that follows, one after the other."""
    following = chords[index + 1 :] + (chords[: index + 1] if loop else [])
    return next((c for c in following if interval(chords[index], c)), None)


@many
@given(st.lists(st.sampled_from(SYMBOLS), min_size=1, max_size=9), st.booleans())
def test_neighbours_are_those_of_a_plain_search(symbols, loop):
    from chartkit.study.standing import Standing

    chords = [read_symbol(s).chord for s in symbols if s != "N.C."]
    found = surroundings([Standing(chord, ()) for chord in chords], loop=loop)
    for index, around in enumerate(found):
        assert around.chord == chords[index]
        assert around.goal == plain_goal(chords, index, loop=loop)
        if around.goal:
            at = next(
                i % len(chords)
                for i in range(index + 1, 2 * len(chords))
                if interval(chords[index], chords[i % len(chords)])
            )
            assert around.beyond == plain_goal(chords, at, loop=loop)
