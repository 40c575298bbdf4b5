"""From the quality of a chord symbol to degrees.

Conventions: a quality is a head (triad, kind of seventh, number) and a tail of tensions, ``sus``
and ``add``, in any order. Brackets and commas only separate, except that a ``-`` or ``+`` behind a
bracket no longer stands right after the root, where it would mean minor or augmented.

Meaning of the open cases (common practice, no source): 13 has no eleventh; a bare 11 is a 9sus; a
tension never replaces the third; a natural ninth that 11 or 13 only implies gives way to an altered
one that is written.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from chartkit.theory.oddity import Unreadable, refuse_oddity
from chartkit.theory.pitch import Degree, degrees

_TRIADS: Final = {
    "": degrees("1 3 5"),
    "m": degrees("1 b3 5"),
    "o": degrees("1 b3 b5"),
    "ø": degrees("1 b3 b5"),
    "+": degrees("1 3 #5"),
}
_TRIAD_WORDS: Final = {"mi": "m", "min": "m", "-": "m", "dim": "o", "aug": "+"}

_SEVENTHS: Final = {"": "b7", "m": "b7", "o": "bb7", "ø": "b7", "+": "b7", "major": "7"}
"""What 7 means after each triad; after a word for major it is the major seventh."""

_EXTENSIONS: Final = {
    "": "",
    "6": "6",
    "69": "6 9",
    "7": "{seventh}",
    "9": "{seventh} 9",
    "11": "{seventh} 9 11",
    "13": "{seventh} 9 13",
}
"""What each number adds to its triad."""

_POWER: Final = degrees("1 5")
_ALTERED: Final = degrees("1 3 b7 b9 #9 #11 b13")
TENSIONS: Final = frozenset(degrees("b5 #5 b9 9 #9 11 #11 b13 13"))
_SIXTHS: Final = frozenset({"6", "69"})
_IMPLYING_NINTH: Final = frozenset({"11", "13"})

_BRACKETS: Final = re.compile(r"\(([^()]+)\)")
_ALT: Final = re.compile(r"7?,*alt,*", re.IGNORECASE)
_HEAD: Final = re.compile(
    r"""(?P<triad> (?i:min|mi|dim|aug) | m(?!(?i:a)(?!(?i:dd|lt|ug))) | [-+oOø] )?
        (?: ,?(?P<major> (?i:maj) | (?i:ma)(?!(?i:dd|lt|ug)) | M | Δ ) )?
        (?P<number> 69 | 1[0-9] | [0-9] )?""",
    re.VERBOSE,
)
_ITEM: Final = re.compile(
    r""",*(?: (?i:sus)(?P<sus>[24]?(?![0-9]))
            | (?<=[0-9])(?P<sharp_five> (?: \+ | (?i:aug) )$ )
            | (?i:add)?(?P<sign>[-+b#]?)(?P<number> 1[0-9] | [0-9] ) )""",
    re.VERBOSE,
)
_SIGNS: Final = {"": 0, "b": -1, "-": -1, "#": 1, "+": 1}


@lru_cache(maxsize=1024)
def quality_degrees(quality: str) -> tuple[Degree, ...]:
    """Return the degrees that a folded quality stands for."""
    refuse_oddity(quality)
    flat = _without_brackets(quality)
    return _ALTERED if _ALT.fullmatch(flat) else _stacked(flat)


def _without_brackets(quality: str) -> str:
    """Turn brackets and the spaces in them into commas."""
    if re.search(r"[(),]", _BRACKETS.sub("", quality)):
        raise Unreadable("the brackets do not pair", hint="tensions such as (b9,#11)")
    return _BRACKETS.sub(lambda match: f",{match[1].replace(' ', ',')},", quality)


def _stacked(flat: str) -> tuple[Degree, ...]:
    """Build head and tail."""
    seven_sus = re.sub(r"^(?i:sus)7", "7sus", flat)
    head = _HEAD.match(seven_sus)
    assert head, "every part of a head is optional"
    tail, sus = _tail(seven_sus, head.end())
    base = _base(head)
    if head["number"] in _IMPLYING_NINTH and tail & {Degree(9, -1), Degree(9, 1)}:
        base -= {Degree(9)}
    if tail & {Degree(5, -1), Degree(5, 1)}:
        base -= {Degree(5)}
    for step in sus:
        base = _suspend(base, step, seven_sus.removeprefix(head["triad"] or ""))
    _refuse_contradiction(base | tail)
    return tuple(sorted(base | tail, key=lambda degree: (degree.number, degree.alter)))


def _base(head: re.Match[str]) -> frozenset[Degree]:
    """Return the degrees of triad, kind of seventh and number."""
    written = head["triad"] or ""
    triad = _TRIAD_WORDS.get(written.lower(), written.lower())
    major, number = head["major"] or "", head["number"] or ""
    if head[0] == "5":
        return frozenset(_POWER)
    if head[0] == "11":
        return frozenset(degrees("1 4 5 b7 9"))
    if not number and (triad == "ø" or major == "Δ"):
        number = "7"
    _refuse_head(head[0], triad, major, number)
    seventh = _SEVENTHS["major" if major else triad]
    return frozenset((*_TRIADS[triad], *degrees(_EXTENSIONS[number].format(seventh=seventh))))


def _refuse_head(written: str, triad: str, major: str, number: str) -> None:
    """Raise where triad, word for major and number do not go together."""
    if number not in _EXTENSIONS:
        hint = "a number 5, 6, 7, 9, 11, 13 or 69"
        raise Unreadable(f"`{written}` has no meaning", written.removesuffix("5"), hint=hint)
    if number in _SIXTHS and triad in ("o", "ø"):
        raise Unreadable("a diminished chord has no sixth", "o7", "m6")
    if triad == "ø" and major:
        raise Unreadable("a half-diminished chord has a minor seventh", "m7b5", "o(maj7)")
    if triad and major and not number:
        raise Unreadable(f"`{written}` does not say which seventh", f"{triad}(maj7)")


def _tail(text: str, position: int) -> tuple[frozenset[Degree], list[int]]:
    """Read tensions and suspensions from a position to the end."""
    tensions: set[Degree] = set()
    sus: list[int] = []
    end = len(text.rstrip(","))
    while position < end:
        item = _ITEM.match(text, position, end)
        if not item:
            raise _junk(text[position:end].strip(",").split(",")[0])
        position = item.end()
        if item["sus"] is not None:
            sus.append(int(item["sus"] or 4))
        elif item["sharp_five"]:
            tensions.add(Degree(5, 1))
        else:
            tensions.add(_tension(item["sign"], int(item["number"])))
    return frozenset(tensions), sus


def _tension(sign: str, number: int) -> Degree:
    degree = Degree(number, _SIGNS[sign]) if number else None
    if degree in TENSIONS:
        return degree
    octave_up = Degree(number + 7, _SIGNS[sign])
    hint = f"`{octave_up}`" if octave_up in TENSIONS else "b5, #5, b9, 9, #9, 11, #11, b13 or 13"
    raise Unreadable(f"`{sign}{number}` is no tension", hint=hint)


def _junk(rest: str) -> Unreadable:
    if rest.lower().startswith("alt"):
        return Unreadable("`alt` stands alone after the root or 7", "7alt")
    return Unreadable(
        f"`{rest}` is no part of a chord symbol",
        hint="a quality, a tension such as b9 or #11, `sus`, `alt` or a slash and a bass note",
    )


def _suspend(base: frozenset[Degree], step: int, meant: str) -> frozenset[Degree]:
    """Put a step in the place of the third; `meant` is the quality without its kind of triad."""
    if Degree(step) in base:
        return base
    if Degree(3) not in base:
        raise Unreadable("`sus` takes the place of a major third, and there is none", meant)
    return base - {Degree(3)} | {Degree(step)}


def _refuse_contradiction(chord: frozenset[Degree]) -> None:
    for natural in degrees("9 11 13"):
        if natural in chord and any(d.number == natural.number and d.alter for d in chord):
            found = f"a natural and an altered {natural} contradict each other"
            raise Unreadable(found, hint="one of the two")
