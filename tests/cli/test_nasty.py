"""Nasty input: one clear sentence, exit code 1 or 2, no traceback, no partial file."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

CHARTS = {
    "binary": bytes(range(256)) * 4,
    "nul": b"\0" * 4096,
    "empty": b"",
    "blank": b"\n\n   \n",
    "bars": b"|" * 1_000_000,
    "no-section": b"Title: Nothing\n",
    "no-bars": b"[A]\n",
    "latin": "Title: Café\n[A]\n| F |\n".encode("latin-1"),
    "brackets": b"[A]\n" + b"(" * 100_000 + b"\n",
    "quote": b'[A]\n| "never closed F7 |\n',
    "endless": b"Key: C\n[A]\n|: C :|x999999999999\n",
}

REQUESTS = {
    "section": (["loop", "tune.chart", "Z"], "A, B"),
    "bars": (["loop", "tune.chart", "--bars", "7-99"], "1-8"),
    "no-bars": (["loop", "tune.chart", "--bars", "0-2"], "from 1"),
    "tempo-0": (["loop", "tune.chart", "A", "--tempo", "0"], "30-400"),
    "tempo-5000": (["loop", "tune.chart", "A", "--tempo", "5000"], "30-400"),
    "tempo-nan": (["loop", "tune.chart", "A", "--tempo", "nan"], "not a tempo"),
    "tempo-inf": (["loop", "tune.chart", "A", "--tempo", "1e999999999"], "not a tempo"),
    "feel": (["loop", "tune.chart", "A", "--feel", "polka"], "swing"),
    "key": (["loop", "tune.chart", "A", "--key", "H"], "not a key"),
    "times": (["loop", "tune.chart", "A", "--times", "0"], "1"),
    "nobody": (
        ["loop", "tune.chart", "--without", "bass", "--without", "chords", "--without", "drums"],
        "nobody",
    ),
    "ending": (["loop", "tune.chart", "A", "-o", "a.xyz"], ".wav"),
    "paper": (["sheet", "tune.chart", "--paper", "a3"], "a4"),
}


def clear(result, codes=(1, 2)):
    assert result.code in codes
    assert "Traceback" not in result.err
    assert result.err.strip()
    return result.err


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize("command", ["check", "loop", "sheet"])
def test_a_nasty_chart(chartkit, made, name, command):
    Path("nasty.chart").write_bytes(CHARTS[name])
    began = time.monotonic()
    words = [command, "nasty.chart"]
    told = clear(chartkit(*words), codes=(1,))
    assert time.monotonic() - began < 20
    assert "nasty.chart" in told or name == "endless"
    assert made() == ["nasty.chart"]


@pytest.mark.parametrize("name", REQUESTS)
def test_a_request_that_makes_no_sense(chartkit, made, name):
    words, hint = REQUESTS[name]
    assert hint in clear(chartkit(*words), codes=(2,))
    assert made() == []


def test_a_missing_file_is_a_file_at_fault(chartkit):
    assert "no such file" in clear(chartkit("check", "nowhere.chart"), codes=(1,))
    assert "that is a folder" in clear(chartkit("check", "./"), codes=(1,))


@pytest.mark.parametrize(
    "words",
    [
        ["loop", "tune.chart", "A", "-o", "nowhere/a.wav"],
        ["loop", "tune.chart", "A", "-o", "tune.chart/a.mid"],
        ["loop", "tune.chart", "A", "-o", "/proc/nowhere.mid"],
        ["sheet", "tune.chart", "-o", "nowhere/a.pdf"],
        ["exercise", "tune.chart", "A", "-o", "tune.chart/all/"],
    ],
)
def test_a_place_that_cannot_be_written(chartkit, made, words):
    assert "cannot write" in clear(chartkit(*words), codes=(1,))
    assert made() == []


@pytest.mark.parametrize(
    "data", [b"", b"not a soundfont", b"RIFF\x10\0\0\0sfbk" + b"\0" * 64, b"RIFF" + b"\xff" * 500]
)
def test_a_broken_soundfont(chartkit, made, data):
    Path("broken.sf2").write_bytes(data)
    words = ["loop", "tune.chart", "A", "--soundfont", "broken.sf2"]
    assert "broken.sf2" in clear(chartkit(*words), codes=(1,))
    assert made() == ["broken.sf2"]


LIMITED = """
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, resource.RLIM_INFINITY))
from chartkit.cli import run
sys.exit(run(sys.argv[1:]))
"""


@pytest.mark.parametrize("ending", ["wav", "flac", "ogg", "mp3", "pdf", "png"])
@pytest.mark.usefixtures("chartkit")
def test_a_disk_that_is_full(made, ending):
    command = (
        ["exercise", "tune.chart", "A", "B"] if ending in {"pdf", "png"} else ["loop", "tune.chart"]
    )
    words = [*command, "-o", f"a.{ending}"]
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, *words], capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert "cannot write" in done.stderr
    assert made() == []


def half_written(folder):
    """Wait until a file is being written, and return its temporary names."""
    for _ in range(300):
        found = [path for path in folder.glob(".*.wav") if path.stat().st_size > 100_000]
        if found:
            return found
        time.sleep(0.1)
    raise AssertionError("nothing is being written")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.usefixtures("chartkit")
def test_an_interrupted_render(made, tmp_path, number):
    words = ["playalong", "tune.chart", "--choruses", "400"]
    at_work = subprocess.Popen(
        [sys.executable, "-m", "chartkit.cli", *words], stderr=subprocess.PIPE, text=True
    )
    half_written(tmp_path)
    os.kill(at_work.pid, number)
    told = at_work.communicate(timeout=30)[1]
    assert at_work.returncode == 1
    assert "Traceback" not in told
    assert "stopped" in told
    assert made() == []


def test_no_sound_device_is_one_sentence(chartkit):
    told = clear(chartkit("loop", "tune.chart", "A", "--play"), codes=(1,))
    assert "sound" in told


@pytest.mark.usefixtures("chartkit")
def test_output_into_a_closed_pipe():
    command = f"{sys.executable} -m chartkit.cli check tune.chart | true"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
