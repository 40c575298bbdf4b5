"""The page's modules as one script, for a file that has no server.

A browser does not load modules from a file on the disk, so each becomes a function that returns
what it exports, called after those that it imports from. Understood are, each at the beginning of
a line: ``import { a, b as c } from "./name.js";`` (over several lines too) and ``export`` before a
function, a class or a ``const``. Modules must not import in a circle. Anything else that imports
or exports is refused, so that nothing is left out in silence.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from chartkit.errors import OutputError

_IMPORT: Final = re.compile(
    r'^import\s*\{(?P<names>[^}]*)\}\s*from\s*"\./(?P<module>[a-z0-9-]+\.js)";[ \t]*$', re.MULTILINE
)
_EXPORT: Final = re.compile(
    r"^export (?=(?:async )?function\b|class\b|const\b)"
    r"(?P<kind>async function\*?|function\*?|class|const) ?(?P<name>\w+)",
    re.MULTILINE,
)
_OTHER: Final = re.compile(r"^\s*(?:import\b(?!\s*\()|export\b).*$|\bimport\s*\(", re.MULTILINE)
_COMMENT: Final = re.compile(r"/\*.*?\*/", re.DOTALL)
_CLOSING: Final = re.compile(r"<(?=/script|!--)", re.IGNORECASE)


def bundled(entry: str, source: Callable[[str], str]) -> str:
    """Return a module and all that it imports as one script.

    Parameters
    ----------
    entry : str
        The name of the module that starts it all.
    source : callable
        Returns a module's text by its name.

    Raises
    ------
    OutputError
        A module imports or exports in a way that is not understood, or in a circle.
    """
    functions: dict[str, str] = {}
    _add(entry, source, functions, ())
    names = {name: f"module{number}" for number, name in enumerate(functions)}
    parts = [f"const {names[name]} = {_named(text, names)}" for name, text in functions.items()]
    script = '(() => {\n"use strict";\n' + "\n".join(parts) + "\n})();\n"
    return _CLOSING.sub(r"\\x3c", script)


def _add(
    name: str, source: Callable[[str], str], functions: dict[str, str], above: tuple[str, ...]
) -> None:
    """Add a module as a function, after those that it imports from."""
    if name in functions:
        return
    if name in above:
        raise OutputError(f"the page's modules import in a circle: {' '.join((*above, name))}")
    text = source(name)
    for found in _IMPORT.finditer(text):
        _add(found["module"], source, functions, (*above, name))
    exports = [found["name"] for found in _EXPORT.finditer(text)]
    body = _EXPORT.sub(r"\g<kind> \g<name>", _IMPORT.sub(_taken, text))
    if left := _OTHER.search(_COMMENT.sub("", body)):
        raise OutputError(f"{name}: `{left[0].strip()}` cannot be put into one file")
    functions[name] = f"(() => {{\n{body}\nreturn {{ {', '.join(exports)} }};\n}})();"


def _taken(found: re.Match[str]) -> str:
    """Return an import as a declaration that takes the names from its module's function."""
    names = re.sub(r"\s+as\s+", ": ", " ".join(found["names"].split()))
    return f"const {{ {names.strip(' ,')} }} = «{found['module']}»;"


def _named(text: str, names: dict[str, str]) -> str:
    """Put the names of the functions where modules are taken from."""
    return re.sub(r"«([a-z0-9-]+\.js)»", lambda found: names[found[1]], text)
