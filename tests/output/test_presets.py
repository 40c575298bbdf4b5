"""The instruments of a soundfont, read without loading it."""

from importlib.util import find_spec
from pathlib import Path

import pytest

from chartkit.errors import SoundError
from chartkit.output.presets import presets

PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")


def test_general_midi_is_all_there():
    found = presets(PACKAGED)
    # General MIDI 1: 128 programs, and a kit in the percussion bank
    assert {(0, program) for program in range(128)} <= found.keys()
    assert found[128, 0] == "Standard"
    assert found[0, 32] == "Acoustic Bass"
    assert not any("\0" in name for name in found.values())


@pytest.mark.parametrize("content", [b"", b"RIFF\x04\0\0\0sfbk", b"RIFF\x10\0\0\0sfbkLIST\x99"])
def test_a_file_without_a_list_is_told(tmp_path, content):
    path = tmp_path / "a.sf2"
    path.write_bytes(content)
    with pytest.raises(SoundError, match=f"cannot play with {path}: the soundfont is damaged"):
        presets(path)
