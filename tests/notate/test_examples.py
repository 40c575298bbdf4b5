"""The examples in docstrings run."""

import doctest
import importlib

import pytest


@pytest.mark.parametrize(
    "name",
    [
        "chartkit.notate.accidentals",
        "chartkit.notate.rhythm",
        "chartkit.notate.symbols",
        "chartkit.output.musicxml_harmony",
        "chartkit.output.musicxml_signs",
    ],
)
def test_examples_run(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0
