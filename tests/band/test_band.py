"""The band together, and a feel of the test's own: a row and a file, no player's code."""

from fractions import Fraction

import pytest

import chartkit.feel
from chartkit import band
from chartkit.arrange import arrange
from chartkit.controls.ladder import Ladder
from chartkit.feel import FEELS, Feel
from chartkit.feel.pattern import vocabulary
from chartkit.take import Take

BLUES = "F7 | Bb7 | F7 | Cm7 >F7 | Bb7 | Bo7 | F7! / / / | D7b9 | Gm7 | C7 | N.C. | Gm7 C7"
PARTS = ("bass", "chords", "drums")


def test_parts_come_in_order(arranged):
    tracks = band.play(arranged(BLUES), PARTS, 1)
    assert [track.part for track in tracks] == list(PARTS)
    assert [track.program for track in tracks] == [32, FEELS["swing"].chords_program, 32]


def test_a_count_in_has_its_clicks(arranged):
    assert [t.part for t in band.play(arranged(BLUES, count_in=2), ("bass",), 1)] == [
        *("bass", "click"),
    ]
    assert [t.part for t in band.play(arranged(BLUES, count_in=0), ("bass",), 1)] == ["bass"]


def test_same_seed_same_band(arranged):
    one, two = (band.play(arranged(BLUES), PARTS, 3) for _ in range(2))
    assert one == two
    assert band.play(arranged(BLUES), PARTS, 4) != one


@pytest.mark.parametrize("left_out", PARTS)
def test_leaving_a_part_out_changes_no_other(arranged, left_out):
    arrangement = arranged(BLUES, times=2, count_in=1)
    full = {track.part: track for track in band.play(arrangement, PARTS, 5)}
    fewer = band.play(arrangement, tuple(part for part in PARTS if part != left_out), 5)
    assert left_out not in {track.part for track in fewer}
    assert all(track == full[track.part] for track in fewer)


def test_the_line_is_none_of_the_bands_business(arranged):
    assert band.play(arranged(BLUES), ("line",), 1) == ()


def test_accents_are_played_together(arranged):
    arrangement = arranged(BLUES, times=2)
    tracks = band.play(arrangement, PARTS, 1)
    for one in arrangement.passes:
        for accent in one.accents:
            for track in tracks:
                assert any(note.start == accent.start for note in track.notes), track.part


def test_breaks_and_stops_are_silent_in_every_part(arranged):
    arrangement = arranged(BLUES, times=2)
    silent = [(span.start, span.length) for span in arrangement.spans if span.chord is None]
    stops = [(a.start, a.length) for one in arrangement.passes for a in one.accents]
    stops = [(start + Fraction(1, 2), length) for start, length in stops if length > 1]
    for track in band.play(arrangement, PARTS, 1):
        for start, length in (*silent, *stops):
            inside = [n for n in track.notes if start <= n.start < start + length - Fraction(1, 2)]
            assert not inside, track.part


def test_demo_charts_are_played(demo):
    for loop in (True, False):
        arrangement = arrange(Take(demo, loop=loop, times=2, count_in=2))
        last = [*arrangement.spans, *arrangement.tail][-1]
        for track in band.play(arrangement, PARTS, 1):
            assert track.notes
            assert all(n.start + n.length <= last.start + last.length for n in track.notes)


# --- a feel of the test's own ---------------------------------------------------------------------

ROWS = {
    "garden": Feel("garden", ("4/4",), 80, 200, 130, "straight", 0),
    "wheel": Feel("wheel", ("12/8",), 60, 160, 90, "triplet", 26, Fraction(3, 2)),
}

FILES = {
    "garden": """
[bass]
figures = [{ line = "1- -5 5- -1 | 1- -5 5- x" }, { line = "1- -- 5- --" }, { line = "1" }]
ornaments = [{ line = "x" }]

[drums]
layers = ["stick", "hat"]
keeps = ["hat"]
stick = [{ stick = "x. .x .. x. | .. x. x. .." }, { stick = "x. .x x. .." }, { stick = "x" }]
hat = [{ closed_hat = "xo" }]

[drums.levels]
stick = [40, 60, 80]
closed_hat = [40, 60, 80]

[comping]
figures = ["x- .. .x ..", "x-", "x- ..", ".. x. x."]
""",
    "wheel": """
[bass]
figures = [{ line = "x" }]
ornaments = [{ line = "x" }]

[drums]
layers = ["ride", "hat"]
keeps = ["hat"]
ride = [{ ride = "x.x" }]
hat = [{ hat = ". x" }]
hits = [{ ride = "X" }]

[drums.levels]
ride = [40, 60, 80]
hat = [40, 60, 80]

[comping]
figures = ["x.. ... ..x ...", "x..", "x.. ...", "x.. ... ..."]
""",
}


@pytest.fixture
def own_feels(monkeypatch, tmp_path):
    caches = (chartkit.feel.feel, chartkit.feel.patterns, vocabulary)
    for name, text in FILES.items():
        (tmp_path / f"{name}.toml").write_text(text)
        monkeypatch.setitem(FEELS, name, ROWS[name])
    monkeypatch.setattr(chartkit.feel, "FOLDER", tmp_path)
    for cached in caches:
        cached.cache_clear()
    yield
    for cached in caches:
        cached.cache_clear()


def strokes(track, key, first, end):
    return [note.start for note in track.notes if note.pitch == key and first <= note.start < end]


@pytest.mark.usefixtures("own_feels")
def test_a_new_feel_of_two_bar_patterns_needs_no_players_code(arranged):
    text = "Feel: garden\n\n[A]\n| Cmaj7 | A7 | Dm7 | G7 | Cmaj7 |"
    bass, chords, drums = band.play(arranged(text), PARTS, 1)
    assert strokes(drums, 37, 0, 8) == [0, Fraction(3, 2), 3, 5, 6]
    assert strokes(drums, 37, 16, 20) == [16, Fraction(35, 2), 18]
    assert len(strokes(drums, 42, 0, 20)) == 40
    first = [(note.start, note.pitch % 12) for note in bass.notes if note.start < 4]
    assert first == [(0, 0), (Fraction(3, 2), 7), (2, 7), (Fraction(7, 2), 0)]
    assert chords.notes
    assert chords.program == 0


@pytest.mark.usefixtures("own_feels")
def test_a_beat_may_be_a_dotted_quarter(arranged):
    text = "Meter: 12/8\nFeel: wheel\n\n[A]\n| C7 | F7 | C7 | G7 |"
    arrangement = arranged(text, count_in=1)
    bass, _, drums, click = band.play(arrangement, PARTS, 1)
    assert [note.start for note in bass.notes] == [Fraction(3, 2) * n for n in range(16)]
    assert strokes(drums, 44, 0, 6) == [Fraction(3, 2), Fraction(9, 2)]
    assert strokes(drums, 51, 0, 3) == [0, 1, Fraction(3, 2), Fraction(5, 2)]
    assert [note.start for note in click.notes] == [-6, Fraction(-9, 2), -3, Fraction(-3, 2)]


@pytest.mark.usefixtures("own_feels")
def test_a_section_may_change_feel(arranged):
    text = "Feel: garden\n\n[A]\n| Cmaj7 | G7 |\n\n[B]\nFeel: wheel\nMeter: 12/8\n| C7 | F7 |"
    _, _, drums = band.play(arranged(text), PARTS, 1)
    assert strokes(drums, 37, 0, 8)
    assert not strokes(drums, 37, 8, 20)
    assert strokes(drums, 51, 8, 20)
    assert not strokes(drums, 51, 0, 8)


def test_each_time_round_of_a_ladder_is_played_at_its_own_tempo(arranged):
    """Triplets of the drums and of the bass, which the feel's file has up to 200, go no further."""
    text = "[A]\n| Dm7 | G7 | Cmaj7 | A7 |\n| Dm7 | G7 | Cmaj7 | A7 |"
    ladder = Ladder(Fraction(90), Fraction(260), 40)
    music = arranged(text, tempo=Fraction(170), times=80, ladder=ladder)
    slow, fast = music.passes[0].start, music.passes[40].start
    assert [music.tempo.at(beat) for beat in (slow, fast)] == [170, 260]
    for track in band.play(music, ("bass", "drums"), 3):
        thirds = [note.start for note in track.notes if note.start.denominator % 3 == 0]
        assert len(thirds) > 3
        assert max(thirds) < fast
    alike = arranged(text, tempo=Fraction(170), times=80, ladder=ladder, same=True)
    for track in band.play(alike, ("bass", "chords", "drums"), 3):
        rounds = [
            [
                (note.start - one.start, note.pitch)
                for note in track.notes
                if one.start <= note.start < one.end
            ]
            for one in (alike.passes[1], alike.passes[41])
        ]
        assert rounds[0] == rounds[1]


@pytest.mark.parametrize(("one", "other"), [(97, 99), (141, 143), (231, 239), (271, 275)])
def test_a_slight_change_of_tempo_changes_no_note(arranged, one, other):
    played = [
        band.play(arranged(BLUES, tempo=Fraction(tempo), times=2), PARTS, 5)
        for tempo in (one, other)
    ]
    assert played[0] == played[1]
