import doctest
import importlib
import subprocess
import sys

import pytest

import chartkit


def test_the_example_runs():
    outcome = doctest.testmod(chartkit)
    assert outcome.attempted
    assert not outcome.failed


@pytest.mark.parametrize("name", chartkit.__all__)
def test_every_name_leads_somewhere(name):
    assert getattr(chartkit, name).__name__ == name
    assert name in dir(chartkit)


@pytest.mark.parametrize("name", chartkit.__all__)
def test_no_name_is_also_a_module(name):
    with pytest.raises(ModuleNotFoundError):
        importlib.import_module(f"chartkit.{name}")


def test_a_name_that_is_not_there_is_an_ordinary_error():
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = chartkit.nothing


def test_nothing_is_loaded_with_the_door():
    code = "import chartkit, sys; print(*(m for m in sys.modules if m.startswith('chartkit.')))"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert not loaded.stdout.split()
