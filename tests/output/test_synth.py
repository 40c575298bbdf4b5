"""The synthesiser library and the soundfont: found, or told about in one sentence."""

import os
import shutil
import subprocess
import sys
import types
from importlib.machinery import ModuleSpec
from importlib.util import find_spec
from pathlib import Path

import pytest

from chartkit.errors import SoundError
from chartkit.output import synth
from chartkit.output.synth import find_soundfont, synth_library

PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")

SOUNDING = """
import sys
from fractions import Fraction
from pathlib import Path
from chartkit.output import audio, synth
from chartkit.track import Note, Performance, TempoMap, Track

library = synth.synth_library()
note = Note(Fraction(0), Fraction(1), 57, 90)
music = Performance(
    (Track("line", 26, (note,)),), TempoMap(((Fraction(0), Fraction(120)),)), (), (), (),
    Fraction(0), Fraction(2), loop=False,
)
audio.render(music, Path("a.wav"), soundfont=Path(sys.argv[1]))
print(library.majver.value, getattr(library._fl, "_name"))
print(*sorted({"pygame", "pretty_midi", "mido"} & set(sys.modules)))
"""
NO_SYSTEM_LIBRARY = "import ctypes.util; ctypes.util.find_library = lambda name: None\n"


def sound(code, folder):
    """Run `SOUNDING` in a program of its own; return what it printed and the sound."""
    import soundfile

    done = subprocess.run(
        [sys.executable, "-c", code, PACKAGED],
        cwd=folder,
        env={**os.environ, "CI": "true"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert not done.stderr
    library, imported = done.stdout.splitlines()
    assert not imported, "a heavy package was imported"
    frames, _ = soundfile.read(folder / "a.wav")
    return library, frames


@pytest.fixture
def only_packaged(monkeypatch, tmp_path):
    """A machine on which only the packaged soundfont is there."""
    monkeypatch.setattr(synth, "_FOLDERS", ())
    monkeypatch.setattr(synth, "user_fonts", lambda: tmp_path / "own")
    monkeypatch.delenv(synth.FONT_VARIABLE, raising=False)
    return tmp_path / "own"


@pytest.fixture
def unbound(monkeypatch):
    """No library bound yet, and afterwards the one that was."""
    monkeypatch.delitem(sys.modules, "fluidsynth", raising=False)
    yield synth._library.cache_clear()
    synth._library.cache_clear()


@pytest.mark.skipif(
    not shutil.which("fluidsynth"), reason="the system's FluidSynth is not installed"
)
def test_the_systems_library_sounds_and_says_nothing(tmp_path):
    library, frames = sound(SOUNDING, tmp_path)
    assert library.startswith("2 ")
    assert "pygame" not in library
    assert abs(frames).max() > 0.01


def test_the_packaged_library_sounds_too(tmp_path):
    library, frames = sound(NO_SYSTEM_LIBRARY + SOUNDING, tmp_path)
    assert "pygame_ce.libs" in library
    assert abs(frames).max() > 0.01


@pytest.mark.usefixtures("unbound")
def test_no_library_is_one_sentence(monkeypatch):
    monkeypatch.setattr("ctypes.util.find_library", lambda _: None)
    monkeypatch.setattr(synth, "_bundled_library", lambda: None)
    with pytest.raises(SoundError) as told:
        synth_library()
    for word in ("apt install", "brew install", "choco install", "MIDI files and pages still work"):
        assert word in str(told.value)


@pytest.mark.usefixtures("unbound")
def test_a_library_that_does_not_load_is_passed_over(monkeypatch, tmp_path):
    (tmp_path / "libfluidsynth.so").write_text("not a library")
    monkeypatch.setattr("ctypes.util.find_library", lambda _: str(tmp_path / "libfluidsynth.so"))
    assert "pygame_ce.libs" in synth_library()._fl._name


@pytest.mark.usefixtures("unbound")
def test_an_old_library_is_passed_over(monkeypatch):
    old = types.ModuleType("fluidsynth")
    old.majver = types.SimpleNamespace(value=1)
    monkeypatch.setattr(synth, "_bundled_library", lambda: None)
    monkeypatch.setitem(sys.modules, "fluidsynth", old)
    monkeypatch.setattr(sys, "meta_path", [Finder(old)])
    with pytest.raises(SoundError, match="no FluidSynth library"):
        synth_library()


@pytest.mark.usefixtures("unbound")
def test_another_package_of_the_same_name_is_told(monkeypatch):
    monkeypatch.setattr(sys, "meta_path", [Finder(types.ModuleType("fluidsynth"))])
    with pytest.raises(SoundError, match="pip uninstall fluidsynth"):
        synth_library()


class Finder:
    """Imports one made-up module in place of `fluidsynth`."""

    def __init__(self, module):
        self.module = module

    def find_spec(self, name, *_):
        return ModuleSpec(name, self) if name == "fluidsynth" else None

    def create_module(self, _spec):
        return self.module

    def exec_module(self, module):
        pass


@pytest.mark.usefixtures("only_packaged")
def test_the_packaged_soundfont_is_the_last_resort():
    assert find_soundfont() == PACKAGED
    assert find_soundfont("TimGM6mb") == PACKAGED


def test_a_players_own_soundfont_comes_first(only_packaged):
    only_packaged.mkdir()
    own = shutil.copy(PACKAGED, only_packaged / "mine.sf2")
    assert find_soundfont() == own
    assert find_soundfont("mine") == own
    assert find_soundfont("mine.sf2") == own


@pytest.mark.usefixtures("only_packaged")
def test_the_systems_soundfonts_in_order_of_worth(monkeypatch, tmp_path):
    monkeypatch.setattr(synth, "_FOLDERS", (str(tmp_path),))
    poor = shutil.copy(PACKAGED, tmp_path / "TimGM6mb.sf2")
    shutil.copy(PACKAGED, tmp_path / "another.sf2")
    assert find_soundfont() == poor
    good = shutil.copy(PACKAGED, tmp_path / "FluidR3_GM.sf2")
    assert find_soundfont() == good
    assert find_soundfont("another").name == "another.sf2"


@pytest.mark.usefixtures("only_packaged")
def test_the_environment_names_one(monkeypatch, tmp_path):
    other = shutil.copy(PACKAGED, tmp_path / "other.sf2")
    monkeypatch.setenv(synth.FONT_VARIABLE, str(other))
    assert find_soundfont() == other
    assert find_soundfont(str(PACKAGED)) == PACKAGED, "what is asked for goes before"


def test_a_broken_one_among_the_installed_is_passed_over(only_packaged):
    only_packaged.mkdir()
    (only_packaged / "a.sf2").write_bytes(b"RIFF")
    assert find_soundfont() == PACKAGED


@pytest.mark.usefixtures("only_packaged")
def test_an_unknown_name_tells_what_is_there():
    with pytest.raises(SoundError, match=r"no soundfont grand: .* \(TimGM6mb\)"):
        find_soundfont("grand")


@pytest.mark.usefixtures("only_packaged")
def test_no_soundfont_at_all(monkeypatch):
    monkeypatch.setattr(synth, "_packaged", list)
    with pytest.raises(SoundError, match="apt install fluid-soundfont-gm"):
        find_soundfont()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "not a soundfont"),
        (b"A text about soundfonts\n" * 50, "not a soundfont"),
        (b"RIFF\x10\0\0\0WAVEfmt ", "not a soundfont"),
        (b"RIFF\xff\xff\xff\x00sfbk" + bytes(100), "cut short"),
    ],
    ids=["empty", "text", "a wav file", "cut short"],
)
def test_what_is_no_soundfont_is_told(tmp_path, content, told):
    path = tmp_path / "font.sf2"
    path.write_bytes(content)
    with pytest.raises(SoundError, match=f"cannot play with {path}: .*{told}"):
        find_soundfont(str(path))


def test_a_folder_is_no_soundfont(tmp_path):
    with pytest.raises(SoundError, match=f"cannot play with {tmp_path}: is a directory"):
        find_soundfont(str(tmp_path))
