"""`technique`, as it is typed; what the routines hold is tested where they are made."""

from pathlib import Path

import mido
import pytest

MAGIC = {".pdf": b"%PDF", ".svg": b"<", ".png": b"\x89PNG", ".musicxml": b"<?xml", ".mid": b"MThd"}
EVERY = {".pdf", ".svg", ".png", ".musicxml", ".mid", ".wav", ".flac", ".ogg", ".mp3"}


def notes(path):
    file = mido.MidiFile(path)
    return [m.note for m in file if m.type == "note_on" and m.velocity and m.channel != 9]


def keys(path):
    return [
        m.key for track in mido.MidiFile(path).tracks for m in track if m.type == "key_signature"
    ]


def tempos(path):
    return [m.tempo for track in mido.MidiFile(path).tracks for m in track if m.type == "set_tempo"]


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["warmup"], "warmup-day-1.pdf"),
        (["warmup", "1-2-4-3", "4321"], "warmup-1243-4321.pdf"),
        (["scales"], "scales-scale-C.pdf"),
        (["scales", "thirds", "--key", "Bb"], "scales-thirds-Bb.pdf"),
        (["scales", "1235", "--keys", "2", "--day", "3"], "scales-1235-day-3.pdf"),
        (["chords", "drop-2", "--scale", "melodic minor"], "chords-melodic-minor-drop-2-C.pdf"),
    ],
)
def test_a_routine_is_a_page_by_default(chartkit, made, words, name):
    told = chartkit("technique", *words)
    assert (told.code, told.out, told.err) == (0, f"{name}\n", "")
    assert made() == [name]
    assert Path(name).read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("ending", MAGIC)
@pytest.mark.parametrize("kind", ["warmup", "scales", "chords"])
def test_the_ending_decides_the_format(chartkit, made, kind, ending):
    assert chartkit("technique", kind, "-o", f"x{ending}").code == 0
    assert made() == [f"x{ending}"]
    assert Path(f"x{ending}").read_bytes().startswith(MAGIC[ending])


def test_a_folder_gets_every_format(chartkit):
    words = ["--click", "none", "--tempo", "200", "--count-in", "0"]
    assert chartkit("technique", "warmup", "1234", *words, "-o", "out/").code == 0
    assert {path.suffix for path in Path("out").iterdir()} == EVERY
    assert {path.stem for path in Path("out").iterdir()} == {"warmup-1234"}


def test_four_keys_a_day_cover_the_twelve_in_three_days(chartkit):
    days = []
    for day in ("1", "2", "3", "4"):
        words = ["--keys", "4", "--day", day, "--key", "Eb", "-o", f"{day}.mid"]
        assert chartkit("technique", "scales", *words).code == 0
        days.append(keys(f"{day}.mid"))
    assert [len(day) for day in days] == [4, 4, 4, 4]
    assert len({key for day in days[:3] for key in day}) == 12
    assert days[0][0] == "Eb"
    assert days[3] == days[0]


def test_the_easiest_keys_of_a_position_come_first(chartkit):
    words = ["--keys", "4", "--order", "stretches", "--position", "VII", "-o", "x.mid"]
    chartkit("technique", "scales", *words)
    assert keys("x.mid") == ["C", "G", "F", "D"]


def test_scale_tempo_and_tuning_reach_the_music(chartkit):
    words = ["--scale", "harmonic minor", "--key", "A", "--tempo", "120", "-o", "x.mid"]
    assert chartkit("technique", "scales", *words).code == 0
    assert keys("x.mid") == ["Am"]
    assert tempos("x.mid") == [500_000]
    assert {note % 12 for note in notes("x.mid")} == {9, 11, 0, 2, 4, 5, 8}
    chartkit("technique", "warmup", "1234", "--position", "5", "-o", "a.mid")
    chartkit("technique", "warmup", "1234", "--position", "5", "--tuning", "drop D", "-o", "b.mid")
    chartkit("technique", "warmup", "1234", "--position", "5", "--capo", "2", "-o", "c.mid")
    standard = notes("a.mid")
    assert notes("b.mid")[:5] == [note - 2 for note in standard[:4]] + standard[4:5]
    assert notes("c.mid") == [note + 2 for note in standard]


def clicks(path):
    (track,) = (t for t in mido.MidiFile(path).tracks if t.name == "Click")
    return sum(m.type == "note_on" and m.velocity > 0 for m in track)


def test_a_click_is_asked_for_as_in_a_loop(chartkit):
    found = {}
    for beats in ("all", "2,4", "none"):
        words = ["warmup", "1234", "--count-in", "0", "--click", beats, "-o", f"{beats}.mid"]
        assert chartkit("technique", *words).code == 0
        tracks = [track.name for track in mido.MidiFile(f"{beats}.mid").tracks]
        found[beats] = clicks(f"{beats}.mid") if "Click" in tracks else 0
    assert found == {"all": 24, "2,4": 12, "none": 0}  # six bars
    assert chartkit("technique", "warmup", "--click", "5", "-o", "x.mid").code == 2


def test_with_the_band_in_a_feel(chartkit):
    words = ["scales", "thirds", "--feel", "jazz waltz", "--with-band", "--tempo", "120"]
    assert chartkit("technique", *words, "-o", "x.mid").code == 0
    assert {track.name for track in mido.MidiFile("x.mid").tracks} >= {"Bass", "Chords", "Line"}
    told = chartkit("technique", "warmup", "--with-band", "-o", "y.mid")
    assert (told.code, "leave the band out" in told.err) == (2, True)


def test_another_instrument_plays_in_its_range(chartkit):
    words = ["--instrument", "trombone", "--range", "C3-C4", "-o", "x.mid"]
    assert chartkit("technique", "scales", *words).code == 0
    assert (min(notes("x.mid")), max(notes("x.mid"))) == (48, 60)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["warmup", "1-2-3-5"], "not an order of the fingers"),
        (["warmup", "1"], "not an order of the fingers"),
        (["warmup", "--instrument", "flute"], "need frets"),
        (["warmup", "--to", "III"], "up the neck"),
        (["scales", "--tuning", "E2"], "3 to 12 strings"),
        (["scales", "--capo", "30"], "a capo lies on a fret"),
        (["scales", "hops"], "not a figure"),
        (["scales", "--position", "V", "--three-a-string"], "not both"),
        (["scales", "--range", "C3-C4"], "say --position instead"),
        (["scales", "--instrument", "flute", "--position", "V"], "say --range instead"),
        (["scales", "--instrument", "flute", "--capo", "2"], "has no frets"),
        (["scales", "--key", "Am"], "say --key A"),
        (["scales", "--three-a-string", "--order", "stretches"], "choose another --order"),
        (["chords", "--order", "stretches"], "choose another --order"),
        (["chords", "--strings", "321"], "not a set of strings"),
        (["chords", "--strings", "2-1"], "take 3 strings"),
        (["chords", "--instrument", "violin"], "need frets"),
    ],
)
def test_what_makes_no_sense_is_wrong_usage(chartkit, made, words, told):
    result = chartkit("technique", *words)
    assert result.code == 2
    assert told in result.err
    assert made() == []


def test_a_shape_that_is_not_there_is_told(chartkit, made):
    result = chartkit("technique", "chords", "triads", "--strings", "6-3-1")
    assert result.code == 1
    assert "choose other strings" in result.err
    assert made() == []


@pytest.mark.parametrize("kind", ["warmup", "scales", "chords"])
def test_every_kind_has_help_and_an_example(chartkit, kind):
    told = chartkit("technique", kind, "--help")
    assert told.code == 0
    assert f"Example: chartkit technique {kind} " in told.out
