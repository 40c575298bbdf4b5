from dataclasses import dataclass
from pathlib import Path

import pytest

from chartkit.cli import run

TUNE = """\
Title: Small Hours
Key: F major
Tempo: 160

[A]
| Gm7 | C7 | F6 | D7b9 |

[B]
| Cm7 | F7 | Bb6 | C7 |
"""


@dataclass(frozen=True)
class Result:
    code: int
    out: str
    err: str


@pytest.fixture
def chartkit(capfd, tmp_path, monkeypatch):
    """Run chartkit as a player types it, in a folder that holds one tune."""
    monkeypatch.chdir(tmp_path)
    Path("tune.chart").write_text(TUNE, encoding="utf-8")

    def typed(*words):
        capfd.readouterr()
        code = run([str(word) for word in words])
        return Result(code, *capfd.readouterr())

    return typed


@pytest.fixture
def made(tmp_path):
    """Names of the files in the folder, the tune left out."""
    return lambda: sorted(p.name for p in tmp_path.iterdir() if p.name != "tune.chart")
