"""What makes sound on this machine: the synthesiser library and a soundfont.

Nothing is downloaded. The library is the system's FluidSynth where it is installed, else the copy
that the pygame-ce package carries for its own use; pygame itself is never imported. The soundfont
is the one named, else the best of those installed, else the one inside the pretty_midi package,
which is never imported either.
"""

from __future__ import annotations

import contextlib
import ctypes.util
import io
import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from threading import Lock
from types import ModuleType
from typing import Final

from chartkit.errors import SoundError

FONT_VARIABLE: Final = "CHARTKIT_SOUNDFONT"
"""The environment variable that names a soundfont."""

_BY_VARIABLE: Final = f"{FONT_VARIABLE} names it"

_ENDINGS: Final = (".sf2", ".sf3")

_FOLDERS: Final = (
    "/usr/share/sounds/sf2",
    "/usr/share/sounds/sf3",
    "/usr/share/soundfonts",
    "/usr/local/share/soundfonts",
    "/opt/homebrew/share/soundfonts",
)
"""Where systems keep soundfonts: Debian and its kin, Fedora and Arch, Homebrew."""

_BEST_FIRST: Final = ("FluidR3_GM.sf2", "FluidR3Mono_GM.sf3", "TimGM6mb.sf2")
"""Soundfonts known to suit the band, by the names that packages give them."""

_BUNDLES: Final = (
    "../pygame_ce.libs/libfluidsynth*.so*",
    ".dylibs/libfluidsynth*.dylib",
    "libfluidsynth*.dll",
)
"""Where the package `pygame` may carry the library: on Linux, macOS and Windows (ARM only)."""

_OLDEST: Final = 2
"""The first major version of FluidSynth whose functions are the ones used here."""

_LOG_LEVELS: Final = range(5)
"""FluidSynth's, from panic to debug."""

_HANDLER: Final = ctypes.CFUNCTYPE(
    None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_void_p
)
_UNHEARD: Final = _HANDLER(lambda *_: None)
"""A handler for GLib's messages (domain, level, message, data)."""

_NO_LIBRARY: Final = (
    "no FluidSynth library was found, so there is no sound (MIDI files and pages still work): "
    "install it with `apt install libfluidsynth3` on Debian or Ubuntu, `brew install fluid-synth` "
    "on macOS, or `choco install fluidsynth` on Windows"
)


_ONE_AT_A_TIME: Final = Lock()


def synth_library() -> ModuleType:
    """Return pyfluidsynth's module, bound to the best library found and silenced.

    May be called in several threads.

    Raises
    ------
    SoundError
        There is no library, or only one older than FluidSynth 2.
    """
    with _ONE_AT_A_TIME:
        return _library()


@cache
def _library() -> ModuleType:
    module = _bound(None) or _bound(_bundled_library())
    if module is None:
        raise SoundError(_NO_LIBRARY)
    _silence(module)
    return module


@dataclass(frozen=True, slots=True)
class Chosen:
    """A soundfont to play with, and why it is this one."""

    path: Path
    why: str


def find_soundfont(name: str | None = None) -> Path:
    """Return the soundfont to play with; see `choose_soundfont`."""
    return choose_soundfont(name).path


def choose_soundfont(name: str | None = None) -> Chosen:
    """Return the soundfont to play with, and why.

    Parameters
    ----------
    name : str or None
        A path, or the name of a file in one of the places for soundfonts, with or without its
        ending. None for the one that the environment names, else the best that is there.

    Returns
    -------
    Chosen
        A file that begins as a soundfont does and is as long as it says.

    Raises
    ------
    SoundError
        There is none, or the one named is missing or no soundfont.
    """
    for wanted, why in ((name, "you named it"), (os.environ.get(FONT_VARIABLE), _BY_VARIABLE)):
        if wanted:
            path = _named(wanted)
            if fault := _fault(path):
                raise SoundError(f"cannot play with {path}: {fault}")
            return Chosen(path, why)
    for place in places():
        for path in place.fonts:
            if _fault(path) is None:
                return Chosen(path, place.why)
    raise SoundError(
        "no soundfont was found: install one with `apt install fluid-soundfont-gm`, or name a "
        f"file with --soundfont or in {FONT_VARIABLE}"
    )


@dataclass(frozen=True, slots=True)
class Place:
    """Where soundfonts are looked for.

    Parameters
    ----------
    name : str
        A folder, or what stands for several.
    why : str
        Why a soundfont from here is taken.
    fonts : tuple of Path
        Those that are taken from here by themselves, best first.
    """

    name: str
    why: str
    fonts: tuple[Path, ...]


def places() -> tuple[Place, ...]:
    """Return where soundfonts are looked for, in order: the player's, the system's, a package's."""
    system = tuple(
        Path(folder, name)
        for name in _BEST_FIRST
        for folder in _FOLDERS
        if Path(folder, name).is_file()
    )
    own = user_fonts()
    return (
        Place(str(own), "it is in your own folder", tuple(_fonts_in(own))),
        Place(", ".join(_FOLDERS), "it is the best of those installed", system),
        Place("the package pretty_midi", "there is no other", tuple(_packaged())),
    )


@dataclass(frozen=True, slots=True)
class Library:
    """The synthesiser library in use.

    Parameters
    ----------
    version : str
    file : str
        Its file, as it was found.
    bundled : bool
        It came with the package pygame-ce.
    """

    version: str
    file: str
    bundled: bool


def library() -> Library:
    """Return which synthesiser library is in use.

    Raises
    ------
    SoundError
        There is none.
    """
    module = synth_library()
    numbers = [ctypes.c_int() for _ in range(3)]
    module.fluid_version(*map(ctypes.byref, numbers))
    file = str(getattr(module._fl, "_name", "libfluidsynth"))  # noqa: SLF001 (told nowhere else)
    version = ".".join(str(number.value) for number in numbers)
    return Library(version, file, file == _bundled_library())


def user_fonts() -> Path:
    """Return the folder where a player's own soundfonts are found, and come first."""
    from platformdirs import user_data_path

    return user_data_path("chartkit", appauthor=False) / "soundfonts"


def _bound(library: str | None) -> ModuleType | None:
    """Import pyfluidsynth on a library (None: the system's); None if that cannot be had.

    The module looks for a library while it is imported, cannot be told one, and prints what it
    found where the variable CI is set.
    """
    sys.modules.pop("fluidsynth", None)
    try:
        with contextlib.redirect_stdout(io.StringIO()), _telling(library):
            import fluidsynth
    except (ImportError, OSError):
        return None
    if not hasattr(fluidsynth, "majver"):
        raise SoundError(
            "another package called fluidsynth is in the way: `pip uninstall fluidsynth`, then "
            "`pip install --force-reinstall pyfluidsynth`"
        )
    return fluidsynth if fluidsynth.majver.value >= _OLDEST else None


@contextlib.contextmanager
def _telling(library: str | None) -> Iterator[None]:
    """Make every search for a library find this one; None leaves the search alone."""
    search = ctypes.util.find_library
    if library:
        ctypes.util.find_library = lambda name: library  # noqa: ARG005 (whatever it is called)
    try:
        yield
    finally:
        ctypes.util.find_library = search


def _bundled_library() -> str | None:
    """Return the path of the library that pygame-ce carries, without importing pygame."""
    spec = find_spec("pygame")
    folders = spec.submodule_search_locations if spec else None
    found = (
        path
        for folder in folders or ()
        for pattern in _BUNDLES
        for path in sorted(Path(folder).glob(pattern))
    )
    return next(map(str, found), None)


def _silence(module: ModuleType) -> None:
    """Stop what FluidSynth and the libraries under it print: errors are told by `SoundError`."""
    set_log_function = module.cfunc(
        "fluid_set_log_function",
        ctypes.c_void_p,
        ("level", ctypes.c_int, 1),
        ("function", ctypes.c_void_p, 1),
        ("data", ctypes.c_void_p, 1),
    )
    for level in _LOG_LEVELS:
        set_log_function(level, None, None)
    set_default_handler = module.cfunc(
        "g_log_set_default_handler",
        ctypes.c_void_p,
        ("function", _HANDLER, 1),
        ("data", ctypes.c_void_p, 1),
    )
    if set_default_handler:  # a FluidSynth that was built on GLib
        set_default_handler(_UNHEARD, None)


def _installed() -> Iterator[Path]:
    """Yield soundfonts in order of worth: the player's own, the system's, pretty_midi's."""
    for place in places():
        yield from place.fonts


def _fonts_in(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.iterdir() if path.suffix.lower() in _ENDINGS)


def _packaged() -> list[Path]:
    """Return the soundfont inside the pretty_midi package, found without importing it."""
    spec = find_spec("pretty_midi")
    folders = spec.submodule_search_locations if spec else None
    return [path for folder in folders or () for path in _fonts_in(Path(folder))]


def _named(wanted: str) -> Path:
    """Return the soundfont at a path, or of that name in a place for soundfonts."""
    path = Path(wanted).expanduser()
    if path.exists():
        return path
    known = [*_installed(), *(font for folder in _FOLDERS for font in _fonts_in(Path(folder)))]
    for font in known:
        if wanted in (font.name, font.stem):
            return font
    there = ", ".join(sorted({font.stem for font in known})) or "none"
    raise SoundError(
        f"no soundfont {wanted}: give the path of a file, or one of those installed ({there})"
    )


def _fault(path: Path) -> str | None:
    """Tell what keeps a file from being a soundfont (RIFF form `sfbk`, SoundFont 2.04); or None."""
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(12)
    except OSError as error:
        return (error.strerror or str(error)).lower()
    if head[:4] != b"RIFF" or head[8:] != b"sfbk":
        return "that is not a soundfont (.sf2 or .sf3)"
    if int.from_bytes(head[4:8], "little") + 8 > size:
        return "the file is cut short: fetch or copy it again"
    return None
