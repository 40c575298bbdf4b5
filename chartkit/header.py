"""The values of header lines: text to values, and back to the one tidy spelling.

Conventions: a header line is a word, a colon and a value. Each word is one row of `HEADER`, which
both the reader and the writer go by; its order is the order of a tidy file.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from chartkit.chart import Meter, Tempo
from chartkit.explain import shown
from chartkit.feel import FEELS
from chartkit.lines import Misread
from chartkit.theory.key import Key, Mode
from chartkit.theory.pitch import NoteName

SLOWEST: Final = 30
FASTEST: Final = 400
"""Quarter notes a minute, both included."""


# ---- Keys -----------------------------------------------------------------------------------

_KEY: Final = re.compile(r"([A-Ga-g])([b#♭♯]?)[^\S\n]*(.*)")
_MODES: Final[dict[str, Mode]] = {
    "": "major",
    "maj": "major",
    "major": "major",
    "m": "minor",
    "-": "minor",
    "min": "minor",
    "minor": "minor",
}
_ACCIDENTALS: Final = str.maketrans("♭♯", "b#")
_MOST_FIFTHS: Final = 7
"""Accidentals in the fullest key signature."""


def read_key(text: str) -> Key:
    """Read ``F``, ``F major``, ``Fm`` or ``F minor``."""
    match = _KEY.fullmatch(text)
    mode = _MODES.get(match[3].lower()) if match and match[3] != "M" else None
    if not match or not mode:
        raise Misread(f"{shown(text)} is not a key", "a key such as `F`, `Bb major` or `C# minor`")
    key = Key(NoteName.parse(match[1].upper() + match[2].translate(_ACCIDENTALS)), mode)
    if abs(key.fifths) > _MOST_FIFTHS:
        same = Key.written(key.tonic.pitch_class, mode)
        raise Misread(f"{key} has no key signature", f"`{same}`")
    return key


# ---- Meters ---------------------------------------------------------------------------------

_METER: Final = re.compile(r"([0-9]{1,2})[^\S\n]*/[^\S\n]*([0-9]{1,2})")
_BEATS: Final = {
    (6, 8): Meter(2, Fraction(3, 2)),
    (9, 8): Meter(3, Fraction(3, 2)),
    (12, 8): Meter(4, Fraction(3, 2)),
}
"""Compound meters, felt in dotted quarters; all others are felt in their lower number."""
_MOST_BEATS: Final = 16
_BEAT_NOTES: Final = (2, 4, 8, 16)


def read_meter(text: str) -> Meter:
    """Read ``4/4``; the beat of 6/8, 9/8 and 12/8 is the dotted quarter."""
    match = _METER.fullmatch(text)
    if not match:
        raise Misread(f"{shown(text)} is not a meter", "a meter such as `4/4` or `12/8`")
    upper, lower = int(match[1]), int(match[2])
    if not 1 <= upper <= _MOST_BEATS:
        raise Misread(f"{shown(text)} has {upper} beats in a bar", f"1 to {_MOST_BEATS} beats")
    if lower not in _BEAT_NOTES:
        raise Misread(f"there is no note to write the {lower} of {shown(text)}", "2, 4, 8 or 16")
    return _BEATS.get((upper, lower)) or Meter(upper, Fraction(4, lower))


# ---- Tempos, feels, numbers, forms, free text ---------------------------------------------------

_COUNT: Final = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?")
UNITS: Final = {
    "quarter": Fraction(1),
    "half": Fraction(2),
    "dotted quarter": Fraction(3, 2),
}
"""Notes that a tempo may count, in quarter notes."""


def read_tempo(text: str) -> Tempo:
    """Read ``132``, ``half = 90`` or ``dotted quarter = 66``."""
    name, equals, count = text.rpartition("=")
    unit = UNITS.get(" ".join(name.lower().split()) if equals else "quarter")
    if not unit or not _COUNT.fullmatch(count.strip()):
        hint = "a tempo such as `132`, `half = 90` or `dotted quarter = 66`"
        raise Misread(f"{shown(text)} is not a tempo", hint)
    tempo = Tempo(Fraction(count.strip()), unit)
    if not SLOWEST <= tempo.quarters <= FASTEST:
        found = f"{_decimal(tempo.quarters)} quarter notes a minute is out of range"
        raise Misread(found, f"{SLOWEST} to {FASTEST}")
    return tempo


def write_tempo(tempo: Tempo) -> str:
    """Write a tempo as `read_tempo` reads it."""
    unit = next(name for name, length in UNITS.items() if length == tempo.unit)
    count = _decimal(tempo.count)
    return count if unit == "quarter" else f"{unit} = {count}"


def _decimal(number: Fraction) -> str:
    return f"{float(number):.6f}".rstrip("0").rstrip(".")


def read_feel(text: str) -> str:
    """Read the name of a feel, built or not; case and spacing do not count."""
    name = " ".join(text.lower().split())
    if name not in FEELS:
        raise unknown(name, FEELS, "feel")
    return name


def _read_pickup(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,2}", text):
        raise Misread(f"{shown(text)} is no number of beats", "a whole number of beats")
    return int(text)


def _read_order(text: str) -> tuple[str, ...]:
    labels = tuple(text.replace(",", " ").split())
    if not labels:
        raise Misread("no section is named", "section labels in playing order, as in `A A B A`")
    return labels


_ESCAPE: Final = re.compile(r"(?:^|(?<=[\s\\]));")


def read_text(text: str) -> str:
    r"""Read free text: ``\;`` is a plain semicolon."""
    return text.replace(r"\;", ";")


def write_text(text: str) -> str:
    r"""Write free text so that no semicolon in it starts a comment."""
    return _ESCAPE.sub(r"\\;", text)


# ---- The words ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HeaderWord:
    """A word of the header.

    Parameters
    ----------
    field : str
        Where its value stands in a `Chart`, and for those of `OVERRIDES` in a `Section`.
    read : callable
        From the text after the colon to a value; raises `Misread`.
    write : callable
        From a value to the tidy text.
    """

    field: str
    read: Callable[[str], Any] = read_text
    write: Callable[[Any], str] = write_text

    @property
    def is_text(self) -> bool:
        """Whether any value will do, even none."""
        return self.read is read_text


HEADER: Final[Mapping[str, HeaderWord]] = {
    "Title": HeaderWord("title"),
    "Composer": HeaderWord("composer"),
    "Key": HeaderWord("key", read_key, str),
    "Meter": HeaderWord("meter", read_meter, str),
    "Feel": HeaderWord("feel", read_feel, str),
    "Tempo": HeaderWord("tempo", read_tempo, write_tempo),
    "Form": HeaderWord("order", _read_order, " ".join),
    "Solos": HeaderWord("solos", _read_order, " ".join),
    "Pickup": HeaderWord("pickup", _read_pickup, str),
    "Note": HeaderWord("notes"),
}
OVERRIDES: Final = ("Key", "Meter", "Feel")
"""Words that may stand under a section's label."""


def unknown(word: str, known: Iterable[str], noun: str) -> Misread:
    """Return what is said of a word that is not one of the known: all of them, and the nearest."""
    from difflib import get_close_matches

    names = list(known)
    near = get_close_matches(word[:_LONGEST_WORD], names, n=1)
    hint = f" (the nearest is `{near[0]}`)" if near else ""
    return Misread(f"{shown(word)} is not a {noun}{hint}", *(f"`{name}`" for name in names))


_LONGEST_WORD: Final = 40
"""Characters that are compared; likeness takes long to find in a long text."""
