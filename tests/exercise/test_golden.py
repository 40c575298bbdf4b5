"""Every kind of line over one chart, as text that a player can read.

``python tests/exercise/test_golden.py`` writes the goldens anew; read the difference before keeping
it.
"""

from pathlib import Path

import pytest

from chartkit.exercise import KINDS, line_through
from chartkit.exercise.terms import Terms
from chartkit.form import chorus
from chartkit.harmony import spans
from chartkit.reader import parse

FOLDER = Path(__file__).parent.parent / "golden" / "exercise"

CHART = """\
Title: Line Through Uneven Bars
Key: F major
Meter: 4/4
Feel: swing
Tempo: 120

[A]
| Fmaj7 / / D7b9 | Gm7 C7alt | N.C. | >Fmaj7 / Em7b5 A7 |
| Dm(maj7) | {3/4} Bbmaj7/D | Bdim7 | C9sus |]
"""


def page(kind):
    """The notes of each chord by name, each with what it is to the chord."""
    chart = parse(CHART, "golden.chart").chart
    line = line_through(spans(chorus(chart), loop=True), kind, Terms(45, 72))
    rows = ["# 45 to 72, eighths, setting out upward: bar, chord's beat, notes and roles"]
    for span in line.spans:
        notes = [note for note in line.notes if 0 <= note.start - span.start < span.length]
        words = (f"{note.pitch}={note.role}" if note.pitch else "rest" for note in notes)
        rows.append(f"{span.bar.number} {span.start - span.bar_start}: {' '.join(words)}")
    return "\n".join(rows) + "\n"


@pytest.mark.parametrize("kind", KINDS)
def test_golden(kind):
    assert page(kind) == (FOLDER / f"{kind}.txt").read_text(encoding="utf-8")


if __name__ == "__main__":
    for name in KINDS:
        (FOLDER / f"{name}.txt").write_text(page(name), encoding="utf-8")
