"""`chartkit analyse` as it is typed.

``python tests/cli/test_analyse.py`` writes the goldens anew; read the difference before keeping it.
"""

import doctest
import json
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import chartkit.cli.overview_text
from chartkit.cli.loading import demos
from chartkit.cli.overview_text import bars_in_words

GOLDEN = Path(__file__).parent.parent / "golden" / "analyse"
TOLD = {
    "twelve-spoons": ("twelve-spoons",),
    "tram-change-B-in-V": ("tram-change", "B", "--position", "V", "--hardest", "2"),
}


@pytest.mark.parametrize("name", TOLD)
def test_a_demo_tune_reads_at_a_glance(chartkit, name):
    told = chartkit("analyse", *TOLD[name])
    assert (told.code, told.err) == (0, "")
    assert told.out == (GOLDEN / f"{name}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", demos())
def test_no_line_is_wider_than_a_terminal(chartkit, name):
    told = chartkit("analyse", name)
    assert told.code == 0
    assert max(map(len, told.out.splitlines())) <= 80


def blocks(out):
    return {block.split(" in ")[0].splitlines()[0]: block for block in out.split("\n\n")}


def test_sections_bars_key_and_tempo_are_those_asked_for(chartkit):
    told = chartkit("analyse", "tune.chart", "B", "--key", "Ab", "--tempo", "90")
    assert "\n  B: 4 bars in Ab major, quarter = 90\n" in told.out
    assert "Ebm7" in told.out
    assert "[A]" not in told.out
    assert "chartkit loop tune.chart --key Ab --tempo 90 --bars" in told.out
    told = chartkit("analyse", "tune.chart", "--bars", "2-3")
    assert "\n  A: 2 bars in F major, quarter = 160\n" in told.out


def test_the_numerals_are_the_same_in_another_key(chartkit):
    def numerals(*words):
        rows = json.loads(chartkit("analyse", "tune.chart", "--json", *words).out)["changes"]
        return [row["numeral"] for row in rows]

    assert numerals() == numerals("--key", "B")
    assert numerals()[:4] == ["ii7", "V7", "I6", "VI7b9"]


def test_a_position_is_looked_at_closely(chartkit):
    told = chartkit("analyse", "tune.chart", "--position", "VII")
    assert "Position VII\n  arpeggio  missing  stretches\n" in told.out
    assert "Hardest bars in position VII at quarter = 160" in told.out
    assert "best first" not in told.out


def test_as_many_of_the_hardest_bars_as_asked_for(chartkit):
    found = json.loads(chartkit("analyse", "tune.chart", "--json", "--hardest", "2").out)
    assert len(found["hardest"]) == 2
    numbers = {bar["bar"] for bar in found["hardest"]}
    assert {n for first, last in found["loops"] for n in range(first, last + 1)} == numbers


def test_the_loops_it_names_can_be_made(chartkit, made):
    told = chartkit("analyse", "tune.chart", "--hardest", "2")
    commands = [shlex.split(line) for line in told.out.splitlines() if "chartkit loop" in line]
    assert commands
    for number, (_, *words) in enumerate(commands):
        assert chartkit(*words, "-o", f"{number}.mid").code == 0
    assert len(made()) == len(commands)


def test_json_has_the_facts_of_the_text(chartkit):
    found = json.loads(chartkit("analyse", "tune.chart", "--json").out)
    assert {key: found[key] for key in ("title", "sections", "bars", "key", "tempo")} == {
        "title": "Small Hours",
        "sections": ["A", "B"],
        "bars": 8,
        "key": "F major",
        "tempo": 160.0,
    }
    assert found["areas"] == [{"key": "F major", "bars": [1, 2, 3, 4, 5, 6, 7, 8]}]
    assert found["changes"][0] == {
        "section": "A",
        "bar": 1,
        "beat": 0.0,
        "chord": "Gm7",
        "key": "F major",
        "numeral": "ii7",
        "role": "diatonic",
        "scale": "G dorian",
        "guide tones": [
            {"from": "Bb", "to": "Bb", "semitones": 0},
            {"from": "F", "to": "E", "semitones": -1},
        ],
        "common tones": ["G", "Bb"],
    }
    assert found["cadences"][0] == {
        "name": "ii-V-I",
        "key": "F major",
        "bars": [1, 2, 3],
        "chords": ["Gm7", "C7", "F6"],
    }
    assert sorted(one["position"] for one in found["positions"]) == list(range(1, 13))
    assert found["position"] == found["positions"][0]


def test_a_section_that_is_not_there_is_wrong_usage(chartkit):
    told = chartkit("analyse", "tune.chart", "Z")
    assert told.code == 2
    assert told.err == "chartkit: there is no section Z: the chart has A, B\n"


def test_a_chart_without_a_chord_says_so(chartkit):
    Path("rest.chart").write_text("Key: C\n\n[A]\n| N.C. |\n", encoding="utf-8")
    told = chartkit("analyse", "rest.chart")
    assert (told.code, told.out) == (1, "")
    assert told.err == "chartkit: there is no chord here to look at\n"


def test_a_hand_that_stands_still_has_no_hardest_bar(chartkit):
    # The two tones of a power chord lie under two fingers.
    Path("two.chart").write_text("Key: C\n\n[A]\n| C5 |\n", encoding="utf-8")
    told = chartkit("analyse", "two.chart", "--position", "V")
    assert told.code == 0
    assert "\nCadences\n  none\n" in told.out


def test_a_tune_in_a_feel_that_cannot_be_played_yet_can_be_looked_at(chartkit):
    Path("slow.chart").write_text("Key: C\nFeel: ballad\n\n[A]\n| C6 | G7 |\n", encoding="utf-8")
    assert "quarter = 6" in chartkit("analyse", "slow.chart").out


@pytest.mark.parametrize(
    ("numbers", "words"),
    [([1], "1"), ([1, 1, 2, 3], "1-3"), ([11, 12, 1], "11-12, 1"), ([10, 13], "10, 13")],
)
def test_bars_in_words(numbers, words):
    assert bars_in_words(numbers) == words


def test_the_example_in_the_docstring():
    assert doctest.testmod(chartkit.cli.overview_text).failed == 0


if __name__ == "__main__":
    GOLDEN.mkdir(parents=True, exist_ok=True)
    for name, words in TOLD.items():
        run = [sys.executable, "-m", "chartkit.cli", "analyse", *words]
        told = subprocess.run(run, capture_output=True, text=True, check=True).stdout
        (GOLDEN / f"{name}.txt").write_text(told, encoding="utf-8")
