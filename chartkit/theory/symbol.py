"""Chord symbols: text to `Chord` and back.

Conventions: a symbol is a root, a quality and perhaps a slash bass. The quality is a head (triad,
kind of seventh, number) and a tail of tensions, ``sus`` and ``add``. Look-alike signs are folded
before anything is read. Brackets and commas only separate, except that an accidental or a ``-`` or
``+`` behind a bracket no longer stands right after the root.

Many symbols mean one chord; `write_symbol` gives its one tidy symbol, and every symbol that can be
read is read back from it unchanged.

Meaning of the open cases (common practice, no source): 13 has no eleventh; a bare 11 is a 9sus; a
tension never replaces the third; a natural ninth that 11 or 13 only implies gives way to an altered
one that is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from chartkit.errors import ChordError
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName, degrees

LONGEST: Final = 64
"""Characters in the longest symbol that is looked at."""

LOOK_ALIKES: Final = str.maketrans(
    {
        **dict.fromkeys("♭", "b"),
        **dict.fromkeys("♯", "#"),
        **dict.fromkeys("𝄫", "bb"),
        **dict.fromkeys("𝄪", "##"),
        **dict.fromkeys("∆△", "Δ"),
        **dict.fromkeys("Ø∅", "ø"),
        **dict.fromkeys("°º˚", "o"),
        **dict.fromkeys("−–", "-"),  # noqa: RUF001 (minus and dash are the point here)
    }
)

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
_TENSIONS: Final = frozenset(degrees("b5 #5 b9 9 #9 11 #11 b13 13"))
_SIXTHS: Final = frozenset({"6", "69"})
_IMPLYING_NINTH: Final = frozenset({"11", "13"})

_PARTS: Final = re.compile(r"([A-G])(bb|##|[b#])?(.*?)(?:/([A-G](?:bb|##|[b#])?))?", re.DOTALL)
_BRACKETS: Final = re.compile(r"\(([^()]+)\)")
_ALT: Final = re.compile(r"7?,*alt,*", re.IGNORECASE)
_HEAD: Final = re.compile(
    r"""(?P<triad> (?i:min|mi|dim|aug) | m(?!(?i:a)(?!(?i:dd))) | [-+oOø] )?
        (?: ,?(?P<major> (?i:maj) | (?i:ma)(?!(?i:dd)) | M | Δ ) )?
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


@dataclass(frozen=True, slots=True)
class Symbol:
    """A chord as read, and what the reader should know about how it was taken.

    Parameters
    ----------
    chord : Chord
    warnings : tuple of str
        A clause each; empty for a symbol that nobody could misread.
    """

    chord: Chord
    warnings: tuple[str, ...] = ()


class _Unreadable(Exception):  # noqa: N818 (internal: becomes a ChordError)
    """Why a symbol cannot be read, and symbols that might be meant (not yet tried)."""

    def __init__(self, found: str, *meant: str, hint: str = "") -> None:
        super().__init__(found)
        self.found = found
        self.meant = meant
        self.hint = hint


class _Odd(NamedTuple):
    """A quality that cannot be read, by pattern; the groups may be used in `meant`."""

    pattern: re.Pattern[str]
    found: str
    meant: tuple[str, ...]


def _odd(pattern: str, found: str, *meant: str) -> _Odd:
    return _Odd(re.compile(pattern, re.DOTALL), found, meant)


_ODD: Final = (
    _odd(
        r"M(?![0-9]|(?i:aj|a(?!dd)|in|i))(.*)",
        "a bare `M` could be a major triad or a major seventh",
        "{0}",
        "maj7{0}",
    ),
    _odd(
        r"-5(.*)",
        "right after the root `-` means minor, not flat",
        "(b5){0}",
        "o{0}",
    ),
    _odd(
        r"\+5(.*)",
        "right after the root `+` is the sharp five already",
        "+{0}",
        "7#5{0}",
    ),
    _odd(
        r"\+11(.*)",
        "right after the root `+` means augmented, not sharp",
        "7#11{0}",
        "9#5(11){0}",
    ),
    _odd(
        r"2(.*)",
        "a `2` could be an added ninth or a suspended second",
        "add9{0}",
        "sus2{0}",
    ),
    _odd(
        r"4(.*)",
        "a `4` could be an added eleventh or a suspended fourth",
        "add11{0}",
        "sus{0}",
    ),
    _odd(
        r"(?i:sus)(9|11|13)(.*)",
        "the number goes before `sus`",
        "{0}sus{1}",
    ),
    _odd(
        r"0(.*)",
        "a diminished circle is the letter `o` or `°`, not the digit 0",
        "o{0}",
    ),
)


class _Notice(NamedTuple):
    """A symbol that is read but could be misread, by pattern over the whole folded symbol."""

    pattern: re.Pattern[str]
    text: str


_NOTICES: Final = (
    _Notice(
        re.compile(r"([A-G])(b|#)5.*", re.DOTALL),
        "`{symbol}` is read as a power chord on {0}{1}; a {1}5 on {0} is `{0}({1}5)`",
    ),
    _Notice(
        re.compile(r"([EB])(#)(9|11).*|([CF])(b)(9|13).*", re.DOTALL),
        "`{symbol}` is read as a {2} on {0}{1}; a {1}{2} on {0} is `{0}7{1}{2}` or `{0}({1}{2})`",
    ),
    _Notice(
        re.compile(r"([EB]#|[CF]b).*", re.DOTALL),
        "`{0}` is a rare root; {same} sounds the same",
    ),
    _Notice(
        re.compile(r"([A-G][b#]?)11(?!.*(?i:sus)).*", re.DOTALL),
        "`{symbol}` is read as `{0}9sus`; `{0}9(11)` keeps its third",
    ),
    _Notice(
        re.compile(r"([A-G][b#]?)\+9.*", re.DOTALL),
        "`{symbol}` is read as `{0}9#5`; a sharp nine is `{0}7#9`",
    ),
)
_SAME_SOUND: Final = {"E#": "F", "B#": "C", "Cb": "B", "Fb": "E"}


@lru_cache(maxsize=4096)
def read_symbol(text: str) -> Symbol:
    """Read a chord symbol.

    Parameters
    ----------
    text : str
        One token, such as ``F#m7b5/E``.

    Returns
    -------
    Symbol
        The chord, and warnings where the symbol could be misread.

    Raises
    ------
    ChordError
        Where it is no chord symbol, or could mean two things.

    Examples
    --------
    >>> read_symbol("C-7-5") == read_symbol("Cø")
    True
    """
    try:
        return _read(text)
    except _Unreadable as trouble:
        meant = tuple(f"`{symbol}`" for symbol in trouble.meant if _reads(symbol))
        expected = meant or ((trouble.hint,) if trouble.hint else ())
        raise ChordError(text, f"`{_shown(text)}`: {trouble.found}", expected) from None


def _reads(symbol: str) -> bool:
    try:
        _read(symbol)
    except _Unreadable:
        return False
    return True


def _shown(text: str) -> str:
    """Return a text fit to quote: printable and not long."""
    cut = text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
    return "".join(c if c.isprintable() else "�" for c in cut)


def _read(text: str) -> Symbol:
    if len(text) > LONGEST:
        raise _Unreadable(f"a chord symbol has at most {LONGEST} characters")
    folded = text.translate(LOOK_ALIKES)
    root, quality, bass = _split(folded)
    try:
        built = _build(quality)
    except _Unreadable as trouble:
        trouble.meant = tuple(
            f"{root}{meant}{f'/{bass}' if bass else ''}" for meant in trouble.meant
        )
        raise
    chord = Chord(root, built, None if bass == root else bass)
    return Symbol(chord, tuple(_notices(folded, _shown(text))))


def _notices(folded: str, symbol: str) -> Iterator[str]:
    for pattern, text in _NOTICES:
        match = pattern.fullmatch(folded)
        if match:
            groups = [group for group in match.groups() if group]
            same = _SAME_SOUND.get(groups[0])
            yield text.format(*groups, symbol=symbol, same=same)


def _split(text: str) -> tuple[NoteName, str, NoteName | None]:
    """Part a folded symbol into root, quality and bass."""
    match = _PARTS.fullmatch(text)
    if not match:
        raise _no_root(text)
    letter, sign, quality, bass = match.groups()
    quality = quality.replace("6/9", "69")
    if len(sign or "") == 2:  # noqa: PLR2004 (a pair)
        raise _double(letter, sign, text[3:])
    if "/" in quality:
        raise _bad_bass(text)
    root = NoteName.parse(letter + (sign or ""))
    return root, quality, NoteName.parse(bass) if bass else None


def _no_root(text: str) -> _Unreadable:
    if text.startswith("/"):
        return _Unreadable("a slash bass needs its chord", hint="a chord before the slash")
    if text.startswith(("H", "h")):
        return _Unreadable("the note H is written B here", "B" + text[1:])
    return _Unreadable("a chord starts with a capital letter A to G", text[:1].upper() + text[1:])


def _double(letter: str, sign: str, rest: str) -> _Unreadable:
    """Refuse a root that could be a double accidental or an accidental and an altered degree."""
    plain = NoteName(letter, NoteName.parse(letter + sign).alter).pitch_class
    same = next(name for name in "CDEFGAB" if NoteName(name).pitch_class == plain)
    found = f"a root has at most one accidental, so `{sign}` could mean two things"
    return _Unreadable(found, f"{letter}{sign[0]}({sign[0]}{rest})", same + rest)


def _bad_bass(text: str) -> _Unreadable:
    before, after = text.rsplit("/", 1)
    note = after[:1].upper().replace("H", "B") + after[1:]
    found = f"`{after}` is no bass note" if after else "no bass note follows the slash"
    return _Unreadable(found, f"{before}/{note}" if after else before, f"{before}({after})")


@lru_cache(maxsize=1024)
def _build(quality: str) -> tuple[Degree, ...]:
    """Return the degrees that a folded quality stands for."""
    for pattern, found, meant in _ODD:
        match = pattern.fullmatch(quality)
        if match:
            raise _Unreadable(found, *(symbol.format(*match.groups()) for symbol in meant))
    flat = _without_brackets(quality)
    return _ALTERED if _ALT.fullmatch(flat) else _stacked(flat)


def _without_brackets(quality: str) -> str:
    """Turn brackets and the spaces in them into commas."""
    if re.search(r"[(),]", _BRACKETS.sub("", quality)):
        raise _Unreadable("the brackets do not pair", hint="tensions such as (b9,#11)")
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
        raise _Unreadable(f"`{written}` has no meaning", f"{written}".removesuffix("5"), hint=hint)
    if number in _SIXTHS and triad in ("o", "ø"):
        raise _Unreadable("a diminished chord has no sixth", "o7", "m6")
    if triad == "ø" and major:
        raise _Unreadable("a half-diminished chord has a minor seventh", "m7b5", "o(maj7)")
    if triad and major and not number:
        raise _Unreadable(f"`{written}` does not say which seventh", f"{triad}(maj7)")


def _tail(text: str, position: int) -> tuple[frozenset[Degree], list[int]]:
    """Read tensions and suspensions from a position to the end."""
    tensions: set[Degree] = set()
    sus: list[int] = []
    end = len(text.rstrip(","))
    while position < end:
        item = _ITEM.match(text, position, end)
        if not item:
            raise _junk(text[position:end].strip(","))
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
    if degree in _TENSIONS:
        return degree
    octave_up = Degree(number + 7, _SIGNS[sign])
    hint = f"`{octave_up}`" if octave_up in _TENSIONS else "b5, #5, b9, 9, #9, 11, #11, b13 or 13"
    raise _Unreadable(f"`{sign}{number}` is no tension", hint=hint)


def _junk(rest: str) -> _Unreadable:
    if rest.lower().startswith("alt"):
        return _Unreadable("`alt` stands alone after the root or 7", "7alt")
    return _Unreadable(
        f"`{_shown(rest)}` is no part of a chord symbol",
        hint="a quality, a tension such as b9 or #11, `sus`, `alt` or a slash and a bass note",
    )


def _suspend(base: frozenset[Degree], step: int, meant: str) -> frozenset[Degree]:
    """Put a step in the place of the third; `meant` is the quality without its kind of triad."""
    if Degree(step) in base:
        return base
    if Degree(3) not in base:
        raise _Unreadable("`sus` takes the place of a major third, and there is none", meant)
    return base - {Degree(3)} | {Degree(step)}


def _refuse_contradiction(chord: frozenset[Degree]) -> None:
    for natural in degrees("9 11 13"):
        if natural in chord and any(d.number == natural.number and d.alter for d in chord):
            found = f"a natural and an altered {natural} contradict each other"
            raise _Unreadable(found, hint="one of the two")


_SUSPENDABLE: Final = ("", "6", "69", "7", "9", "13", "maj7", "maj9", "maj13")
_TIDY_HEADS: Final = (
    *_SUSPENDABLE,
    *("5", "m", "m6", "m69", "m7", "m9", "m13", "m11"),
    *("m(maj7)", "m(maj9)", "m(maj13)", "m(maj11)", "o", "o7", "o(maj7)", "m7b5", "+", "7alt"),
    *(f"{head}sus" for head in _SUSPENDABLE),
    *(f"{head}sus2" for head in _SUSPENDABLE),
)
"""The heads that tidy symbols use; of those that leave equally many tensions the first is taken."""


def write_symbol(chord: Chord) -> str:
    """Write a chord as its one tidy symbol; the inverse of `read_symbol`.

    Raises
    ------
    ChordError
        Where no symbol stands for the degrees (`read_symbol` never gives such a chord).

    Examples
    --------
    >>> write_symbol(read_symbol("F♯-7-5/E").chord)
    'F#m7b5/E'
    """
    slash = f"/{chord.bass}" if chord.bass else ""
    return f"{chord.root}{_quality(chord.degrees)}{slash}"


@lru_cache(maxsize=1024)
def _quality(wanted: tuple[Degree, ...]) -> str:
    """Return the tidy quality: the head that leaves the fewest tensions to be written out."""
    tails = {head: tuple(d for d in wanted if d not in _build(head)) for head in _TIDY_HEADS}
    for head, tail in sorted(tails.items(), key=lambda item: len(item[1])):
        if _TENSIONS.issuperset(tail):
            quality = _with_tail(head, tail)
            if _means(quality, wanted):
                return quality
    names = " ".join(map(str, wanted))
    raise ChordError(names, f"no chord symbol stands for the degrees {names}")


def _means(quality: str, wanted: tuple[Degree, ...]) -> bool:
    try:
        return _build(quality) == wanted
    except _Unreadable:
        return False


def _with_tail(head: str, tail: tuple[Degree, ...]) -> str:
    """Join head and tensions: an altered fifth or a lone altered tension glued, else brackets."""
    if not tail:
        return head
    if head in ("", "m") and len(tail) == 1 and not tail[0].alter:
        return f"{head}add{tail[0]}"
    glued = head[-1:].isdigit() and tail[0].alter
    if glued and (tail[0].number == 5 or len(tail) == 1):  # noqa: PLR2004 (the fifth)
        return _with_tail(f"{head}{tail[0]}", tail[1:])
    return f"{head}({','.join(map(str, tail))})"
