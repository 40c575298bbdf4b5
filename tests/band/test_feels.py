"""The band in every feel, as it is performed: what any listener or other program may rely on.

``python tests/band/test_feels.py`` writes the goldens anew; read the difference before keeping it.

Ratios of swing: tests/test_timing.py has the published figures. A ballad's ratio of at most 2.3,
what is played on which kit and the rest: common practice, no source; kits by number: General MIDI 2
drum sets.
"""

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from pathlib import Path

import pytest

from chartkit import band
from chartkit.arrange import arrange
from chartkit.band import kit
from chartkit.feel import FEELS
from chartkit.reader import parse
from chartkit.take import Take
from chartkit.theory.symbol import write_symbol
from chartkit.timing import perform
from chartkit.track import Note, Track

GOLDEN = Path(__file__).parent.parent / "golden" / "feels"
PARTS = ("bass", "chords", "drums")
NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
RIDE, SNARE, SWIRL = 51, 38, 40
JAZZ, BRUSHES = 32, 40


def performed(take):
    arrangement = arrange(take)
    return perform(arrangement, band.play(arrangement, PARTS, take.seed), take.seed)


def chart(feel, bars, *more):
    text = "\n".join((f"Meter: {FEELS[feel].meters[0]}", f"Feel: {feel}", "", "[A]", bars, *more))
    reading = parse(text + "\n", "test.chart")
    assert reading.chart, [str(fault) for fault in reading.faults]
    return reading.chart


# --- as performed ---------------------------------------------------------------------------------


def off_beats(feel, tempo, key, part):
    """Where a key's off-beats come, in beats of the feel, on average over a long take."""
    pulse = FEELS[feel].pulse
    bars = "| Dm7 | G7 | Cmaj7 | Cmaj7 |\n" * 2
    music = performed(Take(chart(feel, bars), tempo=Fraction(tempo), times=8))
    (track,) = (track for track in music.tracks if track.part == part)
    places = [(note.start / pulse) % 1 for note in track.notes if key in (None, note.pitch)]
    late = [float(place) for place in places if Fraction(2, 5) < place < Fraction(9, 10)]
    assert len(late) > 10
    return sum(late) / len(late)


TEMPOS = (60, 90, 120, 140, 170, 190, 220, 250, 290)


def in_eighths(track):
    """A track without its triplets."""
    notes = (note for note in track.notes if (2 * note.start).denominator == 1)
    return replace(track, notes=tuple(notes))


def swing_table():
    """Tempo by tempo, each part's ratio and the length of its short note in milliseconds."""
    for tempo in TEMPOS:
        take = Take(chart("swing", "| Dm7 | G7 | Cmaj7 | A7 |"), tempo=Fraction(tempo), times=40)
        arrangement = arrange(take)
        half = Fraction(1, 2)
        eighths = tuple(Note(half * n, half, 60, 80) for n in range(8 * 4 * 40))
        line = Track("line", 26, eighths)
        tracks = (*map(in_eighths, band.play(arrangement, PARTS, 1)), line)
        music = perform(arrangement, tracks, 1)
        row = {}
        for track in music.tracks:
            struck = [n for n in track.notes if track.part != "drums" or n.pitch == RIDE]
            late = [float(n.start % 1) for n in struck if Fraction(2, 5) < n.start % 1 < 0.88]
            place = sum(late) / len(late)
            row[track.part] = place / (1 - place), (1 - place) * 60_000 / tempo
        yield tempo, row


def test_swing_as_performed_beside_the_published_figures(capsys):
    """The ride, the bass, the chords and a line.

    Ride: Friberg & Sundstrom 2002, Music Perception 19(3), about linear in tempo, at most 3.5, the
    short note near 100 ms from medium tempo up; drums 2.2 at 120-190, 1.9 at 190-220, 1.5 at
    250-300, chords 1.3-1.5: Cheston et al. 2024, TISMIR. Line about 1.3: Corcoran & Frieler 2021,
    Music Perception 38(4).
    """
    table = dict(swing_table())
    parts = ("drums", "bass", "chords", "line")
    with capsys.disabled():
        print("\ntempo", *(f"{part:>16s}" for part in parts))  # noqa: T201 (for reading)
        for tempo, row in table.items():
            cells = (f"{row[part][0]:7.2f} {row[part][1]:5.0f} ms" for part in parts)
            print(f"{tempo:5d}", *cells)  # noqa: T201
    rides = [row["drums"][0] for row in table.values()]
    assert rides == sorted(rides, reverse=True)
    assert rides[0] <= 3.5
    bands = ((120, 190, 1.9, 2.8), (191, 250, 1.4, 2.4), (251, 300, 1.1, 1.9))
    for tempo, row in table.items():
        ratio, short = row["drums"]
        assert all(low <= ratio <= high for slow, fast, low, high in bands if slow <= tempo <= fast)
        assert not 140 <= tempo <= 290 or 85 <= short <= 135
        assert not 120 <= tempo < 140 or 85 <= short <= 160
        assert row["bass"][0] == pytest.approx(ratio, abs=0.25)
        assert 1.2 <= row["line"][0] < row["chords"][0] + 0.1 < ratio + 0.1


@pytest.mark.parametrize("tempo", [48, 60, 80])
def test_a_ballad_swings_gently_or_not_at_all(tempo):
    place = off_beats("ballad", tempo, SNARE, "drums")
    assert 1.5 < place / (1 - place) <= 2.33
    assert off_beats("straight ballad", tempo, SNARE, "drums") == pytest.approx(0.5, abs=0.01)


def test_half_and_double_time_swing_in_their_own_beat():
    """Two hundred in halves and fifty in eighths swing as a hundred in quarters does."""
    usual = off_beats("swing", 100, RIDE, "drums")
    assert off_beats("half-time swing", 200, RIDE, "drums") == pytest.approx(usual, abs=0.015)
    assert off_beats("double-time swing", 50, RIDE, "drums") == pytest.approx(usual, abs=0.015)


@pytest.mark.parametrize("feel", ["straight eighths", "bossa nova", "samba"])
def test_straight_feels_are_straight(feel):
    assert off_beats(feel, FEELS[feel].tempo, None, "drums") == pytest.approx(0.5, abs=0.01)


def test_a_slow_blues_divides_its_beat_in_three():
    row = FEELS["12/8 blues"]
    music = performed(Take(chart("12/8 blues", "| F7 | Bb7 | F7 | C7 |"), times=4))
    drums = next(track for track in music.tracks if track.part == "drums")
    thirds = [float(3 * note.start / row.pulse) for note in drums.notes]
    assert all(abs(place - round(place)) < 0.12 for place in thirds)


# --- in its own way -------------------------------------------------------------------------------


def test_a_bossa_bass_is_root_and_fifth_in_dotted_quarters():
    arrangement = arrange(Take(chart("bossa nova", "| Dm7 | Dm7 | G7 | G7 |"), times=10))
    (track,) = band.play(arrangement, ("bass",), 1)
    on_beats = [note for note in track.notes if note.start % 4 in (0, Fraction(3, 2), 2)]
    roots_and_fifths = [n for n in on_beats if n.pitch % 12 in {2, 9} | {7, 2}]
    assert roots_and_fifths == on_beats
    assert sum(note.length > 1 for note in on_beats) > len(on_beats) / 2


def test_a_samba_bass_leans_on_the_second_beat():
    arrangement = arrange(Take(chart("samba", "| Dm7 | Dm7 | G7 | G7 |"), times=10))
    (track,) = band.play(arrangement, ("bass",), 1)
    first, second = ([n.velocity for n in track.notes if n.start % 4 == b] for b in (0, 2))
    assert sum(second) / len(second) > sum(first) / len(first) + 6


def test_a_waltz_walks_more_as_it_grows():
    """From one note to a bar to three: the bass of the first and of the last of ten choruses."""
    arrangement = arrange(
        Take(chart("jazz waltz", "| Dm7 | G7 | Cmaj7 | Am7 |\n" * 4), loop=False, times=10)
    )
    (track,) = band.play(arrangement, ("bass",), 1)
    counts = [
        sum(one.start <= note.start < one.end for note in track.notes) / 16
        for one in arrangement.passes
    ]
    early, late = sum(counts[:3]) / 3, sum(counts[-3:]) / 3
    assert min(counts) >= 1
    assert max(counts) <= 3.2
    assert early + 0.3 < late


def test_two_beat_bass_is_mostly_in_halves():
    arrangement = arrange(Take(chart("two-beat swing", "| Dm7 | G7 | Cmaj7 | C6 |"), times=20))
    (track,) = band.play(arrangement, ("bass",), 1)
    assert 2 <= len(track.notes) / 80 <= 3


def test_brushes_for_a_ballad_and_sticks_else():
    for name in FEELS:
        bars = "| Dm7 | G7 |"
        (track,) = band.play(arrange(Take(chart(name, bars))), ("drums",), 1)
        assert track.program == (BRUSHES if "ballad" in name else JAZZ)


def test_brushes_throughout_where_a_section_needs_them():
    text = chart("swing", "| Dm7 | G7 |", "", "[B]", "Feel: ballad", "| Cmaj7 | Cmaj7 |")
    (track,) = band.play(arrange(Take(text)), ("drums",), 1)
    assert track.program == BRUSHES
    assert any(note.pitch == SWIRL for note in track.notes)
    assert all(note.start >= 8 for note in track.notes if note.pitch == SWIRL)


@pytest.mark.parametrize(("feel", "beats"), [("half-time swing", 2), ("double-time swing", 8)])
def test_the_bass_walks_in_the_feels_own_beat(feel, beats):
    arrangement = arrange(Take(chart(feel, "| Dm7 | G7 | Cmaj7 | A7 |"), times=5))
    (track,) = band.play(arrangement, ("bass",), 1)
    on_beats = [n for n in track.notes if (n.start / FEELS[feel].pulse).denominator == 1]
    assert len(on_beats) == 20 * beats


def test_chords_thin_out_at_fast_tempos():
    arranged = {
        tempo: arrange(Take(chart("swing", "| Dm7 | Dm7 | Dm7 | Dm7 |"), tempo=tempo, times=60))
        for tempo in (Fraction(150), Fraction(290))
    }
    struck = {
        tempo: len({note.start for note in band.play(one, ("chords",), 1)[0].notes})
        for tempo, one in arranged.items()
    }
    assert struck[Fraction(290)] < 0.85 * struck[Fraction(150)]


# --- a few bars of each to read -------------------------------------------------------------------

TURNS = {
    "4/4": "| Dm7 | G7 | Em7 A7 | Dm7 G7 |",
    "3/4": "| Dm7 | G7 | Em7 / A7 | Dm7 / G7 |",
    "5/4": "| Dm7 | G7 | Em7 / / A7 / | Dm7 / / G7 / |",
    "6/4": "| Dm7 | G7 | Em7 / / A7 / / | Dm7 / / G7 / / |",
    "12/8": "| Dm7 | G7 | Em7 A7 | Dm7 G7 |",
}


def page(feel):
    """Bar by bar: the chords, then what each player does, by the beat (from 1) it does it on."""
    arrangement = arrange(Take(chart(feel, TURNS[FEELS[feel].meters[0]])))
    bass, chords, drums = band.play(arrangement, PARTS, 1)
    things = {key: name for name, key in kit.KEYS.items()}
    for start, group in groupby(arrangement.spans, key=lambda span: span.bar_start):
        spans = [*group]
        end = spans[-1].start + spans[-1].length
        rows = defaultdict(dict)
        for name, track in (("bass", bass), ("chords", chords)):
            for note in within(track, start, end):
                rows[name].setdefault(note.start, []).append(spelled(note.pitch))
        for note in within(drums, start, end):
            rows[things[note.pitch]][note.start] = [str(note.velocity)]
        yield " ".join(write_symbol(span.chord) for span in spans) + "\n"
        for name, struck in rows.items():
            places = (
                f"{counted((at - start) / FEELS[feel].pulse)}: {' '.join(what)}"
                for at, what in sorted(struck.items())
            )
            yield f"  {name:10s} {'   '.join(places)}\n"


def within(track, start, end):
    return [note for note in track.notes if start <= note.start < end]


def spelled(pitch):
    return f"{NAMES[pitch % 12]}{pitch // 12 - 1}"


def counted(beats):
    whole, part = divmod(beats, 1)
    return f"{whole + 1}" + (f"+{part}" if part else "")


@pytest.mark.parametrize("feel", FEELS)
def test_a_few_bars_to_read(feel):
    assert "".join(page(feel)) == golden(feel).read_text(encoding="utf-8")


def golden(feel):
    return GOLDEN / ("-".join(feel.replace("/", " ").split()) + ".txt")


if __name__ == "__main__":
    GOLDEN.mkdir(parents=True, exist_ok=True)
    for one in FEELS:
        golden(one).write_text("".join(page(one)), encoding="utf-8")
