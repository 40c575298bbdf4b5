"""The page's fonts, unpacked once and whole or not at all."""

import os
import stat
from pathlib import Path

import platformdirs
import pytest
from fontTools.ttLib import TTFont

from chartkit.errors import OutputError
from chartkit.output import typefaces

ENGRAVED = {"flat": 0xE260, "coda": 0xE048, "segno": 0xE047, "two-bar simile": 0xE501}
"""Code points of SMuFL 1.4 (Standard Music Font Layout, W3C) that a page needs."""


@pytest.fixture
def home(tmp_path, monkeypatch):
    """A cache of the test's own, and nothing remembered of another."""
    monkeypatch.setattr(platformdirs, "user_cache_dir", lambda name: str(tmp_path / name))
    typefaces.font_folder.cache_clear()
    yield tmp_path
    typefaces.font_folder.cache_clear()


def names(folder):
    return sorted(str(TTFont(file)["name"].getDebugName(4)) for file in folder.iterdir())


EXPECTED = [
    "Bravura",
    "Liberation Serif Bold",
    "Liberation Serif Bold Italic",
    "Liberation Serif Italic",
    "Liberation Serif Regular",
]


def test_the_fonts_are_unpacked_into_the_cache_once(home):
    folder = typefaces.font_folder()
    assert folder.parent == home / "chartkit"
    assert names(folder) == EXPECTED
    before = {file: file.stat().st_mtime_ns for file in folder.iterdir()}
    typefaces.font_folder.cache_clear()
    assert typefaces.font_folder() == folder
    assert {file: file.stat().st_mtime_ns for file in folder.iterdir()} == before
    assert [entry.name for entry in folder.parent.iterdir()] == [folder.name]


@pytest.mark.parametrize("sign", ENGRAVED)
def test_the_music_font_has_the_signs_of_a_page(home, sign):
    assert home
    (music,) = (
        font
        for font in map(TTFont, typefaces.font_folder().iterdir())
        if font["name"].getDebugName(1) == typefaces.MUSIC
    )
    assert ENGRAVED[sign] in music.getBestCmap()


def test_unpacking_twice_gives_the_same_files(home):
    first = {file.name: file.read_bytes() for file in typefaces.font_folder().iterdir()}
    (home / "chartkit").rename(home / "before")
    typefaces.font_folder.cache_clear()
    second = {file.name: file.read_bytes() for file in typefaces.font_folder().iterdir()}
    assert first == second


def test_a_cache_that_cannot_be_written_is_done_without(home):
    (home / "chartkit").write_text("a file where the folder should be")
    folder = typefaces.font_folder()
    assert home not in folder.parents
    assert names(folder) == EXPECTED
    assert typefaces.font_folder() == folder


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_home_that_may_only_be_read_is_done_without(home):
    home.chmod(stat.S_IRUSR | stat.S_IXUSR)
    assert names(typefaces.font_folder()) == EXPECTED
    home.chmod(stat.S_IRWXU)


def test_nothing_is_left_of_a_failed_unpacking(home, monkeypatch):
    def fail(folder):
        (folder / "half.ttf").write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(typefaces, "_unpack", fail)
    with pytest.raises(OutputError, match=r"cannot be unpacked anywhere: .*No space left"):
        typefaces.font_folder()
    assert list((home / "chartkit").iterdir()) == []


def test_another_run_may_be_quicker(home, monkeypatch):
    unpack = typefaces._unpack

    def slow(folder):
        unpack(folder)
        rival = Path(platformdirs.user_cache_dir("chartkit")) / typefaces.cache_name()
        rival.mkdir()
        unpack(rival)

    monkeypatch.setattr(typefaces, "_unpack", slow)
    assert names(typefaces.font_folder()) == EXPECTED
    assert len(list((home / "chartkit").iterdir())) == 1


def test_the_drawings_style_holds_the_music_font():
    style = typefaces.music_style()
    assert "@font-face" in style
    assert "'Bravura'" in style
