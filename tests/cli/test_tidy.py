import io
import sys
from pathlib import Path

UNTIDY = "Key: Fm\nTitle: Late ; the second one\n\n[A] | Bbm7 C7 | Fm6 |\n"


def test_a_file_is_rewritten_once_and_keeps_its_comments(chartkit):
    path = Path("late.chart")
    path.write_text(UNTIDY, encoding="utf-8")
    assert chartkit("tidy", path).code == 0
    tidy = path.read_text(encoding="utf-8")
    assert tidy != UNTIDY
    assert "; the second one" in tidy
    assert chartkit("tidy", "--check", path).code == 0


def test_check_writes_nothing(chartkit):
    path = Path("late.chart")
    path.write_text(UNTIDY, encoding="utf-8")
    told = chartkit("tidy", "--check", path)
    assert told.code == 1
    assert "late.chart is not tidy" in told.err
    assert path.read_text(encoding="utf-8") == UNTIDY


def test_a_faulty_file_is_left_alone(chartkit):
    path = Path("late.chart")
    path.write_text("[A]\n| H |\n", encoding="utf-8")
    told = chartkit("tidy", path, "tune.chart")
    assert told.code == 1
    assert "late.chart:2:3" in told.err
    assert path.read_text(encoding="utf-8") == "[A]\n| H |\n"


def test_a_pipe_goes_through(chartkit, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(UNTIDY.encode())))
    told = chartkit("tidy", "-")
    assert told.code == 0
    assert told.out.startswith("Title: Late")
