"""The player's turns and how the band comes back in (common practice, no source)."""

from fractions import Fraction

import pytest

from chartkit import band
from chartkit.arrange import arrange
from chartkit.controls.trading import Trading
from chartkit.errors import RequestError
from chartkit.reader import parse
from chartkit.take import Take

PARTS = ("bass", "chords", "drums")
EIGHT = "| Dm7 | G7 | Cmaj7 | A7 |\n| Dm7 | G7 | Cmaj7 | Cmaj7 |"


def arranged(text, **wanted):
    return arrange(Take(parse(text + "\n", "test.chart").chart, **wanted))


def marks(music):
    return [(mark.start, mark.text) for mark in music.markers if mark.kind == "turn"]


def within(track, start, end):
    return [note for note in track.notes if start <= note.start < end]


@pytest.mark.parametrize("seed", range(8))
def test_over_nothing_the_drums_alone_bring_the_band_back_in(seed):
    """Bars five to eight are the player's: silence, then two beats of drums, marked as a cue."""
    music = arranged(f"[A]\n{EIGHT}", trading=Trading(4, "nothing"), times=2)
    assert marks(music) == [
        *((0, "Band"), (16, "Player"), (30, "Cue")),
        *((32, "Band"), (48, "Player"), (62, "Cue")),
    ]
    bass, chords, drums = band.play(music, PARTS, seed)
    for turn in (16, 48):
        assert not within(drums, turn, turn + 14)
        assert len({note.start for note in within(drums, turn + 14, turn + 16)}) >= 2
        assert not within(bass, turn, turn + 16)
        assert not within(chords, turn, turn + 16)


def test_over_drums_there_is_no_need_of_a_cue():
    music = arranged(f"[A]\n{EIGHT}", trading=Trading(4), times=2)
    assert [text for _, text in marks(music)] == ["Band", "Player", "Band", "Player"]
    (drums,) = band.play(music, ("drums",), 1)
    assert all(within(drums, bar, bar + 4) for bar in range(0, 64, 4))


@pytest.mark.parametrize(
    ("head", "bar", "cue"),
    [
        ("Meter: 3/4\nFeel: jazz waltz", 3, 1),
        ("Meter: 12/8\nFeel: 12/8 blues", 6, 3),
        ("Meter: 5/4\nFeel: 5/4 swing", 5, 2),
        ("Feel: half-time swing", 4, 2),
        ("Feel: double-time swing", 4, 2),
        ("Feel: ballad", 4, 2),
    ],
)
def test_a_cue_lasts_half_a_bar_in_whole_beats_of_the_feel(head, bar, cue):
    music = arranged(f"{head}\n\n[A]\n{EIGHT}", trading=Trading(4, "nothing"))
    (at,) = [start for start, text in marks(music) if text == "Cue"]
    assert at == 8 * bar - cue
    (drums,) = band.play(music, ("drums",), 1)
    assert not within(drums, 4 * bar, at)
    assert within(drums, at, 8 * bar)


def test_a_push_after_the_players_turn_is_the_bands():
    text = "[A]\n| Dm7 | G7 | Cmaj7 | A7 |\n| Dm7 | G7 | Cmaj7 | A7 |\n| >Fm7 | Bb7 | Cmaj7 | A7 |"
    music = arranged(text, trading=Trading(4, "nothing"), times=2)
    for track in band.play(music, PARTS, 1):
        assert [note for note in track.notes if note.start == Fraction(63, 2)], track.part


def test_a_turn_has_bars_and_the_player_has_a_turn():
    with pytest.raises(RequestError, match="at least one bar"):
        Trading(0)
    with pytest.raises(RequestError, match="never gets a turn"):
        arranged("[A]\n| Dm7 | G7 |", trading=Trading(4))
