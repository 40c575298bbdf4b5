"""The bass against its rules, by a verifier that knows only the changes and the notes.

``PYTHONPATH=tests python tests/band/test_bass.py`` writes the golden anew; read the difference
before keeping it.

Rules and range: common practice, no source, but for the orderings of moves and chord tones, which
are those of the beat-wise bass of the Weimar Jazz Database (as told in the literature; its figures
are not repeated here).
"""

import random
from bisect import bisect_right
from collections import Counter
from fractions import Fraction
from itertools import groupby, pairwise, product
from pathlib import Path

import pytest
from bass_rules import LEADS, WALKING, Sung, check_all, mean, run_lengths
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chartkit.arrange import arrange
from chartkit.band import bass, walk
from chartkit.reader import parse
from chartkit.take import Take
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import write_symbol

GOLDEN = Path(__file__).parent.parent / "golden" / "bass" / "blues.txt"

BLUES = "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bo7 | F7 | D7b9 | Gm7 | C7 | F7 D7 | Gm7 C7"

PLAIN_SETTINGS = settings(
    derandomize=True,
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


def line(arrangement, seed=0, avoid=None):
    return bass.play(arrangement, avoid, random.Random(seed)).notes


# --- the rules on drawn charts and demo charts ----------------------------------------------------


@PLAIN_SETTINGS
@given(data=st.data())
def test_rules_on_anything_in_a_loop(arranged, drawn, data):
    text, seed, times = (
        data.draw(drawn),
        data.draw(st.integers(0, 99)),
        data.draw(st.integers(1, 3)),
    )
    arrangement = arranged(text, times=times)
    check_all(arrangement, line(arrangement, seed))


@PLAIN_SETTINGS
@given(data=st.data())
def test_rules_on_anything_played_through(arranged, drawn, data):
    text, seed = data.draw(drawn), data.draw(st.integers(0, 99))
    arrangement = arranged(text, loop=False, times=2)
    check_all(arrangement, line(arrangement, seed))


@PLAIN_SETTINGS
@given(data=st.data())
def test_runs_are_neither_too_short_nor_too_long(arranged, drawn_plain, data):
    arrangement = arranged(data.draw(drawn_plain), times=4)
    assert 2 <= mean(run_lengths(line(arrangement, 1))) <= 5


@pytest.mark.sweep
@pytest.mark.parametrize("tempo", [60, 140, 300])
def test_rules_on_demo_charts_in_every_key(demo, tempo):
    for tonic in WRITTEN["major"]:
        for loop, seed in product((True, False), range(5)):
            key = Key(NoteName.parse(tonic), (demo.key or Key(NoteName("C"))).mode)
            take = Take(demo, key=key, loop=loop, times=2, tempo=Fraction(tempo))
            arrangement = arrange(take)
            check_all(arrangement, line(arrangement, seed))


@pytest.mark.parametrize("loop", [True, False])
@pytest.mark.parametrize("seed", range(3))
def test_rules_on_demo_charts(demo, loop, seed):
    arrangement = arrange(Take(demo, loop=loop, times=2))
    notes = line(arrangement, seed)
    check_all(arrangement, notes)
    if all(span.feel in WALKING for span in arrangement.spans):
        assert 2.5 <= mean(run_lengths(notes)) <= 5


def test_rules_in_every_feel(case):
    arrangement = arrange(case.take)
    check_all(arrangement, line(arrangement, case.seed))


@pytest.mark.sweep
def test_rules_in_every_feel_and_key(all_cases):
    for one in all_cases:
        arrangement = arrange(one.take)
        check_all(arrangement, line(arrangement, one.seed))


def test_rules_hold_against_any_taste(arranged, monkeypatch):
    """A player who loves repeated notes and wide leaps still keeps to the rules."""
    monkeypatch.setattr(walk, "MOVE", (0.0, 3.0, 3.0, 3.0, *[2.0] * 8, 0.0))
    walk._link.cache_clear()
    for seed in range(5):
        arrangement = arranged("Dm7 | / / / / | / / / / | Ebm7 | / / / / | G7", times=2)
        notes = line(arrangement, seed)
        assert sum(one.pitch == two.pitch for one, two in pairwise(notes)) > 10
        check_all(arrangement, notes)
    walk._link.cache_clear()


# --- particular places ----------------------------------------------------------------------------


def names(notes):
    return " ".join(spelled(note.pitch) for note in notes)


def spelled(pitch):
    return f"{NAMES[pitch % 12]}{pitch // 12 - 1}"


def test_a_push_is_struck_early_and_held_over(arranged):
    notes = line(arranged("F7 / / / | >Bb7 / / / | F7 / / /"))
    (pushed,) = [note for note in notes if note.start == Fraction(7, 2)]
    assert pushed.pitch % 12 == 10
    assert pushed.start + pushed.length > Fraction(4)
    assert not [note for note in notes if note.start == 4]


def test_a_push_over_the_seam_stands_before_beat_zero(arranged):
    notes = line(arranged(">F7 / / / | Bb7 / / /"))
    assert notes[0].start == Fraction(-1, 2)
    assert notes[0].pitch % 12 == 5
    assert max(note.start + note.length for note in notes) <= Fraction(15, 2)


def test_played_from_nothing_a_first_push_is_on_its_beat(arranged):
    assert line(arranged(">F7 / / / | Bb7 / / /", loop=False))[0].start == 0


def test_a_stop_is_short_and_a_break_silent(arranged):
    notes = line(arranged("F7! / / / | Bb7 / / / | N.C. | F7 / / /"))
    assert [note.length for note in notes if note.start < 4] == [Fraction(1, 2)]
    assert not [note for note in notes if 8 <= note.start < 12]


def test_the_last_chord_is_held_on_its_bass(arranged):
    arrangement = arranged("[A]\nKey: F major\n| F6 | C7 | F6 |", loop=False)
    last = line(arrangement)[-1]
    (tail,) = arrangement.tail
    assert (last.start, last.length, last.pitch % 12) == (tail.start, tail.length, 5)


def test_a_pickup_leads_in(arranged):
    notes = line(arranged("Pickup: 1\n\n[A]\n| C7 | F7 | Bb7 | F7 |", loop=False))
    assert notes[0].start == -1
    assert notes[0].pitch % 12 == 0


def test_the_bass_stays_on_a_pedal(arranged):
    notes = line(arranged("F / / / | Gm7/F / / / | F / / / | C7 / / /"))
    under = [note.pitch % 12 for note in notes if note.start < 11]
    assert set(under) == {5}


def test_a_bar_of_one_beat_that_goes_round_breaks_what_it_must(arranged):
    """One chord on one beat can only be repeated: the rule about bar lines gives way."""
    notes = line(arranged("[A]\nMeter: 1/4\n| C7 |"))
    assert [note.pitch % 12 for note in notes] == [0]


def test_a_soloist_is_left_room(arranged):
    arrangement = arranged(BLUES, times=4)
    high, low = line(arrangement, 1, avoid=(28, 38)), line(arrangement, 1, avoid=(40, 55))
    assert mean([note.pitch for note in high]) > mean([note.pitch for note in low]) + 4
    check_all(arrangement, high)
    check_all(arrangement, low)


# --- chance ---------------------------------------------------------------------------------------


def test_same_seed_same_notes(arranged):
    arrangement = arranged(BLUES, times=2)
    assert line(arrangement, 7) == line(arrangement, 7)
    assert line(arrangement, 7) != line(arrangement, 8)


def test_every_time_round_differs(arranged):
    notes = line(arranged(BLUES, times=4), 2)
    rounds = [
        [note.pitch for note in notes if 48 * n <= note.start < 48 * (n + 1)] for n in range(4)
    ]
    for one in range(4):
        for two in range(one):
            same = sum(a == b for a, b in zip(rounds[one], rounds[two], strict=False))
            assert same < 0.7 * len(rounds[one])


def test_no_time_round_is_a_worse_one(arranged):
    """Each of sixteen choruses is another line, leads wherever it should, and goes by step."""
    arrangement = arranged(BLUES, times=16)
    notes = [note for note in line(arrangement, 2) if note.start.denominator == 1]
    rounds = [[n.pitch for n in notes if 48 * k <= n.start < 48 * (k + 1)] for k in range(16)]
    assert len(set(map(tuple, rounds))) == 16
    firsts = [int(span.start) for span in arrangement.passes[0].spans if span.new and span.start]
    for pitches in rounds:
        assert len(pitches) == 48
        assert all(pitches[n] - pitches[n - 1] in LEADS for n in firsts)
        moves = move_shares(pitches)
        assert moves.get(1, 0) + moves.get(2, 0) > 0.5
        assert max(moves) <= 12
        sung = [Sung(48 * n, 48 * n + 48, pitch) for n, pitch in enumerate(pitches)]
        assert 2 <= mean(run_lengths(sung)) <= 5


def test_neighbours_differ_in_touch(arranged):
    velocities = [note.velocity for note in line(arranged(BLUES, times=4))]
    assert len(set(velocities)) > 10
    quiet = line(arranged(BLUES, times=4, loop=False))
    assert mean([n.velocity for n in quiet[:40]]) < mean([n.velocity for n in quiet[-40:]])


# --- a thousand bars ------------------------------------------------------------------------------

CHORUSES = (
    BLUES,
    "Cmaj7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Gm7 C7 | Fmaj7 Fm7 | Em7 A7 | Dm7 G7",
    "Am7 | D7 | Gmaj7 | Cmaj7 | F#m7b5 | B7b9 | Em7 | / / / /",
    "Ebmaj7 | Fm7 Bb7 | Gm7 | C7alt | Fm7 | Abm7 Db7 | Ebmaj7 Cm7 | Fm7 Bb7",
    "Dm7 | / / / / | / / / / | / / / / | Ebm7 | / / / / | Dm7 | / / / /",
)


@pytest.fixture(scope="module")
def thousand(arranged):
    """At least a thousand bars of 4/4, each as (span, beat in the bar from 0, pitch)."""
    bars = []
    for number, text in enumerate(CHORUSES):
        arrangement = arranged(text, times=-(-200 // text.count("|")))
        spans = arrangement.spans
        starts = [span.start for span in spans]
        for note in line(arrangement, number):
            if note.start.denominator == 1:
                span = spans[bisect_right(starts, note.start) - 1]
                bars.append((span, int(note.start - span.bar_start), note.pitch))
    assert len(bars) >= 4000
    return bars


def show(*rows):
    """Print a table, to be read with ``pytest -s``."""
    for first, *rest in rows:
        print(f"\n{first:20s}", "  ".join(rest), end="")  # noqa: T201 (made to be read)


def shares(bars, belongs):
    """For each beat of the bar, the share of notes that belong."""
    beats = [[belongs(span, pitch) for span, beat, pitch in bars if beat == n] for n in range(4)]
    return [mean(beat) for beat in beats]


def is_root(span, pitch):
    return pitch % 12 == span.chord.root.pitch_class


def is_chord_tone(span, pitch):
    root = span.chord.root.pitch_class
    return pitch % 12 in {(root + degree.semitones) % 12 for degree in span.chord.essential}


def move_shares(pitches):
    moves = Counter(abs(one - two) for one, two in pairwise(pitches))
    return {distance: count / moves.total() for distance, count in sorted(moves.items())}


def test_a_thousand_bars_are_ordered_as_published(thousand):
    """Roots 1 > 3 > 2 and 4, chord tones 1 > 3 > 2 > 4, semitones and tones the commonest moves.

    Orderings: beat-wise bass of the Weimar Jazz Database. Where these bars go further than people
    do, a rule does it: a new chord always has its bass note on its first beat, so that nearly every
    bar here (most have a chord or two of their own) begins on a root; the beat before leads by a
    semitone, a tone or the fifth, so that semitones are commoner still and few tones of the chord
    stand on four; and no pitch comes again at once.
    """
    roots, tones = shares(thousand, is_root), shares(thousand, is_chord_tone)
    moves = move_shares([pitch for _, _, pitch in thousand])
    show(
        ["roots by beat", *(f"{share:.0%}" for share in roots)],
        ["chord tones by beat", *(f"{share:.0%}" for share in tones)],
        ["moves", *(f"{distance}: {share:.1%}" for distance, share in moves.items())],
    )
    assert roots[0] > roots[2] > max(roots[1], roots[3])
    assert tones[0] > tones[2] > tones[1] > tones[3]
    assert sorted(moves, key=moves.get)[-2:] == [2, 1]


def test_the_line_lives_in_the_middle_of_its_range(thousand):
    pitches = sorted(pitch for _, _, pitch in thousand)
    assert 36 <= mean(pitches) <= 44
    assert pitches[len(pitches) // 50] >= 29
    assert pitches[-len(pitches) // 50] <= 51
    assert len(set(pitches)) >= 20


# --- against chance and a plain arpeggio ----------------------------------------------------------


def plain_arpeggio(arrangement):
    """Root, third, fifth, root in the lowest place, over each chord."""
    for span in arrangement.spans:
        degrees = [0, *(d.semitones for d in span.chord.degrees if d.number in (3, 5)), 0]
        low = 28 + (span.chord.lowest.pitch_class - 28) % 12
        for beat in range(int(span.length)):
            yield low + degrees[beat % len(degrees)]


def by_chance(arrangement):
    rng = random.Random(0)
    for span in arrangement.spans:
        tones = [p for p in range(28, 56) if p % 12 in span.scale.pitch_classes]
        yield from (rng.choice(tones) for _ in range(int(span.length)))


def judged(arrangement, pitches):
    """Figures of a line of one note a beat: leads, steps, notes repeated over bars, bars again."""
    firsts = [int(s.start) for s in arrangement.spans if s.new and s.start > 0]
    bars = [tuple(p % 12 for p in pitches[n : n + 4]) for n in range(0, len(pitches), 4)]
    moves = move_shares(pitches)
    return {
        "leads": mean([pitches[n] - pitches[n - 1] in LEADS for n in firsts]),
        "steps": moves.get(1, 0) + moves.get(2, 0),
        "over bars": mean([pitches[n] == pitches[n - 1] for n in range(4, len(pitches), 4)]),
        "bars again": 1 - len(set(bars)) / len(bars),
    }


def test_better_than_chance_and_than_a_plain_arpeggio(arranged):
    arrangement = arranged(BLUES, times=8)
    ours = [note.pitch for note in line(arrangement, 3) if note.start.denominator == 1]
    table = {
        "walking": judged(arrangement, ours),
        "plain arpeggio": judged(arrangement, [*plain_arpeggio(arrangement)]),
        "chance": judged(arrangement, [*by_chance(arrangement)]),
    }
    show(
        *(
            [name, *(f"{figure} {share:.0%}" for figure, share in figures.items())]
            for name, figures in table.items()
        )
    )
    walking = table.pop("walking")
    assert walking["leads"] == 1
    assert walking["over bars"] == 0
    for other in table.values():
        assert walking["leads"] > other["leads"] + 0.3
        assert walking["steps"] > other["steps"] + 0.3
    assert walking["bars again"] < table["plain arpeggio"]["bars again"] / 2


# --- a blues to read ------------------------------------------------------------------------------


def page():
    """Two choruses of blues, a bar a line: the chords, then the notes, ornaments in brackets."""
    arrangement = arrange(Take(parse(f"[A]\n| {BLUES} |\n", "blues").chart, times=2))
    notes = line(arrangement, 1)
    for start, group in groupby(arrangement.spans, key=lambda span: span.bar_start):
        spans = [*group]
        inside = [n for n in notes if start <= n.start < start + spans[0].meter.length]
        bar = " ".join(
            spelled(n.pitch) if n.start.denominator == 1 else f"({spelled(n.pitch)})"
            for n in inside
        )
        yield f"{' '.join(write_symbol(span.chord) for span in spans):12s} {bar}\n"


def test_a_blues_to_read():
    assert "".join(page()) == GOLDEN.read_text(encoding="utf-8")


if __name__ == "__main__":
    GOLDEN.parent.mkdir(parents=True, exist_ok=True)
    GOLDEN.write_text("".join(page()), encoding="utf-8")
