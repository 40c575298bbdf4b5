"""What a player types after an option, read into the program's values.

Each reader takes the text and raises ValueError with a sentence that names what was typed and what
could be; `Typed` makes a command-line type of it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Final, Generic, TypeAlias, TypeVar, get_args

import click

from chartkit.controls.keys import FOURTHS, OCTAVE
from chartkit.take import LOUDEST, SOFTEST
from chartkit.theory.pitch import NoteName, Pitch
from chartkit.track import Part

T = TypeVar("T")

KeyTyped: TypeAlias = tuple[NoteName, str | None]
"""A tonic, and the mode if it was typed."""

NOTE_VALUES: Final = {
    "half": Fraction(2),
    "quarter": Fraction(1),
    "quarter-triplet": Fraction(2, 3),
    "eighth": Fraction(1, 2),
    "triplet": Fraction(1, 3),
    "sixteenth": Fraction(1, 4),
}
"""Names of note values and their lengths in quarter notes."""

AUDIO: Final = (".wav", ".flac", ".ogg", ".mp3")
MUSIC: Final = (".mid", *AUDIO)
PAGES: Final = (".pdf", ".svg", ".png")
NOTATION: Final = (*PAGES, ".musicxml")

_SLOWEST, _FASTEST = 30, 400
_DAY: Final = 24 * 60
_HIGHEST_NOTE: Final = 127
_ROMANS: Final = (
    *("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX"),
    *("X", "XI", "XII", "XIII", "XIV", "XV", "XVI", "XVII", "XVIII"),
)


class Typed(click.ParamType[T], Generic[T]):
    """A command-line type from a reader of text."""

    def __init__(self, name: str, read: Callable[[str], T]) -> None:
        self.name = name
        self._read = read

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> T:
        """Read what was typed; a value that is no text has been read before."""
        if not isinstance(value, str):
            return value  # type: ignore[return-value]
        try:
            return self._read(value.strip())
        except ValueError as error:
            self.fail(str(error), param, ctx)


def read_tempo(text: str) -> Fraction:
    """Read quarter notes a minute, 30-400."""
    if not re.fullmatch(r"\d{1,9}(\.\d{1,9})?", text):
        raise ValueError(f"`{text}` is not a tempo; give quarter notes a minute, like 132")
    tempo = Fraction(text)
    if not _SLOWEST <= tempo <= _FASTEST:
        raise ValueError(f"{text} is outside {_SLOWEST}-{_FASTEST} quarter notes a minute")
    return tempo


def read_note(text: str) -> int:
    """Read ``D3``, ``Bb2`` or ``50`` (as it sounds) into a MIDI note number."""
    try:
        note = int(text) if text.isdecimal() else Pitch.parse(text[:1].upper() + text[1:]).midi
    except ValueError:
        raise ValueError(f"`{text}` is not a note; write one like D3, Bb2 or 50") from None
    if not 0 <= note <= _HIGHEST_NOTE:
        raise ValueError(f"`{text}` is outside the MIDI notes 0-{_HIGHEST_NOTE}")
    return note


def read_range(text: str) -> tuple[int, int]:
    """Read ``A2-C5`` or ``45-72`` into two MIDI note numbers."""
    low, dash, high = text.partition("-")
    if not dash:
        raise ValueError(f"`{text}` is not a range; write one like A2-C5 or 45-72")
    lowest, highest = read_note(low.strip()), read_note(high.strip())
    if lowest >= highest:
        raise ValueError(f"`{text}`: the lower note comes first")
    return lowest, highest


def read_position(text: str) -> int:
    """Read ``5`` or ``V``, the fret of the first finger."""
    numeral = text.upper()
    if numeral in _ROMANS:
        return _ROMANS.index(numeral) + 1
    if not text.isdecimal() or not 1 <= int(text) <= len(_ROMANS):
        raise ValueError(f"`{text}` is not a position; write 1-{len(_ROMANS)} or I-{_ROMANS[-1]}")
    return int(text)


def read_bars(text: str) -> tuple[int, int]:
    """Read ``7-10``, or ``7`` for one bar, into the first and last printed bar number."""
    match = re.fullmatch(r"(\d{1,6})(?:-(\d{1,6}))?", text)
    if not match:
        raise ValueError(f"`{text}` is not a range of bars; write one like 7-10")
    first, last = int(match[1]), int(match[2] or match[1])
    if not 1 <= first <= last:
        raise ValueError(f"`{text}`: bars count from 1, the first before the last")
    return first, last


def read_tempo_step(text: str) -> Fraction:
    """Read quarter notes a minute above zero."""
    if not re.fullmatch(r"\d{1,3}(\.\d{1,9})?", text) or not Fraction(text):
        raise ValueError(f"`{text}` is not a step of tempo; give quarter notes a minute, like 5")
    return Fraction(text)


def read_minutes(text: str) -> Fraction:
    """Read minutes above zero, at most a day of them."""
    if not re.fullmatch(r"\d{1,4}(\.\d{1,9})?", text) or not 0 < Fraction(text) <= _DAY:
        raise ValueError(f"`{text}` is not a number of minutes; give one like 5 or 2.5")
    return Fraction(text)


def read_level(text: str) -> tuple[Part, float]:
    """Read ``bass=-3`` into a part and how many dB louder it is to be."""
    name, _, level = text.partition("=")
    part = next((one for one in get_args(Part) if one == name.strip().lower()), None)
    if part is None or not re.fullmatch(r"\s*[+-]?\d{1,3}(\.\d{1,9})?\s*", level):
        known = ", ".join(get_args(Part))
        raise ValueError(f"`{text}` is not a part's level; write one like bass=-3, of {known}")
    if not SOFTEST <= float(level) <= LOUDEST:
        raise ValueError(f"`{text}`: a part's level goes from {SOFTEST} to {LOUDEST} dB")
    return part, float(level)


def read_beats(text: str) -> tuple[int, ...] | None:
    """Read ``2,4`` or ``2 and 4`` into beats of the bar, ``all`` into none in particular.

    ``none`` is no click at all, None.
    """
    if text.lower() in ("all", "none"):
        return () if text.lower() == "all" else None
    beats = re.split(r"\s*,\s*|\s+and\s+|\s+", text)
    if not all(re.fullmatch(r"[1-9]\d?", beat) for beat in beats):
        raise ValueError(f"`{text}` are not beats of a bar; write some like 2,4, or all, or none")
    return tuple(sorted({int(beat) for beat in beats}))


def read_keys(text: str) -> int | tuple[KeyTyped, ...]:
    """Read ``fourths`` or ``+1`` into a step in semitones, ``C, F, Bb`` into keys in turn."""
    if text.lower() == "fourths":
        return FOURTHS
    if re.fullmatch(r"[+-]?\d{1,2}", text):
        if abs(int(text)) >= OCTAVE:
            raise ValueError(f"`{text}`: keys go up or down by at most {OCTAVE - 1} semitones")
        return int(text)
    try:
        return tuple(read_key(key) for key in re.split(r"\s*,\s*", text))
    except ValueError as error:
        raise ValueError(f"{error}; or write fourths, or semitones like +1 or -2") from None


def read_key(text: str) -> KeyTyped:
    """Read ``Bb``, ``Bb major``, ``Cm`` or ``C minor`` into the tonic and the mode, if typed."""
    match = re.fullmatch(r"([A-Ga-g])([#b♯♭]?)\s*(?:(m|min|minor)|(maj|major))?", text)
    if not match:
        raise ValueError(f"`{text}` is not a key; write one like F, Bb or Cm")
    letter, sign, minor, major = match.groups()
    tonic = NoteName.parse(letter.upper() + sign.replace("♯", "#").replace("♭", "b"))
    return tonic, "minor" if minor else "major" if major else None


def read_output(text: str, endings: tuple[str, ...], *, folder: bool = False) -> Path:
    """Return a path whose ending is one of ours, or a folder where that serves."""
    path = Path(text).expanduser()
    if folder and (path.is_dir() or text.endswith("/")):
        return path
    if path.suffix.lower() not in endings:
        also = "; or name a folder" if folder else ""
        raise ValueError(f"`{text}` should end in {', '.join(endings)}{also}")
    return path


TEMPO: Final = Typed("tempo", read_tempo)
NOTE: Final = Typed("note", read_note)
RANGE: Final = Typed("low-high", read_range)
POSITION: Final = Typed("position", read_position)
BARS: Final = Typed("first-last", read_bars)
KEY: Final = Typed("key", read_key)
KEYS: Final = Typed("keys", read_keys)
BEATS: Final = Typed("beats", read_beats)
LEVEL: Final = Typed("part=dB", read_level)
MINUTES: Final = Typed("minutes", read_minutes)
TEMPO_STEP: Final = Typed("tempo", read_tempo_step)


def output(endings: tuple[str, ...], *, folder: bool = False) -> Typed[Path]:
    """Return the type of a file to write, its format told by its ending."""
    return Typed("file", lambda text: read_output(text, endings, folder=folder))
