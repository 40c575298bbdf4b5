"""The drums against what is asked of them, read from the notes alone.

``PYTHONPATH=tests python tests/band/test_drums.py`` writes the golden anew; read the difference
before keeping it.

Keys: General MIDI 1, percussion key map. The rest: common practice, no source.
"""

import random
from collections import Counter, defaultdict
from fractions import Fraction
from pathlib import Path

import pytest
from drum_rules import (
    CRASH,
    HALF,
    HAT,
    KICK,
    RIDE,
    SNARE,
    TOMS,
    bars_of,
    check,
    check_hat,
    on,
)
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chartkit.arrange import arrange
from chartkit.band import drums, kit
from chartkit.feel import FEELS, patterns
from chartkit.feel.pattern import vocabulary
from chartkit.reader import parse
from chartkit.take import Take

GOLDEN = Path(__file__).parent.parent / "golden" / "drums" / "blues.txt"

BLUES = "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bo7 | F7 | D7b9 | Gm7 | C7 | F7 D7 | Gm7 C7"

SETTINGS = settings(
    derandomize=True,
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


def play(arrangement, seed=0):
    return drums.play(arrangement, None, random.Random(seed)).notes


def mean(values):
    return sum(values) / len(values)


@SETTINGS
@given(data=st.data())
def test_anything_in_a_loop(arranged, drawn, data):
    arrangement = arranged(data.draw(drawn), times=data.draw(st.integers(1, 3)))
    notes = play(arrangement, data.draw(st.integers(0, 99)))
    check(arrangement, notes)
    check_hat(arrangement, notes)


@SETTINGS
@given(data=st.data())
def test_anything_played_through(arranged, drawn, data):
    arrangement = arranged(data.draw(drawn), loop=False, times=2)
    notes = play(arrangement, data.draw(st.integers(0, 99)))
    check(arrangement, notes)
    assert notes[0].start >= 0


@pytest.mark.parametrize("loop", [True, False])
def test_demo_charts(demo, loop):
    arrangement = arrange(Take(demo, loop=loop, times=2))
    for seed in range(3):
        notes = play(arrangement, seed)
        check(arrangement, notes)
        check_hat(arrangement, notes)


def test_every_feel(case):
    arrangement = arrange(case.take)
    notes = play(arrangement, case.seed)
    check(arrangement, notes)
    check_hat(arrangement, notes)
    counted = Counter((note.start, note.pitch) for note in notes)
    assert max(counted.values()) == 1


@pytest.mark.sweep
def test_every_feel_and_key(all_cases):
    for one in all_cases:
        arrangement = arrange(one.take)
        notes = play(arrangement, one.seed)
        check(arrangement, notes)
        check_hat(arrangement, notes)


# --- time -----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def long_play(arranged):
    arrangement = arranged(BLUES, loop=False, times=20)
    return arrangement, play(arrangement, 1)


def test_the_ride_goes_on_but_not_endlessly_the_same(long_play):
    arrangement, notes = long_play
    bars = [
        tuple(note.start - start for note in on(notes, RIDE) if start <= note.start < end)
        for start, end, _ in bars_of(arrangement)
    ]
    counted = Counter(bars)
    assert sum(len(bar) >= 3 for bar in bars) > 0.85 * len(bars)
    assert counted.most_common(1)[0][1] < 0.6 * len(bars)
    assert len(counted) > 8


def test_no_two_bars_come_three_times_running(arranged):
    for seed in range(10):
        arrangement = arranged(BLUES, times=4)
        bars = defaultdict(set)
        for note in play(arrangement, seed):
            bars[note.start // 8].add((note.start % 8, note.pitch))
        for one, two, three in zip(range(22), range(1, 23), range(2, 24), strict=True):
            assert not bars[one] == bars[two] == bars[three]


def test_the_kick_is_feathered(long_play):
    """On the quarters, softer than everything else, but for its own accents."""
    _, notes = long_play
    soft = [note for note in on(notes, KICK) if note.velocity < 45]
    assert len(soft) > 0.6 * len(on(notes, KICK))
    assert all(note.start.denominator == 1 for note in soft)
    assert mean([n.velocity for n in soft]) < mean([n.velocity for n in on(notes, RIDE)]) - 30


def test_the_snare_is_sparse(long_play):
    arrangement, notes = long_play
    bars = [
        len([note for note in on(notes, SNARE) if start <= note.start < end])
        for start, end, spans in bars_of(arrangement)
        if not spans[-1].ends
    ]
    assert mean(bars) < 2
    assert bars.count(0) > 0.2 * len(bars)


# --- form -----------------------------------------------------------------------------------------

SECTIONS = """Key: F major

[A]
| F7 | Bb7 | F7 | C7 |

[B]
| Bb7 | F7 | C7 | F7 |
"""


def weight(notes, start, end):
    """How much is struck on snare and toms, softly or hard."""
    inside = [note for note in on(notes, SNARE, *TOMS) if start <= note.start < end]
    return sum(note.velocity for note in inside)


def test_fills_lead_on_and_are_strongest_at_the_end_of_a_chorus(arranged):
    arrangement = arranged(SECTIONS, times=40)
    notes = play(arrangement, 3)
    weights = defaultdict(list)
    for start, end, spans in bars_of(arrangement):
        weights[spans[-1].ends].append(weight(notes, start, end))
    assert mean(weights["chorus"]) > 1.5 * mean(weights["section"]) > 3 * mean(weights[""])


def test_a_chorus_may_open_with_a_crash(arranged):
    arrangement = arranged(SECTIONS, loop=False, times=20)
    notes = on(play(arrangement, 1), CRASH)
    tops = {start for start, _, _ in bars_of(arrangement) if start % 16 == 0}
    tail = arrangement.tail[0].start
    assert notes
    assert all(note.start in tops or note.start == tail for note in notes)


def test_intensity_rises_by_chorus(arranged):
    arrangement = arranged(BLUES, loop=False, times=6)
    notes = play(arrangement)
    rounds = [
        [note for note in notes if one.start <= note.start < one.start + one.length]
        for one in arrangement.passes
    ]
    loudness = [mean([note.velocity for note in on(notes, RIDE)]) for notes in rounds]
    assert loudness == sorted(loudness)
    assert weight(rounds[0], 0, 999) < weight(rounds[-1], 0, 999)


def test_set_ups_come_before_pushes_and_stops(arranged):
    """The two beats before an accent say more than the same beats elsewhere."""
    accented = arranged("F7 | >Bb7 | F7 | C7! / / /", times=40)
    plain = arranged("F7 | Bb7 | F7 | C7", times=40)
    loud, calm = play(accented, 5), play(plain, 5)
    for beats in ((2, Fraction(7, 2)), (10, 12)):
        said, otherwise = (
            mean([weight(notes, 16 * n + beats[0], 16 * n + beats[1]) for n in range(40)])
            for notes in (loud, calm)
        )
        assert said > otherwise + 10


def test_a_push_is_struck_together_and_its_beat_left_out(arranged):
    notes = play(arranged("F7 | >Bb7 | F7 | C7"))
    assert len([note for note in notes if note.start == Fraction(7, 2)]) >= 2
    assert not [note for note in notes if note.start == 4 and note.pitch != HAT]


def test_a_push_over_the_seam(arranged):
    for seed in range(10):
        notes = play(arranged(">F7 | Bb7 | F7 | C7"), seed)
        early = [note.start for note in notes if note.start < 0]
        assert len(early) >= 2
        assert set(early) == {-HALF}
        assert not [n for n in notes if n.start >= 16 - HALF and n.pitch != HAT]


def test_the_end_is_struck_with_the_band(arranged):
    arrangement = arranged("[A]\nKey: F major\n| F6 | C7 | F6 |", loop=False)
    tail = arrangement.tail[0].start
    for seed in range(10):
        last = [note for note in play(arrangement, seed) if note.start >= tail]
        assert {note.pitch for note in last if note.start == tail} >= {KICK}
        assert all(note.start == tail for note in last if note.pitch != SNARE)
        assert last[-1].start < tail + 4


def test_a_pickup_has_the_hat_where_it_stands_in_the_whole_bar(arranged):
    notes = play(arranged("Pickup: 1\n\n[A]\n| C7 | F7 | Bb7 |", loop=False))
    before = [(note.start, note.pitch) for note in notes if note.start < 0]
    assert (-1, HAT) in before
    assert {start for start, _ in before} <= {-1, -HALF}


# --- chance, and the file -------------------------------------------------------------------------


def test_same_seed_same_notes(arranged):
    arrangement = arranged(BLUES, times=2)
    assert play(arrangement, 7) == play(arrangement, 7)
    assert play(arrangement, 7) != play(arrangement, 8)


def test_notes_are_in_order_and_each_thing_is_struck_once(arranged):
    notes = play(arranged(BLUES, times=8))
    assert list(notes) == sorted(notes)
    counted = Counter((note.start, note.pitch) for note in notes)
    assert max(counted.values()) == 1


@pytest.mark.parametrize("name", [name for name, row in FEELS.items() if row.built])
def test_the_pattern_file_names_what_can_be_struck(name):
    table = patterns(name)["drums"]
    assert {*table["levels"]} <= {*kit.KEYS}
    assert {*table["keeps"]} <= {*kit.KEYS}
    for soft, plain, accented in table["levels"].values():
        assert 1 <= soft < plain < accented <= 112
    for title in (
        *table["layers"],
        *["tops", "fills", "big_fills", "pushes", "stops", "hits", "endings"],
    ):
        for row in vocabulary(name, "drums", title, Fraction(60)):
            for thing, figure in row.figures:
                assert thing in table["levels"]
                assert {stroke.mark for stroke in figure.strokes} <= {*kit.MARKS}


# --- a blues to read ------------------------------------------------------------------------------

ORDER = ("crash", "ride", "hat", "high_tom", "tom", "low_tom", "snare", "kick")


def page():
    """One chorus, a block a bar, a line for each thing struck, with its velocities."""
    arrangement = arrange(Take(parse(f"[A]\n| {BLUES} |\n", "blues").chart))
    notes = play(arrangement, 2)
    names = {key: name for name, key in kit.KEYS.items()}
    for start, end, spans in bars_of(arrangement):
        yield f"bar {spans[0].bar.number}\n"
        struck = defaultdict(dict)
        for note in notes:
            if start <= note.start < end:
                struck[names[note.pitch]][note.start] = note.velocity
        for name in sorted(struck, key=ORDER.index):
            cells = [cell(struck[name], beat) for beat in range(int(start), int(end))]
            yield f"  {name:8s} {' |'.join(cells)}".rstrip() + "\n"


def cell(struck, beat):
    inside = {at - beat for at in struck if beat <= at < beat + 1}
    parts = 3 if any(at.denominator == 3 for at in inside) else 2
    places = [beat + Fraction(part, parts) for part in range(parts)]
    return "".join(f"{struck.get(place, '.'):>4}" for place in places)


def test_a_blues_to_read():
    assert "".join(page()) == GOLDEN.read_text(encoding="utf-8")


if __name__ == "__main__":
    GOLDEN.parent.mkdir(parents=True, exist_ok=True)
    GOLDEN.write_text("".join(page()), encoding="utf-8")
