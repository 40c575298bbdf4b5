"""The commands of phrases as a player types them."""

import json
import wave
from pathlib import Path

import pytest

from chartkit.cli.phrase import COMMANDS
from chartkit.cli.phrase_loading import demos

TEXT = """Title: Corner
Key: Bb major
Tempo: 240
Chords: Cm7 | F7
Melody: e D4 | e Eb4 G Bb D5 C B4 C5 G4 | A4 F q F#4 h G4
"""


@pytest.fixture
def mine(chartkit, monkeypatch, tmp_path):
    """Run chartkit phrase in a folder that holds one phrase."""
    monkeypatch.setenv("CHARTKIT_HOME", str(tmp_path / "home"))
    Path("mine.phrase").write_text(TEXT, encoding="utf-8")
    return lambda *words: chartkit("phrase", *words)


# ---- Help ---------------------------------------------------------------------------------------


def test_help_names_every_command(mine):
    told = mine("--help")
    assert told.code == 0
    assert all(f"  {name} " in told.out and line in told.out for name, line in COMMANDS.items())


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_an_example(mine, command):
    told = mine(command, "--help")
    assert told.code == 0
    assert f"Example: chartkit phrase {command} " in told.out


def test_an_unknown_command_is_wrong_usage(mine):
    assert mine("sing").code == 2


# ---- check and tidy -----------------------------------------------------------------------------


def test_check_tells_what_a_phrase_holds(mine):
    told = mine("check", "mine.phrase")
    assert (told.code, told.err) == (0, "")
    assert told.out == (
        "Corner\n"
        "  Key       Bb major\n"
        "  Meter     4/4, swing\n"
        "  Chords    Cm7 | F7\n"
        "  Length    2 bars and a pick-up of 1/2 quarter; 13 notes, D4 to D5\n"
    )


def test_check_tells_every_fault_and_goes_on(mine):
    Path("bad.phrase").write_text("Key: H\nMelody: q d4 E4\n", encoding="utf-8")
    told = mine("check", "bad.phrase", "none.phrase", "mine.phrase")
    assert told.code == 1
    assert "bad.phrase:1:6: `H` is not a key" in told.err
    assert "bad.phrase:2:11: `d4` is no note" in told.err
    assert "chartkit: cannot read none.phrase: there is no such file" in told.err
    assert told.out.startswith("Corner\n")


def test_check_as_json(mine):
    Path("bad.phrase").write_text("Melody: q d4\n", encoding="utf-8")
    told = mine("check", "--json", "mine.phrase", "bad.phrase")
    assert told.code == 1
    one, other = json.loads(told.out)
    assert one["title"] == "Corner"
    assert one["chords"] == "Cm7 | F7"
    assert (one["bars"], one["pickup"], one["notes"]) == (2, 0.5, 13)
    assert one["range"] == ["D4", "D5"]
    assert other["faults"][-1]["line"] == 1
    assert "title" not in other


def test_demo_phrases_are_found_by_name(mine):
    assert len(demos()) == 20
    told = mine("check", *demos())
    assert (told.code, told.err) == (0, "")
    assert told.out.count("demo phrase") == 20
    lost = mine("analyse", "no-such-phrase")
    assert lost.code == 1
    assert "the demo phrases are back-door-twice, " in lost.err


def test_tidy_rewrites_a_file(mine):
    Path("mine.phrase").write_text(f"; my own\n{TEXT}", encoding="utf-8")
    assert mine("tidy", "--check", "mine.phrase").code == 1
    assert mine("tidy", "mine.phrase").code == 0
    text = Path("mine.phrase").read_text(encoding="utf-8")
    assert text.startswith("; my own\nTitle: Corner\n")
    assert "Melody: e D4 | e Eb4 G4 Bb4 D5 C5 B4 C5 G4 | e A4 F4 q F#4 h G4 |]\n" in text
    assert mine("tidy", "--check", "mine.phrase").code == 0


def test_a_file_with_faults_is_left_as_it_was(mine):
    Path("bad.phrase").write_text("Melody: q d4\n", encoding="utf-8")
    assert mine("tidy", "bad.phrase").code == 1
    assert Path("bad.phrase").read_text(encoding="utf-8") == "Melody: q d4\n"


# ---- analyse ------------------------------------------------------------------------------------

GOLDEN = Path(__file__).parents[1] / "golden" / "phrase_analyse"


@pytest.mark.parametrize("path", sorted(GOLDEN.glob("*.txt")), ids=lambda path: path.stem)
def test_analyse_golden(mine, path):
    assert mine("analyse", path.stem).out == path.read_text(encoding="utf-8")


def test_analyse_in_another_key_has_the_same_degrees(mine):
    told = json.loads(mine("analyse", "mine.phrase", "--json").out)
    moved = json.loads(mine("analyse", "mine.phrase", "--json", "--key", "E").out)
    same = ("bar", "beat", "degree", "standing", "role", "length")
    assert [[note[word] for word in same] for note in told["notes"]] == [
        [note[word] for word in same] for note in moved["notes"]
    ]
    assert moved["notes"][1] | {"chord": "F#m7", "pitch": "A4", "degree": "b3"} == moved["notes"][1]
    assert told["positions"][0]["position"]


def test_the_other_mode_is_refused(mine):
    told = mine("analyse", "mine.phrase", "--key", "Em")
    assert told.code == 2
    assert told.err.endswith(
        "the phrase is in Bb major, and a transposition keeps the mode: say --key E\n"
    )


# ---- convert ------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ["musicxml", "mid"])
def test_there_and_back(mine, ending):
    assert mine("convert", "mine.phrase", "-o", f"a.{ending}").out == f"a.{ending}\n"
    told = mine("convert", f"a.{ending}", "-o", "again.phrase")
    assert told.out == "again.phrase\n"
    mine("tidy", "mine.phrase")
    melody = [
        [row for row in Path(name).read_text(encoding="utf-8").splitlines() if row[:6] != "Source"]
        for name in ("mine.phrase", "again.phrase")
    ]
    assert melody[0] == melody[1]
    assert ("names of notes are guessed" in told.err) == (ending == "mid")


def test_a_file_is_not_written_over(mine):
    told = mine("convert", "mine.phrase", "-o", "mine.phrase")
    assert told.code == 2
    assert "--force" in told.err


def test_what_cannot_be_read_is_one_sentence(mine):
    Path("a.xml").write_text("<a>", encoding="utf-8")
    Path("a.mid").write_text("no", encoding="utf-8")
    told = mine("convert", "a.xml")
    assert told.code == 1
    assert told.err == "chartkit: cannot read a.xml: it is not well-formed XML in line 1\n"
    assert mine("convert", "a.mid").err == "chartkit: cannot read a.mid: it is no MIDI file\n"
    assert "there is no such file" in mine("convert", "none.mxl").err
    assert mine("convert", "mine.phrase", "--bars", "1-2").code == 2
    assert mine("convert", "a.xml", "--swung").code == 2


# ---- page and sound -----------------------------------------------------------------------------


def test_a_page_in_every_format(mine):
    for ending in ("pdf", "svg", "png", "musicxml"):
        told = mine("page", "mine.phrase", "--position", "X", "-o", f"p.{ending}")
        assert (told.code, told.out) == (0, f"p.{ending}\n")
    assert b"<fret>" in Path("p.musicxml").read_bytes()
    assert (
        mine("page", "mine.phrase", "--key", "C", "--position", "12", "--degrees").out
        == "mine-in-C-XII.pdf\n"
    )
    told = mine("page", "mine.phrase", "--position", "I")
    assert told.code == 1
    assert "cannot be played in position I" in told.err


def test_sound_alone_with_a_click_and_with_the_band(mine):
    assert mine("sound", "mine.phrase").out == "mine.wav\n"
    with wave.open("mine.wav") as sound:
        # two bars, and two more for its pick-up to come in
        assert sound.getnframes() / sound.getframerate() == pytest.approx(4, abs=0.01)
    assert mine("sound", "mine.phrase", "--click", "2,4", "-o", "c.mid").code == 0
    keys = ("--key", "C", "--times", "2", "--key-each-time", "fourths", "--count-in", "1")
    assert mine("sound", "mine.phrase", "--with-band", *keys, "-o", "b.mid").code == 0
    Path("bare.phrase").write_text("Key: C\nMelody: w C4\n", encoding="utf-8")
    told = mine("sound", "bare.phrase", "--with-band")
    assert told.code == 1
    assert "write a `Chords:` line" in told.err
    assert mine("sound", "bare.phrase", "-o", "bare.mid").code == 0
