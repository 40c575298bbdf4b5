"""From a take to what the players know."""

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from chartkit.arrange import Accent, arrange, tempo_of, tempo_warning
from chartkit.errors import CannotPlay, RequestError
from chartkit.feel import FEELS
from chartkit.reader import parse
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import write_symbol

CHARTS = {
    path.stem: parse(path.read_text(encoding="utf-8"), path.name).chart
    for path in sorted((Path(__file__).parent.parent / "charts").glob("*.chart"))
}
BUILT = [name for name, chart in CHARTS.items() if FEELS[chart.feel].built and chart.order is None]
HALF = Fraction(1, 2)


def chart(text):
    reading = parse(text, "test.chart")
    assert reading.chart, [str(fault) for fault in reading.faults]
    return reading.chart


def play_along(text, times=1, **wanted):
    return arrange(Take(chart(text), times=times, loop=False, **wanted))


def symbols(spans):
    return [write_symbol(span.chord) if span.chord else "N.C." for span in spans]


FOUR = "Key: C\n[A]\n| Dm7 | G7 | C6 | C6 |"

# ---- Passes ---------------------------------------------------------------------------------


def test_a_loop_has_so_many_passes_end_to_end():
    music = arrange(Take(chart(FOUR), times=3))
    assert [(one.start, one.length, one.chorus) for one in music.passes] == [
        (0, 16, 1),
        (16, 16, 2),
        (32, 16, 3),
    ]
    assert (music.loop, music.rounds, music.tail, music.lead_in) == (True, 1, (), ())
    assert symbols(music.spans) == ["Dm7", "G7", "C6", "C6"] * 3
    assert [span.start for span in music.spans] == [4 * i for i in range(12)]


def test_the_last_pass_leads_into_the_first_and_each_into_the_next():
    music = arrange(Take(chart(FOUR), times=2))
    assert write_symbol(music.passes[0].spans[-1].next_chord) == "Dm7"
    assert write_symbol(music.passes[1].spans[-1].next_chord) == "Dm7"


def test_a_loop_that_stays_the_same_is_one_pass_so_many_rounds():
    music = arrange(Take(chart(FOUR), times=5, same=True))
    assert (len(music.passes), music.rounds) == (1, 5)


def test_every_pass_ends_a_chorus():
    music = arrange(Take(chart("Key: C\n[A]\n| C |\n[B]\n| F | G7 C |"), times=2))
    assert [span.ends for span in music.spans] == ["section", "", "chorus", "chorus"] * 2


def test_intensity_rises_by_chorus_and_a_loop_keeps_it():
    assert [one.intensity for one in play_along(FOUR, 3).passes] == [0.5, 0.75, 1.0]
    assert len({one.intensity for one in arrange(Take(chart(FOUR), times=3)).passes}) == 1


@pytest.mark.parametrize("name", BUILT)
@pytest.mark.parametrize("loop", [True, False])
def test_spans_fill_the_time_without_gaps(name, loop):
    music = arrange(Take(CHARTS[name], times=3, loop=loop))
    spans = (*music.lead_in, *music.spans, *music.tail)
    assert all(one.start + one.length == two.start for one, two in pairwise(spans))
    assert all(one.spans[0].start == one.start for one in music.passes)
    assert all(sum(span.length for span in one.spans) == one.length for one in music.passes)


# ---- What is asked for ------------------------------------------------------------------------

PARTS = "Key: C\n[Intro]\n| G7 |\n[A]\n|: C | D7 :|\n[B]\n| F |\n[Tag]\n| Em7 |"


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        ({}, "C D7 C D7 F"),
        ({"sections": ("B", "A")}, "F C D7 C D7"),
        ({"bars": (1, 3)}, "G7 C D7"),
    ],
)
def test_the_part_of_the_tune_that_goes_round(wanted, expected):
    assert symbols(arrange(Take(chart(PARTS), **wanted)).spans) == expected.split()


def test_a_play_along_has_it_all_once():
    music = play_along(PARTS, 2)
    assert " ".join(symbols(music.spans)) == "G7 C D7 C D7 F C D7 C D7 F Em7"
    assert [one.start for one in music.passes] == [0, 24]


def test_a_play_along_of_a_section_leaves_its_last_turnaround_out():
    text = "Key: C\n[A]\n| C | F (D7) | (G7) |\n[B]\n| C |"
    music = play_along(text, 2, sections=("A",))
    assert " ".join(symbols(music.spans)) == "C F D7 G7 C F F"


def test_transposing_moves_chords_and_keys():
    music = arrange(Take(chart(FOUR), key=Key(NoteName("E", -1))))
    assert symbols(music.spans) == ["Fm7", "Bb7", "Eb6", "Eb6"]
    assert [(beat, str(key)) for beat, key in music.keys] == [(0, "Eb major")]


def test_the_feel_asked_for_holds_in_every_section():
    text = "Key: C\nFeel: bossa nova\n[A]\n| C |\n[B]\nFeel: samba\n| F |"
    music = arrange(Take(chart(text), feel="Swing"))
    assert {span.feel for span in music.spans} == {"swing"}


def test_keys_and_meters_are_told_where_they_change():
    text = "Key: C\n[A]\n| C | {3/4} F |\n[B]\nKey: Eb\n| Eb |"
    music = arrange(Take(chart(text), times=2))
    assert [(beat, str(meter)) for beat, meter in music.meters] == [
        (0, "4/4"),
        (4, "3/4"),
        (7, "4/4"),
        (15, "3/4"),
        (18, "4/4"),
    ]
    assert [(beat, str(key)) for beat, key in music.keys] == [
        (0, "C major"),
        (7, "Eb major"),
        (11, "C major"),
        (18, "Eb major"),
    ]


@pytest.mark.parametrize(
    ("wanted", "match"),
    [
        ({"sections": ("X",)}, "no section X"),
        ({"bars": (3, 9)}, "the tune has bars 1-5"),
        ({"sections": ("A",), "bars": (1, 2)}, "not for both"),
        ({"times": 0}, "at least once"),
        ({"count_in": -1}, "count-in"),
        ({"times": 20_000}, "fewer times round"),
        ({"feel": "polka"}, "`polka` is not a feel"),
    ],
)
def test_what_cannot_be_asked_for(wanted, match):
    with pytest.raises(RequestError, match=match):
        arrange(Take(chart(PARTS), **wanted))


def test_a_meter_that_the_feel_does_not_play():
    with pytest.raises(CannotPlay, match=r"bar 2 is in 12/8; swing plays 4/4, .* or 3/2"):
        arrange(Take(chart("Key: C\n[A]\n| C | {12/8} F |")))


# ---- Tempo ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "asked", "tempo"),
    [
        ("", None, FEELS["swing"].tempo),
        ("Tempo: 132\n", None, 132),
        ("Tempo: half = 90\n", None, 180),
        ("Tempo: 132\n", 200, 200),
        ("", 30, 30),
        ("", 400, 400),
    ],
)
def test_the_tempo_is_the_takes_else_the_charts_else_the_feels(header, asked, tempo):
    take = Take(chart(f"{header}{FOUR}"), tempo=None if asked is None else Fraction(asked))
    assert tempo_of(take) == tempo
    assert arrange(take).tempo.steps == ((0, tempo),)


@pytest.mark.parametrize(
    "tempo", [Fraction(0), Fraction(-5), Fraction(29), 400.5, 5000, float("nan"), float("inf")]
)
def test_a_tempo_that_cannot_be_played(tempo):
    with pytest.raises(RequestError, match="outside 30-400"):
        arrange(Take(chart(FOUR), tempo=tempo))


@pytest.mark.parametrize(("tempo", "warns"), [(59, True), (60, False), (300, False), (301, True)])
def test_a_tempo_outside_the_band_warns(tempo, warns):
    take = Take(chart(FOUR), tempo=Fraction(tempo))
    warning = tempo_warning(take)
    assert (warning is not None) == warns
    if warning:
        assert "swing is at home at 60-300" in warning
        assert arrange(take)


# ---- Accents ----------------------------------------------------------------------------------


def accents(music):
    return [[(a.start, a.length, a.kind) for a in one.accents] for one in music.passes]


def test_a_push_comes_an_eighth_early_and_a_stop_lasts_to_the_next_sound():
    music = arrange(Take(chart("Key: C\n[A]\n| C! / / / | >F / G7! / | >Am! / / / | / / F / |")))
    assert accents(music) == [
        [
            (0, Fraction(7, 2), "stop"),
            (Fraction(7, 2), HALF, "push"),
            (6, Fraction(3, 2), "stop"),
            (Fraction(15, 2), Fraction(13, 2), "stop"),
        ]
    ]


def test_a_held_bar_after_a_stop_stays_silent():
    music = arrange(Take(chart("Key: C\n[A]\n| C! / / / | / / / / | F |")))
    assert music.passes[0].accents == (Accent(Fraction(0), Fraction(8), "stop"),)


def test_a_pushed_first_chord_is_early_each_time_round():
    music = arrange(Take(chart("Key: C\n[A]\n| >C | F! / / / |"), times=2))
    assert accents(music) == [
        [(-HALF, HALF, "push"), (4, Fraction(7, 2), "stop")],
        [(Fraction(15, 2), HALF, "push"), (12, Fraction(7, 2), "stop")],
    ]


def test_a_pushed_first_chord_is_on_the_beat_from_nothing():
    music = play_along("Key: C\n[A]\n| >C | F | G7 | C |", 2)
    assert accents(music) == [[], [(Fraction(31, 2), HALF, "push")]]
    assert [span.pushed for span in music.spans if span.bar.number == 1] == [False, True]


def test_a_pushed_first_chord_is_early_after_a_pickup():
    music = play_along("Key: C\nPickup: 1\n[A]\n| G7 | >C | F | C |")
    assert accents(music) == [[(-HALF, HALF, "push")]]


def test_pushes_of_the_pickup_and_of_the_held_end_are_known_to_the_passes_beside_them():
    music = play_along("Key: C\nPickup: 2\n[A]\n| >Dm7 >G7 | C | F / / G7 | >C6 |", 2)
    assert accents(music) == [
        [(Fraction(-3, 2), HALF, "push"), (Fraction(15, 2), HALF, "push")],
        [(Fraction(39, 2), HALF, "push")],
    ]
    assert [span.pushed for span in music.lead_in] == [False, True]
    assert (music.tail[0].start, music.tail[0].pushed) == (20, True)


# ---- Count-in, pickup, ending ------------------------------------------------------------------


def test_the_count_in_is_in_bars_of_the_first_meter():
    text = "Key: C\nMeter: 3/4\n[A]\n| C | F |"
    assert arrange(Take(chart(text), count_in=2)).count_in == 6
    assert arrange(Take(chart(text))).count_in == 0


def test_a_pickup_leads_in_and_loops_leave_it_out():
    text = "Key: C\nPickup: 2\n[A]\n| Dm7 G7 | C | F | C |"
    music = play_along(text, 2, count_in=1)
    assert [(span.start, span.length) for span in music.lead_in] == [(-2, 1), (-1, 1)]
    assert symbols(music.lead_in) == ["Dm7", "G7"]
    assert music.passes[0].start == 0
    assert arrange(Take(chart(text))).lead_in == ()


def held(music):
    return [(*symbols([span]), span.start, span.length) for span in music.tail]


def test_the_last_tonic_chord_is_held_from_where_it_is_written():
    music = play_along("Key: C\nTempo: 60\n[A]\n| C | G7 | C6 |")
    assert held(music) == [("C6", 8, 4)]
    assert music.passes[-1].length == 8


def test_the_chord_before_a_turnaround_is_held():
    music = play_along("Key: C\nTempo: 60\n[A]\n| Dm7 | G7 | C6 (A7) | (Dm7 G7) |")
    assert held(music) == [("C6", 8, 8)]


def test_the_last_chord_lasts_at_least_three_seconds_in_whole_bars():
    music = play_along("Key: C\nTempo: 240\n[A]\n| C | F | G7 C6 |")
    assert held(music) == [("C6", 10, 14)]


def test_another_last_chord_gets_a_bar_of_the_first_tonic_chord():
    music = play_along("Key: C\nTempo: 60\n[A]\n| Em7 | Cm7 | C69/G | Dm7 | G7 |", 2)
    assert held(music) == [("C69", 40, 4)]
    assert symbols(music.passes[-1].spans)[-1] == "G7"
    assert write_symbol(music.spans[-1].next_chord) == "C69"


def test_a_minor_key_without_its_tonic_ends_on_the_triad():
    assert held(play_along("Key: Cm\nTempo: 60\n[A]\n| Fm7 | G7 |")) == [("Cm", 8, 4)]


def test_a_chord_that_fills_the_tune_is_played_and_then_held():
    assert held(play_along("Key: C\nTempo: 60\n[A]\n| C6 |", 2)) == [("C6", 8, 4)]


def test_a_stop_on_the_tonic_is_the_end_of_the_shortest_tune_too():
    music = play_along("Key: C\n[A]\n| C6! / / / |")
    assert (music.tail, music.passes[-1].length) == ((), 4)


def test_a_stop_on_the_tonic_is_the_end():
    music = play_along("Key: C\n[A]\n| G7 | C6! / / / |")
    assert music.tail == ()
    assert accents(music)[-1] == [(4, 4, "stop")]


def test_a_break_at_the_end_is_followed_by_the_tonic():
    assert held(play_along("Key: C\nTempo: 60\n[A]\n| C6 | N.C. |")) == [("C6", 8, 4)]


# ---- Markers ------------------------------------------------------------------------------------


def marked(music, kind):
    return [(marker.start, marker.text) for marker in music.markers if marker.kind == kind]


def test_markers_of_a_play_along():
    music = play_along("Key: C\nPickup: 1\n[A]\n| G7 | C | / / N.C. / |\n[B]\n| Bb7 C |", 2)
    assert marked(music, "chorus") == [(0, "Chorus 1"), (12, "Chorus 2")]
    assert marked(music, "section") == [(-1, "A"), (8, "B"), (12, "A"), (20, "B")]
    assert marked(music, "bar")[:4] == [(0, "1"), (4, "2"), (8, "3"), (12, "1")]
    assert marked(music, "chord")[:5] == [
        (-1, "G7"),
        (0, "C"),
        (6, "N.C."),
        (8, "Bb7"),
        (10, "C"),
    ]
    assert marked(music, "loop") == []


def test_markers_of_a_loop():
    music = arrange(Take(chart(FOUR), times=2))
    assert marked(music, "chorus") == [(0, "Round 1"), (16, "Round 2")]
    assert marked(music, "loop") == [(0, "Loop start"), (32, "Loop end")]


def test_the_title_comes_along():
    assert arrange(Take(chart(f"Title: Two Stools\n{FOUR}"))).title == "Two Stools"
