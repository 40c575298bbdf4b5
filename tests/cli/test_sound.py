"""`sound`: what plays and why, and a few bars of it; or in one sentence what there is not."""

import shutil
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest
import soundfile

from chartkit.output import synth

PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")


@pytest.fixture(autouse=True)
def only_packaged(monkeypatch, tmp_path):
    """A machine on which only the packaged soundfont is there."""
    monkeypatch.setattr(synth, "_FOLDERS", ())
    monkeypatch.setattr(synth, "user_fonts", lambda: tmp_path / "own")
    monkeypatch.delenv(synth.FONT_VARIABLE, raising=False)


def lines(told):
    """What was told, by what it is about."""
    return {line[:14].strip(): line[14:] for line in told.out.splitlines()}


def test_it_tells_what_plays_and_renders_a_few_bars(chartkit):
    told = chartkit("sound")
    assert (told.code, told.err) == (0, "")
    about = lines(told)
    assert about["soundfont"] == f"{PACKAGED} (6 MB)"
    assert about["why"] == "there is no other"
    assert about["synthesiser"].startswith("FluidSynth 2.")
    assert about["upright bass"] == "Acoustic Bass"
    assert about["brushes"] == "Brush"
    assert "ride" in about["put right"]
    assert "own: nothing" in about["looked in"]
    assert told.out.splitlines()[-1] == "sound.wav"
    info = soundfile.info("sound.wav")
    assert 4 <= info.duration <= 6
    assert abs(soundfile.read("sound.wav")[0]).max() > 0.1


def test_why_it_is_this_one(chartkit, monkeypatch, tmp_path):
    other = Path(shutil.copy(PACKAGED, tmp_path / "other.sf2"))
    assert lines(chartkit("sound", "--soundfont", other))["why"] == "you named it"
    monkeypatch.setenv(synth.FONT_VARIABLE, str(other))
    assert lines(chartkit("sound"))["why"] == "CHARTKIT_SOUNDFONT names it"
    monkeypatch.delenv(synth.FONT_VARIABLE)
    (tmp_path / "own").mkdir()
    other.rename(tmp_path / "own" / "mine.sf2")
    about = lines(chartkit("sound"))
    assert about["why"] == "it is in your own folder"
    assert about["soundfont"].startswith(str(tmp_path / "own" / "mine.sf2"))


def test_another_format_and_place(chartkit, made):
    assert chartkit("sound", "-o", "a.flac").out.endswith("a.flac\n")
    again = chartkit("sound", "-o", "a.flac")
    assert (again.code, "--force" in again.err) == (2, True)
    assert made() == ["a.flac"]


def test_it_plays_on_the_device(chartkit, monkeypatch):
    from chartkit import make

    asked = []

    def stop_at_once(take):
        asked.append(take)
        raise KeyboardInterrupt

    monkeypatch.setattr(make, "play", stop_at_once)
    assert chartkit("sound", "--play").code == 0
    assert asked[0].exercise
    assert not Path("sound.wav").exists()


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("gone.sf2", None, "no soundfont gone.sf2: give the path of a file"),
        ("text.sf2", b"A text\n" * 20, "cannot play with text.sf2: that is not a soundfont"),
        ("cut.sf2", b"RIFF\xff\xff\xff\x00sfbk" + bytes(100), "the file is cut short"),
        ("odd.sf2", b"RIFF\x04\0\0\0sfbk", "cannot play with odd.sf2: the soundfont is damaged"),
    ],
)
def test_what_is_no_soundfont_is_one_sentence(chartkit, made, name, content, told):
    if content is not None:
        Path(name).write_bytes(content)
    found = chartkit("sound", "--soundfont", name)
    assert found.code == 1
    assert told in found.err
    assert len(found.err.splitlines()) == 1
    assert "sound.wav" not in made()


def test_no_soundfont_at_all_is_one_sentence(chartkit, monkeypatch):
    monkeypatch.setattr(synth, "_packaged", list)
    found = chartkit("sound")
    assert (found.code, len(found.err.splitlines())) == (1, 1)
    assert "apt install fluid-soundfont-gm" in found.err


def test_no_library_is_one_sentence(chartkit, monkeypatch):
    monkeypatch.delitem(sys.modules, "fluidsynth", raising=False)
    monkeypatch.setattr("ctypes.util.find_library", lambda _: None)
    monkeypatch.setattr(synth, "_bundled_library", lambda: None)
    synth._library.cache_clear()
    found = chartkit("sound")
    synth._library.cache_clear()
    assert (found.code, len(found.err.splitlines())) == (1, 1)
    assert "no FluidSynth library was found" in found.err
