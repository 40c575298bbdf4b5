"""The examples in docstrings."""

import doctest
import importlib
import pkgutil

import pytest

import chartkit.exercise

NAMES = [m.name for m in pkgutil.iter_modules(chartkit.exercise.__path__, "chartkit.exercise.")]


@pytest.mark.parametrize("name", NAMES)
def test_examples_hold(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples():
    finder = doctest.DocTestFinder()
    modules = map(importlib.import_module, NAMES)
    assert sum(bool(test.examples) for m in modules for test in finder.find(m)) >= 5
