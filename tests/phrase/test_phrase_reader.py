"""The reader on whole files: phrases that read, phrases that do not, and files that are none.

In ``tests/phrases/good`` each phrase lies beside its tidy text and the warnings after it; in
``tests/phrases/bad`` beside the whole text that a player sees. ``python
tests/phrase/test_phrase_reader.py`` writes these texts anew; read the difference before keeping it.
"""

import io
import sys
from fractions import Fraction
from pathlib import Path

import pytest

from chartkit.errors import ChartFaults, OutputError
from chartkit.lines import MOST_FAULTS
from chartkit.phrase.reader import parse, read
from chartkit.phrase.writer import write
from chartkit.source import LIMIT
from chartkit.theory.symbol import write_symbol

HERE = Path(__file__).parents[1] / "phrases"
GOOD = sorted((HERE / "good").glob("*.phrase"))
BAD = sorted((HERE / "bad").glob("*.phrase"))


def faults(path):
    """What a player sees: every fault, the file by its name alone."""
    reading = parse(path.read_bytes().decode(), path.name)
    assert reading.phrase is None
    return "".join(f"{fault}\n" for fault in reading.faults)


def listing(path):
    """A phrase's tidy text, its notes and chords written out plainly, and its warnings."""
    reading = parse(path.read_bytes().decode(), path.name)
    assert reading.phrase, "\n".join(map(str, reading.faults))
    phrase = reading.phrase
    told = [write(phrase), f"pick-up {phrase.pickup}, bars on each line {phrase.lines}"]
    told += [chord_line(one) for one in phrase.chords]
    told += [note_line(note) for note in phrase.notes]
    told += [str(fault) for fault in reading.faults]
    return "\n".join(told) + "\n"


def chord_line(one):
    return f"{one.start!s:>5} +{one.length!s:<4} {write_symbol(one.chord) if one.chord else 'N.C.'}"


def note_line(note):
    typed = f" ({note.degree})" if note.degree else ""
    tied = " tied" if note.tie else ""
    return f"{note.start!s:>5} +{note.length!s:<4} {note.pitch or 'rest'}{typed}{tied}"


def phrase_of(text):
    reading = parse(text, "x")
    assert reading.phrase, "\n".join(map(str, reading.faults))
    return reading.phrase


def pitches(text):
    return [str(note.pitch) for note in phrase_of(text).notes if note.pitch]


def found(text):
    return [fault.found for fault in parse(text, "x").faults if fault.severity == "error"]


# ---- Phrases that read, phrases that do not ---------------------------------------------------


def test_there_are_phrases_of_both_kinds():
    assert GOOD
    assert BAD


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_good_phrase(path):
    assert listing(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_bad_phrase(path):
    assert faults(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_every_text_has_its_phrase():
    texts = {path.with_suffix("") for path in HERE.glob("*/*.txt")}
    assert texts == {path.with_suffix("") for path in (*GOOD, *BAD)}


# ---- One fault hides no other -----------------------------------------------------------------

SLIPS = {
    "?": "`?` cannot stand here",
    "w h4": "`h4` is no note: the note H is written B here",
    "w Dm7": "`Dm7` is no note",
    "q C4 D4 E4": "3 beats in a bar of 4 beats",
    "h C4 D4 E4": "6 beats in a bar of 4 beats",
    "te C4 D4 e E4 F4 G4 A4": "the triplet before this note is not full",
    "w _ C4": "`_` stands after no note",
    "h C4 w": "the bar ends too soon",
    "up C4": "`C4` cannot stand here",
    "": "this bar is empty",
}


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("other", SLIPS)
def test_two_slips_in_a_row_are_both_told_and_nothing_else_is(slip, other):
    chords = " | ".join(["C7"] * 5)
    row = f"Melody: | w C4 | {slip} | w C4 | {other} | w C4 |\n"
    reading = parse(f"Key: C\nChords: | {chords} |\nChords: | {chords} |\n{row}{row}", "x")
    told = [(fault.place.line, fault.found) for fault in reading.faults]
    assert [line for line, _ in told] == [4, 4, 5, 5]
    for (_, said), expected in zip(told, [slip, other] * 2, strict=True):
        assert SLIPS[expected] in said


def test_faults_come_in_order_of_place():
    text = "Tempo: 1\nChords: | H | F7 (b9) |\nMelody: | C4 D4 | _ |\n"
    places = [(fault.place.line, fault.place.column) for fault in parse(text, "x").faults]
    assert places == sorted(places)


def test_what_has_too_many_faults_is_cut_short():
    many = parse("\n".join("Word: x" for _ in range(1000)), "x")
    assert len(many.faults) == MOST_FAULTS
    assert many.faults[-1].found.endswith("mend those above first")


def test_columns_count_characters_whatever_their_width():
    text = "Key: F\nChords: B♭7\nMelody: e B♭4 𝄫 C4\n"
    assert [f.place.column for f in parse(text, "x").faults] == [15]


def test_a_note_knows_its_place():
    phrase = parse("Key: C\nChords: C7\nMelody: | e C4 up 5 |", "my.phrase").phrase
    assert [str(note.place) for note in phrase.notes[:2]] == ["my.phrase:3:13", "my.phrase:3:19"]
    assert str(phrase.chords[0].place) == "my.phrase:2:9"


# ---- What the notation means ------------------------------------------------------------------


def test_a_letter_alone_is_in_the_octave_of_the_note_before():
    assert pitches("Melody: e B3 C D C4 B") == ["B3", "C3", "D3", "C4", "B4"]


def test_a_degree_is_nearest_to_the_note_before():
    # A tritone lies as far up as down: it goes up.
    assert pitches("Chords: C7\nMelody: e 1 5 1 #11 1 b9 b7") == [
        *("C4", "G3", "C4", "F#4", "C5", "Db5", "Bb4")
    ]


def test_up_and_down_lead_past_the_nearest():
    assert pitches("Chords: C7\nMelody: e 1 up 1 up 5 down 5 down down 1") == [
        *("C4", "C5", "G5", "G4", "C3")
    ]


def test_a_degree_is_spelled_by_its_chord():
    assert pitches("Chords: E7 Gb7\nMelody: h #9 b7") == ["F##3", "Fb3"]


def test_a_degree_in_a_pickup_belongs_to_the_first_chord():
    assert pitches("Chords: F7 | Bb7\nMelody: e 5 b7 | w 1") == ["C4", "Eb4", "F4"]


def test_a_tied_degree_keeps_the_name_of_the_note_before():
    assert pitches("Chords: F#7 | Gb7\nMelody: | w 1 _ | w 1") == ["F#4", "F#4"]


def test_without_a_value_notes_are_eighths():
    notes = phrase_of("Melody: C4 D4").notes
    assert [note.length for note in notes[:2]] == [Fraction(1, 2)] * 2


def test_what_is_shorter_than_a_bar_and_before_its_bar_line_is_a_pickup():
    assert phrase_of("Melody: e C4 D4 | w E4").pickup == 1
    assert phrase_of("Melody: w C4 | w E4").pickup == 0
    assert phrase_of("Melody: e C4 D4").pickup == 0


def test_rests_fill_the_last_bar_and_those_that_only_have_chords():
    phrase = phrase_of("Chords: C7 | F7 | C7\nMelody: | w C4 | q F4 |")
    assert phrase.length == 12
    assert [note.pitch is None for note in phrase.notes] == [False, False, True, True]


def test_a_meter_that_cannot_be_read_brings_no_other_faults():
    assert found("Meter: 4/3\nChords: C7 F7 G7\nMelody: q C4 D4 E4 F4 G4 | e 5 | e 1") == [
        "there is no note to write the 3 of `4/3`"
    ]


def test_an_unknown_chord_brings_no_faults_of_the_degrees_over_it():
    assert len(found("Chords: Xyz\nMelody: 1 3 5")) == 1


def test_what_is_out_of_range_is_told_however_it_is_typed():
    assert found("Key: C\nChords: C7\nMelody: e down down down down down 7 B#9 A9 G9") == [
        *("B-1 is out of range", "B#9 is out of range", "A9 is out of range")
    ]


def test_chords_that_are_not_known_are_told_once():
    assert len(found("Melody: 1 3 5 b7 | 1 2 3")) == 1


def test_a_warning_alone_leaves_the_phrase_whole():
    reading = parse("Chords: Bb5\nMelody: C4", "x")
    assert reading.phrase
    assert {fault.severity for fault in reading.faults} == {"warning"}


# ---- Files ------------------------------------------------------------------------------------


def test_a_file_is_read(tmp_path):
    path = tmp_path / "my.phrase"
    path.write_bytes("\ufeffKey: F\r\nChords: F7\r\nMelody: w F4\r\n".encode())
    assert str(read(str(path)).key) == "F major"


def test_standard_input_is_read(monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"Melody: w F4")))
    assert len(read("-").notes) == 1


def test_the_faults_of_a_file_are_raised_together(tmp_path):
    path = tmp_path / "my.phrase"
    path.write_text("Key: X\nMelody: w h4\n")
    with pytest.raises(ChartFaults) as raised:
        read(str(path))
    assert len([f for f in raised.value.faults if f.severity == "error"]) == 2


def test_a_file_that_is_not_there_or_too_large(tmp_path):
    with pytest.raises(OutputError, match="there is no such file"):
        read(str(tmp_path / "none.phrase"))
    with pytest.raises(OutputError, match="name a phrase file in it"):
        read(str(tmp_path))
    (tmp_path / "large.phrase").write_bytes(b"|" * (LIMIT + 1))
    with pytest.raises(OutputError, match="larger than 256 kB, so it is not a phrase"):
        read(str(tmp_path / "large.phrase"))


def test_the_largest_text_is_read_and_a_larger_one_refused():
    lead = "Key: F\nChords: F7\nMelody: w F4\n"
    full = lead + "; " + "x" * (LIMIT - len(lead) - 2)
    assert parse(full, "x").phrase
    assert [fault.found for fault in parse(full + "x", "x").faults] == [
        "the text is larger than 256 kB, so it is not a phrase"
    ]


if __name__ == "__main__":
    for path in GOOD:
        path.with_suffix(".txt").write_text(listing(path), encoding="utf-8")
    for path in BAD:
        path.with_suffix(".txt").write_text(faults(path), encoding="utf-8")
