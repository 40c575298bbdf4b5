"""Swing and human timing, measured in what comes out.

The bands of the ride are the published figures: Friberg & Sundström 2002, Music Perception 19(3)
(ratio about linear in tempo, 3.5 at most; the short note near 100 ms from medium tempo up), and
Cheston et al. 2024, TISMIR (drums about 2.2 at 120-190, 1.9 at 190-220, 1.5 at 250-300; short note
133 ms falling to 86 ms; chords 1.3-1.5). Lines: Corcoran & Frieler 2021, Music Perception 38(4),
about 1.3. The bounds of human timing are common practice, no source.
"""

import random
import statistics
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit import band
from chartkit.arrange import arrange
from chartkit.reader import parse
from chartkit.swing import ratio, swung, swung_end
from chartkit.take import Take
from chartkit.timing import perform
from chartkit.track import GRID, Note, Track

HALF = Fraction(1, 2)
PARTS = ("drums", "bass", "chords", "line")
TEMPOS = (60, 80, 100, 120, 130, 140, 160, 190, 205, 220, 250, 275, 290, 300)

BLUES = parse(
    "Key: F\n[A]\n| F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bo7 | F7 | D7 | Gm7 | C7 | F7 | C7 |", "blues"
).chart


@cache
def music(tempo=140, text=None, **wanted):
    chart = parse(text, "test").chart if text else BLUES
    return arrange(Take(chart, tempo=Fraction(tempo), **wanted))


def line(part, starts, length=HALF, pitch=60):
    return Track(part, 0, tuple(Note(Fraction(at), length, pitch, 80) for at in starts))


def eighths(part, beats):
    return line(part, [at * HALF for at in range(2 * beats)])


def performed(arrangement, *tracks, seed=1):
    return perform(arrangement, tracks, seed).tracks


def measured(part, tempo):
    """Mean long-short ratio of a part's eighths, and the mean short note in milliseconds."""
    arrangement = music(tempo, times=6)
    (track,) = performed(arrangement, eighths(part, 288))
    starts = [note.start for note in track.notes]
    longs = [float(b - a) for a, b in pairwise(starts)][::2]
    shorts = [float(b - a) for a, b in pairwise(starts)][1::2]
    short = statistics.mean(shorts)
    return statistics.mean(longs) / short, short * 60_000 / tempo


# ---- Swing ----------------------------------------------------------------------------------


@pytest.mark.parametrize("tempo", TEMPOS)
def test_the_ride_swings_as_published(tempo):
    long_short, short = measured("drums", tempo)
    assert 1 <= long_short <= 3.5
    if 120 <= tempo <= 190:
        assert 1.9 <= long_short <= 2.8
    if 190 <= tempo <= 250:
        assert 1.4 <= long_short <= 2.4
    if tempo >= 250:
        assert 1.1 <= long_short <= 1.9
    if 140 <= tempo <= 290:
        assert 85 <= short <= 135
    if 120 <= tempo < 140:
        assert 85 <= short <= 160


@pytest.mark.parametrize(
    ("tempos", "mean"), [((120, 190), 2.2), ((190, 220), 1.9), ((250, 300), 1.5)]
)
def test_the_ride_is_near_the_mean_of_each_band_of_tempos(tempos, mean):
    ratios = [ratio("drums", Fraction(tempo)) for tempo in range(*tempos)]
    assert abs(statistics.mean(ratios) - mean) < 0.15


def test_the_ratio_falls_as_the_tempo_rises():
    for part in ("drums", "bass", "chords"):
        ratios = [ratio(part, Fraction(tempo)) for tempo in range(30, 401)]
        assert all(one >= two for one, two in pairwise(ratios))
    assert all(
        ratio("drums", Fraction(one)) > ratio("drums", Fraction(two))
        for one, two in pairwise(range(60, 401, 5))
    )


@pytest.mark.parametrize("tempo", range(60, 301, 10))
def test_bass_is_near_the_ride_and_chords_and_line_are_straighter(tempo):
    ride, bass, chords, solo = (float(ratio(part, Fraction(tempo))) for part in PARTS)
    assert 0.9 * ride <= bass <= ride
    assert 1.3 <= chords <= 1.5
    assert 1.2 <= solo <= 1.35
    assert max(chords, solo) < bass


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("tempo", [60, 140, 220, 300])
def test_what_is_measured_is_what_was_meant(part, tempo):
    assert measured(part, tempo)[0] == pytest.approx(float(ratio(part, Fraction(tempo))), rel=0.04)


BANDS = {
    "drums": (
        (60, 120, 1.9, 3.5),
        (120, 190, 1.9, 2.8),
        (190, 250, 1.4, 2.4),
        (250, 300, 1.1, 1.9),
    ),
    "bass": ((60, 120, 1.9, 3.5), (120, 190, 1.8, 2.8), (190, 250, 1.4, 2.4), (250, 300, 1.1, 1.9)),
    "chords": ((60, 300, 1.25, 1.55),),
}
"""Tempos from and to, ratios from and to; the chords' with room for the chance of few notes."""


@pytest.mark.parametrize("tempo", [60, 100, 140, 190, 220, 260, 300])
def test_the_band_swings_as_published(tempo):
    arrangement = music(tempo, times=4)
    written = band.play(arrangement, tuple(BANDS), 1)
    for straight_track, track in zip(written, performed(arrangement, *written), strict=True):
        pairs = [
            (off, note)
            for off, note in zip(in_order(straight_track), track.notes, strict=True)
            if off.start % 1 == HALF
        ]
        assert all(off.pitch == note.pitch for off, note in pairs)
        if track.part == "bass" and len(pairs) < 20:
            continue  # walking, it plays few off-beats
        assert len(pairs) >= 20
        place = statistics.mean(float(note.start - off.start + HALF) for off, note in pairs)
        for slow, fast, low, high in BANDS[track.part]:
            if slow <= tempo <= fast:
                assert low <= place / (1 - place) <= high, track.part


def in_order(track):
    return sorted(set(track.notes), key=lambda note: (note.start, note.pitch))


@pytest.mark.parametrize(
    ("at", "place"),
    [
        (0, 0),
        (Fraction(1, 2), Fraction(2, 3)),
        (Fraction(1, 4), Fraction(1, 3)),
        (Fraction(3, 4), Fraction(5, 6)),
        (Fraction(1, 3), Fraction(1, 3)),
        (Fraction(2, 3), Fraction(2, 3)),
        (Fraction(13, 2), Fraction(20, 3)),
        (Fraction(-1, 2), Fraction(-1, 3)),
    ],
)
def test_where_a_ratio_of_two_puts_a_note(at, place):
    assert swung(Fraction(at), Fraction(2)) == place


@given(
    st.fractions(-4, 8, max_denominator=48),
    st.fractions(Fraction(1, 48), 4, max_denominator=48),
    st.fractions(1, Fraction(7, 2), max_denominator=20),
)
@settings(derandomize=True, max_examples=200, deadline=None)
def test_a_swung_note_keeps_a_length(start, length, long_short):
    assert swung_end(start, start + length, long_short) > swung(start, long_short)


def test_eighths_stay_joined_and_triplets_are_left_alone():
    assert swung_end(Fraction(0), HALF, Fraction(2)) == swung(HALF, Fraction(2))
    third = Fraction(1, 3)
    assert swung_end(Fraction(0), third, Fraction(3)) == third


def straight(arrangement, first, last):
    """The arrangement with a feel that does not swing from one beat to another."""
    (one,) = arrangement.passes
    spans = tuple(
        replace(span, feel="straight eighths") if first <= span.start < last else span
        for span in one.spans
    )
    return replace(arrangement, passes=(replace(one, spans=spans),))


def test_only_feels_that_swing_are_swung():
    mixed = straight(music(text="Key: C\n[A]\n| C | F |\n[B]\n| G7 | C |"), 8, 16)
    (track,) = performed(mixed, eighths("drums", 16))
    off = [float(note.start % 1) for note in track.notes[1::2]]
    assert min(off[:8]) > 0.65
    assert max(off[8:]) < 0.55


def test_a_push_over_the_seam_swings_with_the_feel_at_the_loops_end():
    music_of_two = music(text="Key: C\n[A]\n| >C | F |")
    for first, swings in ((0, True), (4, False)):
        mixed = straight(music_of_two, first, first + 4)
        (track,) = performed(mixed, line("drums", [-HALF, 1]))
        assert (-0.4 < track.notes[0].start < -0.2) == swings


# ---- Human timing -----------------------------------------------------------------------------


def moves(part, tempo, *, seed=1):
    """Milliseconds by which quarters are moved, bar after bar, those on beat zero left out."""
    arrangement = music(tempo, times=20)
    beats = 960
    (track,) = performed(arrangement, line(part, range(beats)), seed=seed)
    return [float(note.start - at) * 60_000 / tempo for at, note in enumerate(track.notes) if at]


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("tempo", [30, 60, 140, 300])
def test_onsets_are_moved_a_little_and_never_far(part, tempo):
    found = moves(part, tempo)
    assert 1 < statistics.stdev(found) <= 8
    assert max(map(abs, found)) <= 20


@pytest.mark.parametrize("part", PARTS)
def test_bar_lines_stay_on_the_grid(part):
    found = moves(part, 140)
    for quarter in range(4):
        stretch = found[240 * quarter : 240 * (quarter + 1)]
        assert abs(statistics.mean(stretch)) < 2
    downbeats = found[3::4]
    assert abs(statistics.mean(downbeats)) < 2


def test_a_move_says_nothing_of_the_next():
    found = moves("bass", 140)
    mean = statistics.mean(found)
    following = sum((a - mean) * (b - mean) for a, b in pairwise(found))
    assert abs(following / sum((a - mean) ** 2 for a in found)) < 0.1


def test_chance_is_seeded_part_by_part():
    arrangement = music()
    bass, drums = line("bass", range(48)), line("drums", range(48))
    both = performed(arrangement, bass, drums)
    assert both == performed(arrangement, bass, drums)
    assert both[1:] == performed(arrangement, drums)
    assert both != performed(arrangement, bass, drums, seed=2)


def correlation(one, two):
    products = [a * b for a, b in zip(one, two, strict=True)]
    return statistics.mean(products) / (statistics.pstdev(one) * statistics.pstdev(two))


def test_parts_move_independently():
    assert abs(correlation(moves("bass", 140), moves("chords", 140))) < 0.1
    assert abs(correlation(moves("bass", 140), moves("bass", 140, seed=2))) < 0.1


@pytest.mark.parametrize("part", PARTS)
def test_the_order_of_quick_notes_is_kept(part):
    arrangement = music(400)
    (track,) = performed(arrangement, line(part, [Fraction(at, 8) for at in range(384)]))
    assert len(track.notes) == 384
    assert all(one.start < two.start for one, two in pairwise(track.notes))


@pytest.mark.parametrize("seed", range(20))
def test_no_note_crosses_beat_zero(seed):
    lead_in = music(400, text="Key: C\nPickup: 1\n[A]\n| G7 | C | F | C |", loop=False)
    for start in (Fraction(-1, 32), Fraction(0), Fraction(1, 32)):
        (track,) = performed(lead_in, line("chords", [start], Fraction(1, 32)), seed=seed)
        assert (track.notes[0].start < 0) == (start < 0)


@pytest.mark.parametrize("seed", range(20))
def test_what_ends_before_the_push_over_the_seam_still_does(seed):
    notes = (Note(-HALF, Fraction(1), 60, 80), Note(Fraction(46), Fraction(3, 2), 61, 80))
    (track,) = performed(music(), Track("bass", 32, notes), seed=seed)
    push, last = track.notes
    assert last.end <= 48 + push.start


@pytest.mark.parametrize("seed", range(20))
def test_a_push_over_the_seam_ends_before_what_comes_after_it_there(seed):
    notes = (
        Note(-HALF, Fraction(1, 4), 60, 80),
        Note(Fraction(191, 4), Fraction(1, 4), 61, 80),
    )
    (track,) = performed(music(300), Track("chords", 0, notes), seed=seed)
    push, last = track.notes
    assert 48 + push.end <= last.start


def test_a_chord_is_struck_together():
    notes = tuple(Note(Fraction(at), HALF, pitch, 80) for at in range(8) for pitch in (55, 59, 62))
    (track,) = performed(music(), Track("chords", 0, notes))
    assert [len({n.start for n in track.notes[i : i + 3]}) for i in range(0, 24, 3)] == [1] * 8


def test_clicks_are_a_machine():
    (track,) = performed(music(count_in=2), line("click", [-8, -6, -4, -3, -2, -1]))
    assert [note.start for note in track.notes] == [-8, -6, -4, -3, -2, -1]


def test_a_count_in_is_no_part_of_a_short_loop():
    short = music(text="Key: C\n[A]\n| C |", count_in=2)
    (track,) = performed(short, line("click", [-8, -6, -4, -3, -2, -1], Fraction(1, 4), 76))
    assert [(note.start, note.length) for note in track.notes] == [
        (at, Fraction(1, 4)) for at in (-8, -6, -4, -3, -2, -1)
    ]


# ---- What always holds --------------------------------------------------------------------------

places = st.one_of(
    st.fractions(0, Fraction(767, 16), max_denominator=16),
    st.fractions(0, Fraction(143, 3), max_denominator=3),
)
drawn_notes = st.lists(
    st.builds(
        Note,
        places,
        st.fractions(Fraction(1, 16), 4, max_denominator=16),
        st.integers(50, 53),
        st.integers(1, 127),
    ),
    min_size=1,
    max_size=30,
).map(lambda notes: tuple(n for n in notes if n.end <= 48))


def neighbours(notes, *, loop):
    ordered = sorted(notes, key=lambda note: (note.start, note.pitch))
    yield from pairwise([*ordered, ordered[0]] if loop and len(ordered) > 2 else ordered)


@given(drawn_notes, st.booleans(), st.booleans(), st.sampled_from((30, 140, 400)))
@settings(derandomize=True, max_examples=200, deadline=None)
def test_whatever_is_played(notes, loop, over_the_seam, tempo):
    arrangement = music(tempo, loop=loop)
    length = 48 if loop else perform(arrangement, (), 0).length
    if loop and over_the_seam:
        notes += (Note(-HALF, Fraction(2), 51, 90),)
    (track,) = performed(arrangement, Track("drums", 0, notes))
    assert all((note.start * GRID).denominator == 1 for note in track.notes)
    assert all((note.length * GRID).denominator == 1 for note in track.notes)
    assert all(note.length > 0 and note.end <= length for note in track.notes)
    assert [note.start < 0 for note in sorted(track.notes)].count(True) == (loop and over_the_seam)
    assert all(one.velocity != two.velocity for one, two in neighbours(track.notes, loop=loop))
    for pitch in {note.pitch for note in track.notes}:
        own = [note for note in track.notes if note.pitch == pitch]
        assert all(one.velocity != two.velocity for one, two in neighbours(own, loop=loop))
        again = [replace(n, start=n.start + length) for n in own if loop]
        assert all(one.end <= two.start for one, two in pairwise(sorted([*own, *again])))


@given(st.lists(st.integers(1, 6), min_size=2, max_size=40), st.integers(0, 3))
@settings(derandomize=True, max_examples=100, deadline=None)
def test_a_single_line_stays_single(steps, seed):
    ends = [Fraction(sum(steps[: i + 1]), 4) for i in range(len(steps))]
    starts = [Fraction(0), *ends[:-1]]
    chance = random.Random(seed)
    notes = tuple(
        Note(start, end - start, chance.randrange(40, 55), 80)
        for start, end in zip(starts, ends, strict=True)
        if end <= 48
    )
    (track,) = performed(music(300), Track("bass", 32, notes), seed=seed)
    assert all(one.end <= two.start for one, two in pairwise(track.notes))


def test_the_last_note_makes_room_for_the_push_over_the_seam():
    notes = (Note(-HALF, Fraction(1), 60, 80), Note(Fraction(46), Fraction(2), 60, 80))
    (track,) = performed(music(), Track("bass", 32, notes))
    push, last = track.notes
    assert last.end <= 48 + push.start


def test_a_key_struck_after_the_push_over_the_seam_cuts_it():
    after = Note(Fraction(143, 3), Fraction(1, 4), 60, 80)
    (track,) = performed(music(400), Track("bass", 32, (Note(-HALF, Fraction(2), 60, 80), after)))
    push, last = track.notes
    assert 48 + push.end <= last.start
    assert last.length > Fraction(1, 5)


def test_a_key_struck_with_the_push_over_the_seam_is_one_note():
    notes = (Note(-HALF, Fraction(2), 60, 80), Note(48 - HALF, HALF, 60, 90))
    (track,) = performed(music(), Track("bass", 32, notes))
    assert [(note.start < 0, note.velocity) for note in track.notes] == [(True, 90)]


def test_one_key_struck_twice_at_once_is_one_note():
    notes = (Note(Fraction(1), Fraction(1), 60, 70), Note(Fraction(1), Fraction(2), 60, 60))
    (track,) = performed(music(), Track("bass", 32, notes))
    assert [(note.pitch, note.velocity) for note in track.notes] == [(60, 70)]
    assert track.notes[0].length > 1.9


def test_velocities_change_by_the_least():
    (track,) = performed(music(), line("bass", range(6), pitch=60))
    assert [note.velocity for note in track.notes] == [80, 79, 80, 79, 80, 79]


def test_in_a_loop_the_first_velocity_follows_on_the_last():
    notes = tuple(Note(Fraction(at), HALF, 60 + at, 80) for at in range(3))
    for loop, expected in ((False, [80, 79, 80]), (True, [80, 79, 81])):
        (track,) = performed(music(loop=loop), Track("bass", 32, notes))
        assert [note.velocity for note in track.notes] == expected


# ---- The whole performance --------------------------------------------------------------------


def test_the_whole_keeps_what_the_arrangement_says():
    arrangement = music(count_in=2, times=2, loop=False)
    whole = perform(arrangement, (), 0)
    last = arrangement.passes[-1]
    assert whole.start == -8
    assert whole.length == last.start + last.length + arrangement.tail[0].length
    for name in ("tempo", "meters", "keys", "markers", "loop", "rounds", "title"):
        assert getattr(whole, name) == getattr(arrangement, name)


def test_a_pickup_longer_than_the_count_in_comes_first():
    text = "Key: C\nPickup: 3\n[A]\n| Dm7 / G7 | C | F | C |"
    assert perform(music(text=text, loop=False), (), 0).start == -3
    assert perform(music(text=text, loop=False, count_in=1), (), 0).start == -4


@pytest.mark.parametrize("loop", [True, False])
def test_the_band_as_performed(loop):
    arrangement = music(loop=loop, times=2, count_in=0 if loop else 2)
    tracks = band.play(arrangement, ("bass", "chords", "drums"), 3)
    whole = perform(arrangement, tracks, 3)
    assert whole == perform(arrangement, tracks, 3)
    for written, track in zip(tracks, whole.tracks, strict=True):
        assert (track.part, track.program) == (written.part, written.program)
        assert len(track.notes) == len({(note.start, note.pitch) for note in written.notes})
        assert all(note.end <= whole.length for note in track.notes)
        assert list(track.notes) == sorted(track.notes, key=lambda n: (n.start, n.pitch))


def test_the_bars_of_a_performance_are_those_of_the_page_in_the_order_they_sound():
    loop = perform(music(bars=(3, 4), times=2), (), seed=0)
    assert [(start, bar.number) for start, bar in loop.bars] == [(0, 3), (4, 4), (8, 3), (12, 4)]
    ended = perform(music(bars=(11, 12), loop=False), (), seed=0)
    assert [(start, bar.number) for start, bar in ended.bars] == [(0, 11), (4, 12), (8, 12)]
