import subprocess
import sys
from pathlib import Path

import pytest

from chartkit.cli import COMMANDS

README = Path(__file__).parents[2] / "README.md"


def test_help_names_every_command(chartkit):
    told = chartkit("--help")
    assert told.code == 0
    assert all(
        f"  {command} " in told.out and line in told.out for command, line in COMMANDS.items()
    )
    assert "stop on pain" in " ".join(told.out.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_an_example(chartkit, command):
    told = chartkit(command, "--help")
    assert told.code == 0
    assert f"Example: chartkit {command} " in told.out


@pytest.mark.parametrize("command", COMMANDS)
def test_the_readme_shows_every_command(command):
    assert f"chartkit {command} " in README.read_text(encoding="utf-8")


def test_an_unknown_command_is_wrong_usage(chartkit):
    assert chartkit("sing").code == 2


def test_help_loads_nothing_heavy():
    code = "import sys; from chartkit.cli import run; run(['--help']); print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    heavy = {"lark", "mido", "numpy", "soundfile", "fluidsynth", "verovio", "typst", "rich"}
    assert not heavy & set(loaded.stdout.split())
