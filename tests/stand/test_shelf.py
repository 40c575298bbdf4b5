"""Tunes by their ids."""

import os

import pytest

from chartkit.errors import ChartFaults, OutputError, RequestError
from chartkit.stand.shelf import Shelf

TUNE = "Title: Tea Towel\nKey: C\n[A]\n| C6 | G7 |\n"


def test_files_come_first_under_names_that_are_no_paths(tmp_path):
    paths = [tmp_path / "one" / "Tea Towel (2).chart", tmp_path / "two" / "ünï.chart"]
    for path in paths:
        path.parent.mkdir()
        path.write_text(TUNE, encoding="utf-8")
    shelf = Shelf([paths[0], paths[1], paths[0]])
    assert [place.id for place in shelf.places if place.owner == "yours"] == [
        "own-1-tea-towel-2",
        "own-2-n",
    ]
    assert all(
        set(place.id) <= set("abcdefghijklmnopqrstuvwxyz0123456789-") for place in shelf.places
    )
    assert shelf.chart("own-1-tea-towel-2").title == "Tea Towel"


def test_a_file_is_read_again_when_it_has_changed(tmp_path):
    path = tmp_path / "t.chart"
    path.write_text(TUNE, encoding="utf-8")
    shelf = Shelf([path])
    first = shelf.chart("own-1-t")
    assert shelf.chart("own-1-t") is first
    path.write_text(TUNE.replace("Tea", "Tee"), encoding="utf-8")
    os.utime(path, ns=(1, 1))
    assert shelf.chart("own-1-t").title == "Tee Towel"


def test_what_is_wrong_with_a_file_is_told(tmp_path):
    path = tmp_path / "t.chart"
    path.write_text("[A]\n| H |\n", encoding="utf-8")
    shelf = Shelf([path])
    with pytest.raises(ChartFaults, match=r"t\.chart:2"):
        shelf.chart("own-1-t")
    assert str(tmp_path) not in shelf.told()[0]["error"]
    path.unlink()
    with pytest.raises(OutputError, match=r"t\.chart cannot be read any more"):
        shelf.chart("own-1-t")
    with pytest.raises(RequestError, match="no such tune"):
        shelf.chart("own-2-t")
