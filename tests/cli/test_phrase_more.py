"""Variations, etudes and phrases that are kept, as a player types them."""

import json
import wave
from pathlib import Path

import mido
import pytest

from chartkit.phrase.reader import parse
from chartkit.phrase.writer import write

TEXT = """Title: Corner
Key: Bb major
Tempo: 240
Chords: Cm7 | F7
Melody: e D4 | e Eb4 G Bb D5 C B4 C5 G4 | A4 F q F#4 h G4
"""


@pytest.fixture
def mine(chartkit, monkeypatch, tmp_path):
    """Run chartkit phrase in a folder that holds one phrase and one tune."""
    monkeypatch.setenv("CHARTKIT_HOME", str(tmp_path / "home"))
    Path("mine.phrase").write_text(TEXT, encoding="utf-8")
    return lambda *words: chartkit("phrase", *words)


# ---- vary ---------------------------------------------------------------------------------------


def test_variations_are_listed_with_what_they_change(mine):
    told = mine("vary", "mine.phrase", "--change", "octave")
    assert (told.code, told.err) == (0, "")
    head, under, *rows = told.out.splitlines()
    assert head == f"Corner: {len(rows)} variations"
    assert under.split() == ["changed"]
    assert all("octave" in row for row in rows)
    assert rows[0].split(maxsplit=2) == ["1", "octave", "an octave higher"]


def test_a_variation_is_shown_as_a_phrase(mine):
    told = mine("vary", "mine.phrase", "--change", "octave", "--number", "1")
    phrase = parse(told.out, "x").phrase
    assert phrase.note == ("Variation: an octave higher.",)
    assert [str(note.pitch) for note in phrase.notes[:2]] == ["D5", "Eb5"]


def test_two_things_at_once(mine):
    told = mine("vary", "mine.phrase", "--change", "octave", "--change", "rhythm", "--json")
    objects = json.loads(told.out)
    assert objects
    for one in objects:
        assert [change["changed"] for change in one["changes"]] == ["octave", "rhythm"]
        assert parse(one["phrase"], "x").phrase


def test_a_variation_is_written_as_a_phrase_a_page_and_sound(mine):
    for ending in ("phrase", "musicxml", "mid", "pdf"):
        told = mine("vary", "mine.phrase", "--number", "2", "-o", f"two.{ending}")
        assert (told.code, told.out) == (0, f"two.{ending}\n")
        assert Path(f"two.{ending}").stat().st_size > 100
    text = Path("two.phrase").read_text(encoding="utf-8")
    assert write(parse(text, "x").phrase) == text
    tracks = mido.MidiFile("two.mid").tracks
    assert any(one.type == "note_on" for track in tracks for one in track)


def test_a_variation_with_the_band(mine):
    words = ("--change", "octave", "--with-band", "--tempo", "240", "-o", "v.wav")
    assert mine("vary", "mine.phrase", *words).code == 0
    with wave.open("v.wav") as sound:  # two bars, and two that give its pick-up room
        assert sound.getnframes() == round(16 * 60 / 240 * sound.getframerate())


def test_a_file_that_is_there_is_not_written_over(mine):
    assert mine("vary", "mine.phrase", "-o", "mine.phrase").code == 2
    assert Path("mine.phrase").read_text(encoding="utf-8") == TEXT
    assert mine("vary", "mine.phrase", "-o", "mine.phrase", "--force").code == 0


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (("--change", "colour"), 2, "colour cannot be varied"),
        (("--change", "start", "--change", "octave", "--change", "mode"), 2, "at most"),
        (("--number", "999"), 2, "choose a number up to that"),
        (("--change", "mode", "--number", "1"), 2, "nothing about it can be changed so"),
    ],
)
def test_what_cannot_be_varied_is_told(mine, words, code, sentence):
    Path("minor.phrase").write_text("Chords: Bm7b5\nMelody: w B3", encoding="utf-8")
    name = "minor.phrase" if words[:2] == ("--change", "mode") else "mine.phrase"
    told = mine("vary", name, *words)
    assert sentence in told.err
    assert told.code == code


# ---- etude --------------------------------------------------------------------------------------


def test_an_etude_tells_what_it_is_made_of(mine, made):
    told = mine("etude", "tune.chart", "--day", "2026-03-01")
    assert (told.code, told.out) == (0, "tune-etude-2026-03-01.pdf\n")
    assert told.err.startswith("bar 1, 2 bars: ")
    assert "tune-etude-2026-03-01.pdf" in made()


def test_the_same_day_is_the_same_etude_and_another_is_another(mine):
    for name, day in (("a", "2026-03-01"), ("b", "2026-03-01"), ("c", "2026-03-02")):
        assert mine("etude", "tune.chart", "--day", day, "-o", f"{name}.musicxml").code == 0
    one, again, other = (Path(f"{n}.musicxml").read_bytes() for n in "abc")
    assert one == again
    assert one != other


def test_the_day_of_an_etude_is_asked_for_and_refused_as_everywhere(mine):
    """In the words of the commands that have a day too."""
    assert "--day DAY " in mine("etude", "--help").out
    told = mine("etude", "tune.chart", "--day", "soon")
    assert told.code == 2
    assert "`soon` is not a day; write one like 2026-03-01" in told.err


def test_an_etude_over_a_section_as_sound(mine):
    told = mine("etude", "tune.chart", "B", "--grade", "2", "--tempo", "240", "-o", "e.wav")
    assert told.code == 0
    with wave.open("e.wav") as sound:
        assert sound.getnframes() == round(16 * 60 / 240 * sound.getframerate())


def test_an_etude_takes_the_phrases_it_is_given(mine):
    told = [
        mine("etude", "tune.chart", "--phrase", "mine.phrase", "--seed", str(n), "-o", f"{n}.mid")
        for n in range(4)
    ]
    assert any(": Corner" in one.err for one in told)


def test_a_free_hand_and_a_grade_that_there_is_not(mine):
    assert mine("etude", "tune.chart", "--free", "-o", "f.mid").code == 0
    assert mine("etude", "tune.chart", "--grade", "9").code == 2
    assert mine("etude", "tune.chart", "--position", "40").code == 2
    assert mine("etude", "no.chart").code == 1


# ---- keep ---------------------------------------------------------------------------------------


def test_a_phrase_that_is_kept_is_tidy_and_known_by_its_name(mine, tmp_path):
    kept = tmp_path / "home" / "phrases" / "mine.phrase"
    told = mine("keep", "mine.phrase")
    assert (told.code, told.out) == (0, f"{kept}\n")
    assert kept.read_text(encoding="utf-8") == write(parse(TEXT, "x").phrase)
    assert mine("keep").out == "mine: Corner\n"
    Path("mine.phrase").unlink()
    assert mine("check", "mine").out.startswith("Corner\n")
    assert mine("vary", "mine").out.startswith("Corner: ")


def test_another_phrase_of_that_name_is_not_written_over(mine):
    assert mine("keep", "mine.phrase").code == 0
    assert mine("keep", "mine.phrase").code == 0  # the same one
    Path("mine.phrase").write_text(TEXT.replace("Corner", "Other"), encoding="utf-8")
    told = mine("keep", "mine.phrase")
    assert told.code == 2
    assert "another phrase is kept as mine" in told.err
    assert mine("keep", "mine.phrase", "--force").code == 0
    assert mine("keep").out == "mine: Other\n"


def test_keeping_no_more(mine):
    assert mine("keep", "mine.phrase").code == 0
    assert mine("keep", "--no-more", "mine").code == 0
    told = mine("keep")
    assert (told.code, told.out) == (0, "")
    assert "no phrases are kept yet" in told.err
    assert mine("keep", "--no-more", "mine").code == 2


def test_what_is_no_phrase_is_not_kept(mine, tmp_path):
    Path("torn.phrase").write_text("| | |", encoding="utf-8")
    assert mine("keep", "torn.phrase").code == 1
    assert not (tmp_path / "home" / "phrases").exists()


def test_a_home_that_cannot_be_written_is_told(mine, tmp_path):
    (tmp_path / "home").write_text("a file", encoding="utf-8")
    told = mine("keep", "mine.phrase")
    assert told.code == 1
    assert "cannot write" in told.err


def test_a_name_that_no_file_can_have_is_told(mine, chartkit):
    for told in (mine("check", "x" * 300), chartkit("check", "x" * 300)):
        assert told.code == 1
        assert "there is no " in told.err


# ---- In the routine of a day --------------------------------------------------------------------


def test_a_kept_phrase_comes_up_in_a_day(mine, chartkit):
    Path("mine.phrase").write_text(TEXT.replace("Cm7 | F7", "Gm7 | C7"), encoding="utf-8")
    assert mine("keep", "mine.phrase").code == 0
    words = ("--day", "2026-03-01", "--minutes", "120", "--json")
    told = chartkit("today", "tune.chart", *words)
    assert told.code == 0, told.err
    found = next((item for item in json.loads(told.out) if item["phrase"] == "mine"), None)
    assert found
    assert found["activity"] == "vocabulary"
    assert found["kind"] == "Corner"
    assert found["title"].startswith("Corner through ")
