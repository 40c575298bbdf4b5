"""A tune keeps its history when its file is renamed, edited, moved or copied."""

import pytest

from chartkit.practice.knowing import name_of
from chartkit.practice.log import open_log


@pytest.fixture
def log(tmp_path):
    with open_log(tmp_path / "home") as log:
        yield log


@pytest.fixture
def chart(tmp_path):
    path = tmp_path / "night-shed.chart"
    path.touch()
    return path


def look(log, path, content, title="Night Shed"):
    return log.tune_id(content, None if path is None else str(path), title)


def test_an_id_is_the_title_in_small_letters(log, chart):
    assert look(log, chart, "1") == "night-shed"
    assert log.tune("night-shed").paths == (str(chart),)
    assert log.tune("night-shed").content_hash == "1"


def test_a_renamed_file_is_the_same_tune(log, chart):
    look(log, chart, "1")
    new = chart.rename(chart.with_name("other.chart"))
    assert look(log, new, "1") == "night-shed"


def test_an_edited_file_is_the_same_tune(log, chart):
    look(log, chart, "1")
    assert look(log, chart, "2") == "night-shed"
    assert log.tune("night-shed").content_hash == "2"


def test_an_edit_that_is_undone_is_the_same_tune(log, chart):
    for content in "121":
        assert look(log, chart, content) == "night-shed"
    assert log.tune("night-shed").content_hash == "1"


def test_a_new_title_in_the_same_file_keeps_the_history(log, chart):
    look(log, chart, "1")
    assert look(log, chart, "2", "Day Shed") == "night-shed"
    assert log.tune("night-shed").title == "Day Shed"


def test_renamed_and_edited_between_two_looks(log, chart):
    look(log, chart, "1")
    new = chart.rename(chart.with_name("other.chart"))
    assert look(log, new, "2") == "night-shed"


def test_a_copy_is_the_same_tune_until_it_has_a_title_of_its_own(log, chart):
    look(log, chart, "1")
    copy = chart.with_name("copy.chart")
    copy.touch()
    assert look(log, copy, "1") == "night-shed"
    assert look(log, copy, "2") == "night-shed"
    assert look(log, copy, "3", "Tool Shed") == "tool-shed"
    assert look(log, copy, "4", "Tool Shed") == "tool-shed"
    assert look(log, chart, "5") == "night-shed"


def test_another_tune_of_the_same_title_is_another_tune(log, chart):
    look(log, chart, "1")
    other = chart.with_name("other.chart")
    other.touch()
    assert look(log, other, "2") == "night-shed-2"
    assert look(log, other, "3") == "night-shed-2"


def test_two_files_that_change_places_change_names(log, chart):
    other = chart.with_name("other.chart")
    other.touch()
    first, second = look(log, chart, "1"), look(log, other, "2", "Tool Shed")
    assert look(log, chart, "2", "Tool Shed") == second
    assert look(log, other, "1") == first


def test_a_pipe_is_known_by_content_and_title(log):
    assert look(log, None, "1") == look(log, None, "1") == look(log, None, "2") == "night-shed"


def test_a_path_that_no_text_can_hold_is_kept_readable(log):
    assert log.tune_id("1", "/charts/\udcff.chart", "X") == "x"
    assert log.tune_id("2", "/charts/\udcff.chart", "Y") == "x"


@pytest.mark.parametrize(
    ("title", "name"), [("Étude No. 3", "etude-no-3"), ("!!!", "tune"), ("夜の小屋", "夜の小屋")]
)
def test_names(title, name):
    assert name_of(title) == name
