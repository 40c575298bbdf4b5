"""The fonts of a printed page, as files that the page maker can embed.

The engraver carries its music font (Bravura, SIL Open Font License 1.1) and its text font
(Liberation Serif, GPL with the exception that documents may embed it) inside style sheets,
compressed for browsers. They are unpacked once into the user's cache; where that cannot be written,
into a folder that lasts as long as the program.
"""

from __future__ import annotations

import atexit
import base64
import re
import shutil
import tempfile
from collections.abc import Iterator
from functools import cache
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import Final
from zlib import crc32

from chartkit.errors import OutputError

MUSIC: Final = "Bravura"
TEXT: Final = "Liberation Serif"

SHEETS: Final = ("Bravura.css", "Liberation.css")
"""The engraver's style sheets that hold a font each, or several."""

_EMBEDDED: Final = re.compile(r"base64,([A-Za-z0-9+/=]+)")


@cache
def font_folder() -> Path:
    """Return a folder that holds the fonts, unpacking them the first time.

    Raises
    ------
    OutputError
        The engraver's fonts are not where they should be, or no folder can be written.
    """
    import platformdirs

    target = Path(platformdirs.user_cache_dir("chartkit")) / cache_name()
    if target.is_dir():
        return target
    try:
        return _unpacked_into(target)
    except OSError:
        pass
    try:
        return _for_this_run()
    except OSError as error:
        raise OutputError(f"the fonts of the page cannot be unpacked anywhere: {error}") from error


def cache_name() -> str:
    """Return the name of the fonts' folder: another engraver's other fonts have another."""
    sheets = b"".join((engraver_data() / name).read_bytes() for name in SHEETS)
    return f"fonts-{crc32(sheets):08x}"


def music_style() -> str:
    """Return the style sheet that holds the music font, for a page that stands alone."""
    return (engraver_data() / SHEETS[0]).read_text(encoding="utf-8")


def text_style() -> str:
    """Return the style sheet that holds the text font, by the name that drawings call it by."""
    sheet = (engraver_data() / SHEETS[1]).read_text(encoding="utf-8")
    return sheet.replace('"Liberation"', f'"{TEXT}"')


def engraver_data() -> Path:
    """Return the engraver's folder of data, without loading the engraver."""
    spec = find_spec("verovio")
    if spec is None or spec.origin is None:
        raise OutputError("the engraver is missing: run `pip install verovio`")
    return Path(spec.origin).parent / "data"


def _unpacked_into(target: Path) -> Path:
    """Unpack beside the target and rename, so that the folder is whole or not there."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent) as scratch:
        fresh = Path(scratch) / "fonts"
        fresh.mkdir()
        _unpack(fresh)
        try:
            fresh.rename(target)
        except OSError:
            if not target.is_dir():  # otherwise another run was quicker, with the same files
                raise
    return target


def _for_this_run() -> Path:
    """Unpack into a folder that is gone when the program ends."""
    folder = Path(tempfile.mkdtemp(prefix="chartkit-fonts-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    _unpack(folder)
    return folder


def _unpack(folder: Path) -> None:
    from fontTools.ttLib import TTFont

    for number, packed in enumerate(_packed()):
        font = TTFont(BytesIO(packed), recalcTimestamp=False)
        font.flavor = None
        font.save(folder / f"{number}.ttf")


def _packed() -> Iterator[bytes]:
    """Yield each font as the engraver carries it (WOFF2)."""
    for name in SHEETS:
        text = (engraver_data() / name).read_text(encoding="utf-8")
        fonts = _EMBEDDED.findall(text)
        if not fonts:
            raise OutputError(f"the engraver's {name} holds no font: reinstall it with pip")
        yield from map(base64.b64decode, fonts)
