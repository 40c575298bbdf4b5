"""Music to practise as one file: the page, the music and its sound, for a browser without network.

Conventions: the file is the stand's own page with everything inside it: style sheets, the modules
as one script (`chartkit.stand.bundle`), works and their stems in base64. Its policy allows
that one script and those styles by their hashes, and no connection of any kind.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from typing import Any, Final

from chartkit.errors import OutputError
from chartkit.stand.bundle import bundled
from chartkit.stand.faces import engraving_style
from chartkit.stand.sound import Form, Stems, recoded

_STYLE: Final = re.compile(
    r'[ \t]*<link\s[^>]*rel="stylesheet"[^>]*href="(?P<name>[^"]+)"[^>]*>\n?'
)
_SCRIPT: Final = re.compile(
    r'[ \t]*<script\s[^>]*type="module"[^>]*src="(?P<name>[^"]+)"[^>]*>\s*</script>\n?'
)
_TITLE: Final = re.compile(r"<title>.*?</title>")
_HEAD: Final = re.compile(r'<meta\s+charset="[^"]*"\s*/?>', re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Kept:
    """One thing to practise, ready to be put into a file.

    Parameters
    ----------
    item : mapping
        As ``api/today`` tells it; its ``key`` is its own.
    work : mapping
        As ``api/work`` tells it.
    stems : Stems
    """

    item: Mapping[str, Any]
    work: Mapping[str, Any]
    stems: Stems


def saved(title: str, kept: Sequence[Kept], form: Form = "flac") -> str:
    """Return everything as one HTML document.

    Parameters
    ----------
    title : str
    kept : sequence of Kept
    form : {"flac", "ogg", "wav"}
        Of the stems: FLAC keeps every sample and plays in every browser, Vorbis takes a quarter of
        its room.

    Raises
    ------
    OutputError
        The page cannot be put into one file.
    """
    html = _text("index.html").replace("{token}", "")
    entries = [found["name"] for found in _SCRIPT.finditer(html)]
    if len(entries) != 1 or not _HEAD.search(html) or "</body>" not in html:
        raise OutputError("the page's index.html has not one module, a charset and a body")
    sheets = [_style(found["name"]) for found in _STYLE.finditer(html)]
    script = bundled(_plain(entries[0]), _text)
    policy = _policy(sheets, script)
    html = _STYLE.sub("", _SCRIPT.sub("", html))
    html = _TITLE.sub(lambda _: f"<title>{escape(title)}</title>", html, count=1)
    head = _HEAD.search(html)
    assert head is not None  # looked for above
    styles = "".join(f"<style>{sheet}</style>\n" for sheet in sheets)
    meta = f'\n<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
    html = html[: head.end()] + meta + styles + html[head.end() :]
    data = f'<script type="application/json" id="saved">{_data(title, kept, form)}</script>\n'
    before, after = html.rsplit("</body>", 1)
    return f"{before}{data}<script>{script}</script>\n</body>{after}"


def _policy(sheets: Iterable[str], script: str) -> str:
    styles = " ".join(_hashed(sheet) for sheet in sheets)
    return (
        f"default-src 'none'; script-src {_hashed(script)}; style-src {styles}; "
        "font-src data:; img-src data:; media-src data: blob:; base-uri 'none'; form-action 'none'"
    )


def _hashed(text: str) -> str:
    """Return a source of the policy that allows just this text [CSP Level 3, hash sources]."""
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    return f"'sha256-{digest}'"


def _data(title: str, kept: Sequence[Kept], form: Form) -> str:
    """Return all works and sounds as JSON that no HTML parser can take for its own."""
    told = {
        "title": title,
        "items": [dict(one.item) for one in kept],
        "works": {str(one.item["key"]): dict(one.work) for one in kept},
        "sounds": dict(pair for one in kept for pair in _sounds(one, form)),
    }
    text = json.dumps(told, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _sounds(one: Kept, form: Form) -> Iterable[tuple[str, str]]:
    files_of = dict(one.stems.parts)
    for part in one.work["sound"]["parts"]:
        sound = recoded(files_of[part["name"]], form)
        yield part["href"], base64.b64encode(sound).decode()


def _style(name: str) -> str:
    plain = _plain(name)
    text = engraving_style() if plain == "engraving.css" else _text(plain)
    if "</style" in text.lower() or re.search(r"@import|url\((?!['\"]?data:)", text):
        raise OutputError(f"{plain} takes something from elsewhere: it cannot be put into a file")
    return text


def _plain(name: str) -> str:
    return name.removeprefix("./").removeprefix("/")


def _text(name: str) -> str:
    """Return a file of the page."""
    file = files("chartkit.stand") / "page" / name
    if not file.is_file():
        raise OutputError(f"the page's {name} is missing: install chartkit again")
    return file.read_text(encoding="utf-8")
