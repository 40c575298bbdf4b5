import errno
import os
import resource
import stat
import subprocess
import sys

import pytest

from chartkit.errors import OutputError
from chartkit.output.files import replacing, write_bytes


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_file_appears_whole(tmp_path):
    path = tmp_path / "tune.mid"
    write_bytes(path, b"MThd")
    assert path.read_bytes() == b"MThd"
    assert names(tmp_path) == ["tune.mid"]


def test_the_temporary_file_keeps_the_ending(tmp_path):
    with replacing(tmp_path / "tune.flac") as temporary:
        assert temporary.suffix == ".flac"
        assert temporary.parent == tmp_path


def test_a_new_file_has_ordinary_rights_and_an_old_one_keeps_its_own(tmp_path):
    path = tmp_path / "a.mid"
    mask = os.umask(0o022)
    try:
        write_bytes(path, b"1")
        assert stat.S_IMODE(path.stat().st_mode) == 0o644
        path.chmod(0o600)
        write_bytes(path, b"2")
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    finally:
        os.umask(mask)


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt])
def test_a_failure_leaves_what_was_there(tmp_path, error):
    path = tmp_path / "tune.wav"
    path.write_bytes(b"old")
    with pytest.raises(error), replacing(path) as temporary:  # noqa: PT012 (fails half way)
        temporary.write_bytes(b"half")
        raise error
    assert path.read_bytes() == b"old"
    assert names(tmp_path) == ["tune.wav"]


def test_a_missing_folder_is_one_sentence(tmp_path):
    with pytest.raises(OutputError, match="there is no such folder: make it first"):
        write_bytes(tmp_path / "none" / "tune.mid", b"")


def test_a_folder_of_that_name_is_one_sentence(tmp_path):
    (tmp_path / "tune.mid").mkdir()
    with pytest.raises(OutputError, match="that is a folder"):
        write_bytes(tmp_path / "tune.mid", b"")
    assert names(tmp_path) == ["tune.mid"]


def test_a_full_disk_is_one_sentence(tmp_path):
    with pytest.raises(OutputError, match="the disk is full"), replacing(tmp_path / "x.wav"):
        raise OSError(errno.ENOSPC, "No space left on device")
    assert names(tmp_path) == []


def test_a_file_over_the_limit_leaves_nothing(tmp_path):
    code = (
        "import resource, signal, sys; from pathlib import Path\n"
        "from chartkit.errors import OutputError\n"
        "from chartkit.output.files import write_bytes\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, resource.RLIM_INFINITY))\n"
        "try: write_bytes(Path(sys.argv[1]), bytes(5000))\n"
        "except OutputError as error: print(error)\n"
    )
    path = tmp_path / "big.wav"
    done = subprocess.run(
        [sys.executable, "-c", code, path], capture_output=True, text=True, check=True
    )
    assert "larger than allowed" in done.stdout
    assert names(tmp_path) == []
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] != 1000
