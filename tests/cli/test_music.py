"""`loop` and `playalong`, as they are typed; what they sound like is tested where it is made."""

import io
import sys
from pathlib import Path

import mido
import pytest
import soundfile

BAR = 4 * 60 / 160
"""Seconds of a bar of the tune in these tests."""


def seconds(path):
    info = soundfile.info(str(path))
    return info.frames / info.samplerate


def markers(path):
    return [m.text for track in mido.MidiFile(path).tracks for m in track if m.type == "marker"]


def texts(path):
    return [m.text for track in mido.MidiFile(path).tracks for m in track if m.type == "text"]


def parts(path):
    """Names of the tracks that hold notes."""
    return {
        track.name
        for track in mido.MidiFile(path).tracks
        if any(message.type == "note_on" for message in track)
    }


@pytest.mark.parametrize(
    ("words", "name", "bars"),
    [
        (["A"], "tune-A.wav", 4),
        (["A", "B"], "tune-A-B.wav", 8),
        (["--bars", "3-5"], "tune-bars-3-5.wav", 3),
        ([], "tune.wav", 8),
        (["A", "--times", "2"], "tune-A.wav", 8),
        (["A", "--times", "2", "--same"], "tune-A.wav", 8),
        (["A", "--count-in", "2"], "tune-A.wav", 6),
        (["A", "--key", "Bb"], "tune-A-in-Bb.wav", 4),
    ],
)
def test_a_loop_is_as_long_as_its_bars(chartkit, made, words, name, bars):
    told = chartkit("loop", "tune.chart", *words)
    assert (told.code, told.out) == (0, f"{name}\n")
    assert made() == [name]
    assert soundfile.info(name).frames == pytest.approx(bars * BAR * 44100, abs=1)


@pytest.mark.parametrize("ending", ["mid", "wav", "flac", "ogg", "mp3"])
def test_the_ending_decides_the_format(chartkit, made, ending):
    told = chartkit("loop", "tune.chart", "A", "-o", f"a.{ending}")
    assert told.code == 0
    assert made() == [f"a.{ending}"]
    magic = {"mid": b"MThd", "wav": b"RIFF", "flac": b"fLaC", "ogg": b"OggS"}
    start = Path(f"a.{ending}").read_bytes()[:4]
    assert start == magic[ending] if ending in magic else start[0] == 0xFF or start[:3] == b"ID3"
    assert ("gap" in told.err) == (ending == "mp3")


def test_tempo_and_key_reach_the_music(chartkit):
    chartkit("loop", "tune.chart", "A", "--tempo", "120", "--key", "G", "-o", "a.mid")
    file = mido.MidiFile("a.mid")
    messages = [m for track in file.tracks for m in track]
    assert [m.tempo for m in messages if m.type == "set_tempo"] == [500_000]
    assert [m.key for m in messages if m.type == "key_signature"] == ["G"]
    assert "Am7" in texts("a.mid")


def test_a_part_is_left_out_and_the_others_stay(chartkit):
    chartkit("loop", "tune.chart", "A", "-o", "all.mid")
    chartkit("loop", "tune.chart", "A", "--without", "bass", "--without", "drums", "-o", "one.mid")
    left = parts("all.mid") - parts("one.mid")
    assert len(parts("all.mid")) == 3
    assert len(left) == 2

    def notes(path):
        tracks = {track.name: track for track in mido.MidiFile(path).tracks}
        return [
            (m.note, m.time) for m in tracks[next(iter(parts("one.mid")))] if m.type == "note_on"
        ]

    assert [n for n, _ in notes("all.mid")] == [n for n, _ in notes("one.mid")]


def test_one_seed_one_take(chartkit):
    for name, seed in (("a", 1), ("b", 1), ("c", 2)):
        chartkit("loop", "tune.chart", "A", "--seed", seed, "-o", f"{name}.mid")
    a, b, c = (Path(f"{name}.mid").read_bytes() for name in "abc")
    assert a == b != c


def test_a_named_file_is_not_written_over_without_force(chartkit):
    Path("mine.mid").write_bytes(b"mine")
    told = chartkit("loop", "tune.chart", "A", "-o", "mine.mid")
    assert told.code == 2
    assert "--force" in told.err
    assert Path("mine.mid").read_bytes() == b"mine"
    assert chartkit("loop", "tune.chart", "A", "-o", "mine.mid", "--force").code == 0
    assert Path("mine.mid").read_bytes() != b"mine"


def test_a_default_name_is_replaced_freely(chartkit):
    assert chartkit("loop", "tune.chart", "A").code == 0
    assert chartkit("loop", "tune.chart", "A").code == 0


def test_a_playalong_counts_in_builds_and_ends(chartkit):
    told = chartkit("playalong", "tune.chart", "--choruses", "2", "-o", "all.mid")
    assert told.code == 0
    assert {"Chorus 1", "Chorus 2", "A", "B"} <= set(markers("all.mid"))
    # two bars of count-in, two choruses of eight, then the last chord
    assert mido.MidiFile("all.mid").length >= (2 + 16) * BAR


def test_a_playalong_is_heard_to_its_end(chartkit):
    assert chartkit("playalong", "tune.chart", "--choruses", "1").out == "tune-playalong.wav\n"
    sound, rate = soundfile.read("tune-playalong.wav")
    assert len(sound) / rate >= 10 * BAR
    assert abs(sound[-rate // 100 :]).max() < 0.01
    assert abs(sound).max() <= 1


def test_a_chart_comes_from_a_pipe(chartkit, monkeypatch, made):
    text = Path("tune.chart").read_bytes()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text)))
    assert chartkit("loop", "-", "A", "-o", "a.mid").code == 0
    assert made() == ["a.mid"]


def test_a_demo_tune_is_known_by_name(chartkit, made):
    assert chartkit("loop", "twelve-spoons", "A", "-o", "a.mid").code == 0
    assert made() == ["a.mid"]


def test_a_soundfont_can_be_named_for_one_take(chartkit):
    told = chartkit("loop", "tune.chart", "A", "--soundfont", "none.sf2")
    assert told.code == 1
    assert "none.sf2" in told.err


def test_stems_are_a_file_for_each_part_under_the_usual_name(chartkit, made):
    told = chartkit("loop", "tune.chart", "A", "--stems", "--count-in", "1")
    names = [f"tune-A-{part}.wav" for part in ("bass", "chords", "click", "drums")]
    assert told.code == 0
    assert sorted(told.out.split()) == made() == names
    assert len({soundfile.info(name).frames for name in names}) == 1


def test_stems_go_into_a_folder_or_beside_what_is_named(chartkit, made):
    chartkit("playalong", "tune.chart", "--choruses", "1", "--stems", "-o", "parts/")
    assert {p.name for p in Path("parts").iterdir()} == {
        f"tune-playalong-{part}.wav" for part in ("bass", "chords", "click", "drums")
    }
    words = ("loop", "tune.chart", "A", "--only", "bass", "--stems", "-o", "mine.flac")
    assert chartkit(*words).out == "mine-bass.flac\n"
    again = chartkit(*words)
    assert (again.code, "mine-bass.flac exists already" in again.err) == (2, True)
    assert chartkit(*words, "--force").code == 0
    assert "mine.flac" not in made()


def test_a_loop_goes_into_a_folder(chartkit):
    assert chartkit("loop", "tune.chart", "A", "-o", "loops/").out == "loops/tune-A.wav\n"


def test_stems_are_sound(chartkit, made):
    told = chartkit("loop", "tune.chart", "A", "--stems", "-o", "a.mid")
    assert told.code == 2
    assert "choose .wav or .flac" in told.err
    assert not made()


def test_an_exercise_and_a_routine_as_stems(chartkit, made):
    told = chartkit("exercise", "tune.chart", "A", "--with-band", "--stems", "-o", "line.wav")
    names = [f"line-{part}.wav" for part in ("bass", "chords", "drums", "line")]
    assert told.code == 0
    assert made() == names
    assert len({soundfile.info(name).frames for name in names}) == 1
    assert chartkit("technique", "scales", "--stems", "-o", "scale.flac").code == 0
    assert {"scale-click.flac", "scale-line.flac"} <= set(made())
    again = chartkit("technique", "scales", "--stems", "-o", "scale.flac")
    assert (again.code, "exists already" in again.err) == (2, True)


@pytest.mark.parametrize("words", [("exercise", "tune.chart"), ("technique", "scales")])
def test_stems_of_a_page_are_refused(chartkit, made, words):
    told = chartkit(*words, "--stems")
    assert told.code == 2
    assert "name a sound file with -o" in told.err
    assert not made()
