"""The chord player against rules read off its notes, over drawn changes, tunes, keys and seeds.

``PYTHONPATH=tests python tests/band/test_comping.py`` writes the golden anew; read the difference
before keeping it.
The rules are common practice, no source, where none is named.
"""

import random
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from comping_rules import (
    EIGHTH,
    OSTINATO,
    all_spans,
    check_all,
    check_chords,
    check_every_chord_is_struck,
    check_lengths,
    check_pushes_and_stops,
    check_silence,
    chord_at,
    comp,
    early,
    hits,
    rhythms,
    voice_movement,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.arrange import arrange
from chartkit.band.comping import play, register
from chartkit.feel.cell import cells
from chartkit.guitar.shape import shapes
from chartkit.reader import parse, read
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.theory.symbol import write_symbol
from chartkit.theory.voicing import movement

HERE = Path(__file__).parent
GOLDEN = HERE.parent / "golden" / "comping" / "blues.txt"
CHARTS = sorted((HERE.parents[1] / "charts").glob("*.chart"))

many = settings(derandomize=True, max_examples=200, deadline=None)

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")

BLUES = """
Key: F
[A]
F7 | Bb7 | F7 | Cm7 F7 |
Bb7 | Bo7 | F7 | D7b9 |
Gm7 | C7 | F7 D7 | Gm7 C7 |
"""
TUNE = """
Key: C
[A]
C6 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Gm7 C7 | F6 Fm6 | C6 A7 | Dm7 G7 |
[B]
E7 | % | A7 | % | D7 | % | G7 | G7b9 |
[C]
C6 Am7 | Dm7 G7 | Em7b5 A7b9 | Dm7 G7 | C9 | F6 Bb9#11 | Em7 A7alt | Dm7 G13 |
"""
MINOR = """
Key: Gm
[A]
Am7b5 | D7b9 | Gm6 | % | Cm7 | F7 | Bbmaj7 | Ebmaj7 |
Am7b5 | D7alt | Gm(maj7) Gm7 | Gm6 Em7b5 | Cm7 Am7b5 | D7b9 | Gm7 | >D7#5 |
"""
MODAL = "Key: Dm\n[A]\nDm7 | % | % | % | Ebm7 | % | Dm7 | % |\n"
HITS = """
Key: Cm
[A]
Cm7! | N.C. | Fm7 | >Bb7 | Ebmaj7 | Abmaj7! / / G7 | Cm7 >F7 | >Bb7! |
Fm7 / Bb7 / | Eb/G Gbo7 Fm7 E7#11 | Ebmaj7 | >Cm7 |
"""
PICKUP = """
Key: F
Pickup: 1
[A]
C7 | F6 | >Gm7 / C7 / | {2/4} Am7 D7 | {4/4} Gm7! | N.C. | {3/4} Bb6 | F6 |
"""
TUNES = {
    "blues": BLUES,
    "tune": TUNE,
    "minor": MINOR,
    "modal": MODAL,
    "hits": HITS,
    "pickup": PICKUP,
}


@cache
def arrangement(text, **asked):
    reading = parse(text, "test")
    assert reading.chart, reading.faults
    return arrange(Take(reading.chart, **asked))


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("name", TUNES)
def test_a_loop_keeps_every_rule(name, seed):
    arranged = arrangement(TUNES[name], times=2)
    played = comp(arranged, seed)
    check_all(arranged, played)
    assert voice_movement(played, around=True) <= 2.5


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("name", TUNES)
def test_a_play_along_keeps_every_rule(name, seed):
    arranged = arrangement(TUNES[name], times=3, loop=False)
    played = comp(arranged, seed)
    check_all(arranged, played)
    assert voice_movement(played, around=False) <= 2.5


@pytest.mark.parametrize("root", range(12))
def test_every_key_keeps_every_rule(root):
    for text in TUNES.values():
        mode = "minor" if "m\n" in text else "major"
        arranged = arrangement(text, key=Key.written(root, mode))
        played = comp(arranged, root)
        check_all(arranged, played)
        assert voice_movement(played, around=True) <= 2.5


@pytest.mark.parametrize("path", CHARTS, ids=lambda path: path.stem)
def test_the_demo_charts_keep_every_rule(path):
    chart = read(str(path))
    for seed, loop in enumerate((True, False)):
        arranged = arrange(Take(chart, loop=loop, times=2))
        played = comp(arranged, seed)
        check_all(arranged, played)
        assert voice_movement(played, around=loop) <= 2.5


def test_every_feel_keeps_every_rule(case):
    arranged = arrange(case.take)
    played = comp(arranged, case.seed)
    check_all(arranged, played)
    assert voice_movement(played, around=case.loop) <= 2.5


@pytest.mark.sweep
def test_every_feel_and_key_keeps_every_rule(all_cases):
    for one in all_cases:
        arranged = arrange(one.take)
        check_all(arranged, comp(arranged, one.seed))


def test_long_plain_chords(case):
    """Each chord is struck where it comes, once a bar at most, and held until the next."""
    arranged = arrange(replace(case.take, long_chords=True))
    played = comp(arranged, case.seed)
    check_chords(arranged, played)
    check_lengths(arranged, played)
    check_silence(arranged, played)
    check_every_chord_is_struck(arranged, played)
    check_pushes_and_stops(arranged, played)
    spans = all_spans(arranged)
    written = {span.start for span in spans} | {early(span) for span in spans}
    assert {hit.start for hit in played} <= written
    stops = {a.start for one in arranged.passes for a in one.accents if a.kind == "stop"}
    for hit, after in pairwise(played):
        own = chord_at(arranged, hit.start)
        until = min(after.start, early(next(s for s in spans if s.start > own.start)))
        assert hit.start in stops or hit.start < 0 or until - hit.end <= Fraction(1, 8)


@pytest.mark.parametrize("feel", ["bossa nova", "samba", "swing", "straight eighths"])
def test_a_feel_of_one_rhythm_keeps_to_it(feel):
    """Most bars of a bossa or samba say what the bar two bars before them says; others do not."""
    arranged = arrangement(BLUES, feel=feel)
    same = []
    for seed in range(20):
        bars = [onsets for _, onsets, _ in rhythms(arranged, comp(arranged, seed))]
        same += [one == two for one, two in zip(bars, bars[2:], strict=False)]
    share = sum(same) / len(same)
    assert share > 0.6 if feel in OSTINATO else share < 0.3, share


symbols = st.builds(
    str.__add__,
    st.sampled_from(ROOTS),
    st.sampled_from(
        [
            line.split()[0][1:]
            for line in (HERE.parent / "theory" / "qualities.txt").read_text().splitlines()
            if line.startswith("C")
        ]
    ),
)


@st.composite
def bars(draw, beats):
    """A bar as it is written, of chords that last a beat or more, pushes, stops and breaks."""
    changes = draw(st.sets(st.integers(1, beats - 1), max_size=3)) if beats > 1 else set()
    cells = []
    for beat in range(beats):
        if beat and beat not in changes:
            cells.append("/")
        elif draw(st.integers(0, 11)) == 0:
            cells.append("N.C.")
        else:
            push, stop = (
                draw(st.sampled_from(["", "", "", ">"])),
                draw(st.sampled_from(["", "", "", "", "!"])),
            )
            cells.append(push + draw(symbols) + stop)
    return " ".join(cells)


@st.composite
def charts(draw):
    beats = draw(st.sampled_from([4, 4, 4, 4, 1, 2, 3, 5, 6, 7]))
    rows = draw(st.lists(bars(beats), min_size=1, max_size=12))
    return f"Key: C\nMeter: {beats}/4\n[A]\n" + "".join(f"| {row} |\n" for row in rows)


@many
@given(charts(), st.integers(0, 1000), st.booleans(), st.integers(1, 2))
def test_any_changes_keep_every_rule(text, seed, loop, times):
    arranged = arrangement(text, loop=loop, times=times)
    played = comp(arranged, seed)
    if any(span.chord for span in all_spans(arranged)):
        check_all(arranged, played)
    else:
        assert played == []


def test_the_same_seed_plays_the_same_and_another_does_not():
    arranged = arrangement(BLUES)
    assert comp(arranged, 1) == comp(arranged, 1)
    assert len({tuple(comp(arranged, seed)) for seed in range(20)}) == 20


def test_times_round_differ():
    played = comp(arrangement(BLUES, times=4))
    rounds = [
        tuple(
            (hit.start % 48, hit.pitches) for hit in played if number <= hit.start / 48 < number + 1
        )
        for number in range(4)
    ]
    assert len(set(rounds)) == 4


def test_a_push_takes_its_chord_an_eighth_early_and_a_bars_last_eighth_the_next_one():
    arranged = arrangement("Key: C\n[A]\nCmaj7 | >F#m7 | B7 | Emaj7 |\n")
    f_sharp_minor, after = {6, 9, 1, 4, 8, 11}, set()
    for seed in range(40):
        for hit in comp(arranged, seed):
            if hit.start == Fraction(7, 2):
                assert {pitch % 12 for pitch in hit.pitches} <= f_sharp_minor
            if hit.start == Fraction(15, 2):
                after |= {pitch % 12 for pitch in hit.pitches}
    assert {3, 9} <= after  # third and seventh of B7
    assert 4 not in after  # the seventh of F#m7


def test_a_push_over_the_seam_is_written_once_before_zero():
    arranged = arrangement("Key: C\n[A]\n>Cmaj7 | Dm7 | G7 | Am7 |\n", times=2)
    for seed in range(10):
        played = comp(arranged, seed)
        assert played[0].start == -EIGHTH
        assert not [hit for hit in played if hit.start in (0, 16, 31.5)]
        assert 15.5 in [hit.start for hit in played]


def test_played_from_nothing_the_first_chord_is_on_its_beat():
    arranged = arrangement("Key: C\n[A]\n>Cmaj7 | Dm7 | G7 | Cmaj7 |\n", loop=False)
    assert {comp(arranged, seed)[0].start for seed in range(20)} == {0}


@pytest.mark.parametrize("name", TUNES)
def test_a_guitar_has_a_shape_for_every_chord(name):
    track = play(arrangement(TUNES[name]), None, random.Random(1))
    assert track.program == 26  # General MIDI: electric guitar (jazz), counted from 0
    assert all(shapes(hit.pitches) for hit in hits(track))


@pytest.mark.parametrize("name", TUNES)
def test_the_end_is_held_with_a_full_voicing(name):
    arranged = arrangement(TUNES[name], loop=False)
    last = comp(arranged)[-1]
    (tail,) = arranged.tail
    assert last.start == early(tail)
    assert tail.start + tail.length - last.end <= Fraction(1, 8)
    assert len(last.pitches) == 4


def test_the_loop_closes_as_smoothly_as_it_goes():
    # Twice round: the way from the last chord to the first, over the seam and in the middle.
    arranged = arrangement(BLUES, times=2)
    seam = middle = 0
    for seed in range(40):
        played = comp(arranged, seed)
        place = next(n for n, hit in enumerate(played) if hit.start >= Fraction(95, 2) - EIGHTH)
        chords = [hit.pitches for hit in played]
        seam += movement(chords[-1], chords[0])
        middle += movement(chords[place - 1], chords[place])
    assert seam <= 1.25 * middle


def test_phrases_breathe():
    # Of the bars, some are lightly played, and none of the others are crowded.
    counts = [
        len(onsets)
        for seed in range(20)
        for _, onsets, _ in rhythms(arrangement(MODAL), comp(arrangement(MODAL), seed))
    ]
    light = sum(count <= 1 for count in counts) / len(counts)
    assert 0.2 <= light <= 0.6
    assert max(counts) <= 5
    assert 1.5 <= sum(counts) / len(counts) <= 2.5


def test_the_top_voice_sings():
    # Mostly steps, no leap beyond a fourth, within an octave and a half, away from the rims.
    for name in ("blues", "tune", "minor"):
        tops = [
            hit.pitches[-1] for seed in range(10) for hit in comp(arrangement(TUNES[name]), seed)
        ]
        steps = [abs(a - b) for a, b in pairwise(tops)]
        assert sum(step <= 2 for step in steps) / len(steps) > 0.85
        assert max(tops) - min(tops) <= 14
        assert sum(55 <= top <= 71 for top in tops) / len(tops) > 0.95


def at(arranged, intensity):
    passes = tuple(replace(one, intensity=intensity) for one in arranged.passes)
    return replace(arranged, passes=passes)


def test_the_music_grows_with_its_intensity():
    arranged = arrangement(TUNE, loop=False)

    def at(intensity):
        passes = tuple(replace(one, intensity=intensity) for one in arranged.passes)
        return [hit for seed in range(10) for hit in comp(replace(arranged, passes=passes), seed)]

    quiet, full = at(0.0), at(1.0)
    assert len(full) > 1.2 * len(quiet)
    assert max(v for hit in quiet for v in hit.velocities) < 75
    assert min(v for hit in full for v in hit.velocities) > 65


@pytest.mark.parametrize(
    ("avoid", "expected"), [(None, (48, 72)), ((67, 90), (48, 66)), ((36, 55), (56, 79))]
)
def test_the_register_leaves_room_for_someone_else(avoid, expected):
    assert register(avoid) == expected


@given(st.integers(30, 90), st.integers(0, 40))
@settings(derandomize=True, max_examples=20, deadline=None)
def test_any_register_can_be_played_in(low, width):
    arranged = arrangement(TUNE)
    bottom, top = register((low, low + width))
    for hit in comp(arranged, avoid=(low, low + width)):
        assert bottom <= hit.pitches[0] < hit.pitches[-1] <= top


def test_every_figure_is_heard():
    # Over one chord bars are played as the file has them.
    arranged = arrangement("Key: C\n[A]\n" + "Dm7 | % | % | % |\n" * 8, times=4)
    heard = {
        onsets
        for intensity in (0.0, 1.0, 1.0)
        for seed in range(4)
        for _, onsets, _ in rhythms(arranged, comp(at(arranged, intensity), seed))
    }
    for cell in cells("swing", (4,)) + cells("swing", (4, 4)):
        for strokes in cell.strokes:
            assert tuple(stroke.start for stroke in strokes) in heard


def naive(arranged):
    """Root, third, fifth and seventh in close root position, the root in one octave."""
    chords = []
    for span in arranged.spans:
        if span.chord is not None:
            root = 48 + span.chord.root.pitch_class
            own = [degree.semitones % 12 for degree in span.chord.degrees]
            chords.append(tuple(sorted({root + tone for tone in own[:4]})))
    return chords


def test_the_voices_move_far_less_than_in_fixed_root_positions(capsys):
    rows = []
    for name, text in TUNES.items():
        arranged = arrangement(text)
        ours = [total_movement([hit.pitches for hit in comp(arranged, seed)]) for seed in range(5)]
        rows.append((name, total_movement(naive(arranged)), sum(ours) / len(ours)))
    table = [f"{name:9s} {fixed:12d} {ours:24.1f}" for name, fixed, ours in rows]
    with capsys.disabled():
        print(  # noqa: T201 (the figures are for reading)
            "\nSemitones that all voices move in one time round",
            "tune      fixed root positions   comping (mean of 5 seeds)",
            *table,
            sep="\n",
        )
    # Over one chord the fixed position stays where it is, and a player moves about.
    assert all(ours < 0.5 * fixed for name, fixed, ours in rows if name != "modal")


def total_movement(chords):
    return sum(movement(a, b) for a, b in pairwise(chords))


def spell(pitch):
    return f"{ROOTS[pitch % 12]}{pitch // 12 - 1}"


def written(arranged, played):
    """A bar a line: its chords, its rhythm in eighths, and the notes of each strike."""
    bars = {}
    for span in arranged.spans:
        bars.setdefault(span.bar_start, []).append(span)
    for start, spans in bars.items():
        end = spans[-1].start + spans[-1].length
        own = [hit for hit in played if start <= hit.start < end]
        grid = ["."] * int(2 * (end - start))
        for hit in own:
            held = int(2 * (hit.end - hit.start) + EIGHTH)
            place = int(2 * (hit.start - start))
            for number in range(max(1, min(held, len(grid) - place))):
                grid[place + number] = "-" if number else "x"
        symbols = " ".join(write_symbol(span.chord) for span in spans)
        rhythm = " ".join("".join(grid[beat : beat + 2]) for beat in range(0, len(grid), 2))
        notes = "   ".join(
            f"{' '.join(map(spell, hit.pitches))} ({max(hit.velocities)})" for hit in own
        )
        yield f"{symbols:10s} {rhythm}   {notes}".rstrip() + "\n"


def golden():
    arranged = arrangement(BLUES, times=2)
    return "".join(written(arranged, comp(arranged, 1)))


def test_golden_blues():
    assert golden() == GOLDEN.read_text()


if __name__ == "__main__":
    GOLDEN.parent.mkdir(parents=True, exist_ok=True)
    GOLDEN.write_text(golden())
