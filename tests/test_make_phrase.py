"""Phrases as pages and as sound, from the request to the files."""

from dataclasses import replace
from fractions import Fraction

import pytest

from chartkit.controls.clicks import Click
from chartkit.errors import CannotPlay, RequestError
from chartkit.make import write_sheet
from chartkit.make_phrase import (
    exact_performance,
    phrase_performance,
    phrase_playable,
    phrase_sheet,
    phrase_take,
    staff_sheet,
    write_exact,
    write_phrase_music,
)
from chartkit.output.paper import PAPERS
from chartkit.output.timeline import unrolled
from chartkit.phrase.reader import parse
from chartkit.phrase.values import heard
from chartkit.theory.key import Key
from chartkit.track import GRID

TEXT = """Title: Corner
Source: demo phrase
Note: Sing it first.
Key: Bb major
Tempo: 120
Chords: Cm7 | F7 | Bbmaj7
Melody: e D4 | e Eb4 G Bb D5 C B4 C5 G4 | A4 F Gb Ab A C5 Eb C | e D5 Bb4 q F h r
"""
NO_CHORDS = "Key: C\nTempo: 120\nMelody: q C4 E G B"


def phrase_of(text):
    return parse(text, "x").phrase


def line_of(performance):
    (track,) = [track for track in performance.tracks if track.part == "line"]
    return track


def pitches(performance):
    return [note.pitch for note in line_of(performance).notes]


def test_a_page_is_fingered_where_it_lies_best():
    sheet = phrase_sheet(phrase_of(TEXT))
    stops = [e.stop for m in sheet.measures for e in m.events if e.kind == "note"]
    assert all(stops)
    assert sheet.subtitle == "position X"
    assert (sheet.title, sheet.composer) == ("Corner", "demo phrase")
    assert sheet.notes == ("Sing it first.",)
    assert sheet.tempo.quarters == 120
    assert phrase_sheet(phrase_of(TEXT), 8).subtitle == "position VIII"
    with pytest.raises(CannotPlay, match="position I"):
        phrase_sheet(phrase_of(TEXT), 1)


def test_degrees_stand_over_their_notes():
    sheet = phrase_sheet(phrase_of(TEXT), degrees=True)
    told = [[(words.start, words.text) for words in m.words] for m in sheet.measures]
    assert told[0] == [(0, "9")]
    assert told[1][:3] == [(0, "♭3"), (Fraction(1, 2), "5"), (1, "♭7")]
    assert not any(m.words for m in phrase_sheet(phrase_of(TEXT)).measures)


def test_a_staff_alone_has_no_stops():
    sheet = staff_sheet(phrase_of(TEXT))
    assert sheet.tuning is None
    assert not any(e.stop for m in sheet.measures for e in m.events)


def test_a_phrase_alone_is_heard_alone():
    music = phrase_performance(phrase_of(TEXT), replace(phrase_take(phrase_of(TEXT)), parts=()))
    assert pitches(music) == [one.pitch.midi for one in heard(phrase_of(TEXT).notes) if one.pitch]
    assert all(track.part == "line" or not track.notes for track in music.tracks)
    assert music.length == 16  # a bar more, to make them even


def test_the_pickup_comes_in_before_every_time_round():
    phrase = phrase_of(TEXT)
    take = replace(phrase_take(phrase), parts=(), times=2, count_in=1, same=True)
    music = phrase_performance(phrase, take)
    struck = [hit for hit in unrolled(music, line_of(music)) if hit.pitch == 62]
    starts = [round(hit.start / GRID * 2) for hit in struck]
    assert starts[:1] == [-1]
    assert 2 * 16 - 1 in starts


def test_with_a_click_and_with_the_band():
    phrase = phrase_of(TEXT)
    clicked = replace(phrase_take(phrase), parts=(), click=Click((2, 4)))
    assert {t.part for t in phrase_performance(phrase, clicked).tracks if t.notes} == {
        *("line", "click")
    }
    banded = phrase_performance(phrase, phrase_take(phrase))
    assert {t.part for t in banded.tracks if t.notes} == {"bass", "chords", "drums", "line"}


def test_another_key_each_time_round():
    phrase = phrase_of("Key: C\nTempo: 120\nChords: C7 | %\nMelody: q C4 E G Bb | w C5")
    take = replace(phrase_take(phrase), parts=(), times=12, keys=5)
    music = phrase_performance(phrase, take)
    firsts = [pitches(music)[n * 5] - 60 for n in range(12)]
    assert [one % 12 for one in firsts] == [(5 * n) % 12 for n in range(12)]
    assert all(-5 <= one <= 6 for one in firsts)
    intervals = {
        tuple(p - group[0] for p in group)
        for n in range(12)
        for group in [pitches(music)[n * 5 : n * 5 + 5]]
    }
    assert intervals == {(0, 4, 7, 10, 12)}


def test_in_another_key_the_phrase_moves_with_its_chords():
    phrase = phrase_of(TEXT)
    take = replace(phrase_take(phrase), parts=(), key=Key.written(0, "major"))
    moved = pitches(phrase_performance(phrase, take))
    assert {a - b for a, b in zip(moved, pitches(phrase_performance(phrase, phrase_take(phrase))),
                                  strict=True)} == {2}  # fmt: skip


def test_a_phrase_without_chords_has_no_band():
    phrase = phrase_of(NO_CHORDS)
    with pytest.raises(CannotPlay, match="write a `Chords:` line"):
        phrase_performance(phrase, phrase_take(phrase))
    alone = phrase_playable(phrase)
    assert pitches(alone.performance) == [60, 64, 67, 71]
    assert alone.title == "Phrase"


def test_a_pickup_needs_a_count_in_where_nothing_goes_round():
    phrase = phrase_of(TEXT)
    once = replace(phrase_take(phrase), loop=False)
    with pytest.raises(RequestError, match="count-in"):
        phrase_performance(phrase, once)
    music = phrase_performance(phrase, replace(once, count_in=1))
    assert line_of(music).notes[0].start < 0


def test_a_playable_has_page_and_sound_of_the_same_bars():
    made = phrase_playable(phrase_of(TEXT))
    bars = {marker.text for marker in made.performance.markers if marker.kind == "bar"}
    assert {str(m.id.number) for m in made.sheet.measures if m.id.number} <= bars


def test_the_exact_performance_is_in_even_time():
    phrase = phrase_of(TEXT)
    music = exact_performance(phrase)
    assert [(n.start, n.length) for n in line_of(music).notes] == [
        (one.start, one.length) for one in heard(phrase.notes) if one.pitch
    ]
    assert (music.start, music.length) == (-4, 12)
    assert [m.text for m in music.markers if m.kind == "chord"] == ["Cm7", "F7", "Bbmaj7"]
    assert music.tempo.at(Fraction(0)) == 120


def test_files_are_the_same_each_time(tmp_path):
    phrase = phrase_of(TEXT)
    for name in ("a.mid", "a.musicxml"):
        write_exact(phrase, tmp_path / name)
        first = (tmp_path / name).read_bytes()
        write_exact(phrase, tmp_path / name)
        assert (tmp_path / name).read_bytes() == first
    (page,) = write_sheet(phrase_sheet(phrase), tmp_path / "a.pdf", PAPERS["a4"])
    assert page.read_bytes().startswith(b"%PDF")
    write_phrase_music(phrase, phrase_take(phrase), tmp_path / "b.mid", lambda _share: None)
    assert (tmp_path / "b.mid").read_bytes().startswith(b"MThd")
