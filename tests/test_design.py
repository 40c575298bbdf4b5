"""Rules that hold for the whole package, read off the code itself."""

import ast
import dataclasses
import importlib
import inspect
import pkgutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import chartkit

ROOT = Path(chartkit.__file__).parent

MODULES = sorted(
    module.name
    for module in pkgutil.walk_packages([str(ROOT)], "chartkit.")
    if not module.name.startswith("chartkit.cli.")
)

# From the bottom up: a module imports only from its own row or from rows above it. The command line
# stands under everything and may import it all.
LAYERS = (
    ("errors", "home"),
    ("theory", "feel"),
    ("chart", "practice"),
    ("lines", "explain", "source", "language"),
    ("header", "beats", "rows"),
    ("bars", "checks", "comments", "entries", "tidy"),
    ("assemble",),
    ("reader", "writer", "analysis"),
    ("simile", "order"),
    ("form",),
    ("harmony", "transpose", "ending"),
    ("line", "line_options", "track", "study"),
    ("guitar", "instrument", "player", "controls", "swing"),
    ("take",),
    ("exercise", "summary", "tempos", "edges"),
    ("difficulty", "rounds", "phrase"),
    ("markers", "overview"),
    ("arrange",),
    ("band", "technique"),
    ("timing",),
    ("notate",),
    ("output",),
    ("make", "make_routine"),
    ("playable", "make_phrase", "make_chorus", "make_etude"),
    ("make_today",),
    ("stand",),
    ("cli",),
)
LEVEL = {name: level for level, names in enumerate(LAYERS) for name in names}

HEAVY = {
    "lark",
    "mido",
    "numpy",
    "soundfile",
    "fluidsynth",
    "verovio",
    "typst",
    "rich",
    "fontTools",
    "starlette",
    "uvicorn",
    "sqlite3",
}


def level(module):
    return LEVEL[module.split(".")[1]]


def imports(path):
    """Every module of ours that a file imports, wherever in the file it does."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("chartkit"):
            if node.module == "chartkit":
                yield from (f"chartkit.{alias.name}" for alias in node.names)
            else:
                yield node.module
        elif isinstance(node, ast.Import):
            yield from (a.name for a in node.names if a.name.startswith("chartkit."))


def test_every_module_has_its_level():
    assert {name.split(".")[1] for name in MODULES} <= LEVEL.keys()


@pytest.mark.parametrize("path", sorted(ROOT.rglob("*.py")), ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_go_one_way(path):
    own = ".".join(("chartkit", *path.relative_to(ROOT).with_suffix("").parts))
    if own == "chartkit.__init__":
        pytest.skip("the front door loads its few names lazily, from anywhere")
    data = {"chartkit.grammar", "chartkit.charts", "chartkit.phrases"}
    upward = [m for m in imports(path) if m not in data and level(m) > level(own)]
    assert not upward, f"{own} imports {upward} from further down the list"


def test_every_package_is_shipped():
    settings = tomllib.loads((ROOT.parent / "pyproject.toml").read_text(encoding="utf-8"))
    listed = set(settings["tool"]["setuptools"]["packages"])
    found = {".".join(p.parent.relative_to(ROOT.parent).parts) for p in ROOT.rglob("__init__.py")}
    assert listed == found | {"chartkit.charts", "chartkit.grammar", "chartkit.phrases"}


def values():
    for name in MODULES:
        module = importlib.import_module(name)
        for _, cls in inspect.getmembers(module, inspect.isclass):
            if cls.__module__ == name and dataclasses.is_dataclass(cls):
                yield cls


@pytest.mark.parametrize("cls", list(values()), ids=lambda c: f"{c.__module__}.{c.__name__}")
def test_values_are_frozen_slotted_and_hashable(cls):
    assert cls.__dataclass_params__.frozen
    assert "__slots__" in vars(cls)
    assert cls.__hash__ is not None
    assert cls.__dataclass_params__.repr


@pytest.mark.parametrize(
    "module", ["chartkit", "chartkit.cli", "chartkit.form", "chartkit.harmony"]
)
def test_heavy_libraries_are_imported_late(module):
    code = f"import {module}, sys; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert not HEAVY & set(loaded.stdout.split())
