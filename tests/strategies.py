"""Charts drawn by chance: every feature of the language, each chart one that could be read.

Import it as ``strategies``; ``charts()`` is the whole of it, the others draw its parts. A chart is
drawn as the reader would give it: numbers run on, the last bar of a section ends a line, marks that
stand at a bar's start come first, comments are in the order of the tidy file.
"""

import random
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate, combinations, pairwise

from hypothesis import strategies as st

from chartkit.chart import (
    Bar,
    Change,
    Chart,
    Comment,
    Hold,
    Mark,
    Meter,
    Section,
    Sign,
    Simile,
    Tempo,
)
from chartkit.comments import in_tidy_order
from chartkit.feel import FEELS
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol

QUALITIES = (
    *("", "m", "7", "m7", "maj7", "m7b5", "o7", "6", "m6", "69", "7sus", "9", "13", "7b9", "7#9"),
    *("7alt", "m(maj7)", "+", "7#5", "maj7(#11)", "7(b9,b13)", "sus2", "5", "add9", "m9(11)"),
)
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")

METERS = tuple(
    [Meter(beats) for beats in (2, 3, 4, 5, 6, 7)]
    + [Meter(2, Fraction(2)), Meter(3, Fraction(2)), Meter(7, Fraction(1, 2))]
    + [Meter(beats, Fraction(3, 2)) for beats in (2, 3, 4)]
)

TEXT = st.text(
    st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"), exclude_characters='"'),
    min_size=1,
    max_size=12,
).map(str.strip)


def chords():
    return st.builds(
        lambda root, quality, bass: read_symbol(root + quality + bass).chord,
        st.sampled_from(ROOTS),
        st.sampled_from(QUALITIES),
        st.one_of(st.just(""), st.sampled_from(ROOTS).map("/{}".format)),
    )


def keys():
    return st.sampled_from([Key(NoteName.parse(t), m) for m, row in WRITTEN.items() for t in row])


def tempos():
    units = st.sampled_from((Fraction(1), Fraction(2), Fraction(3, 2)))
    quarters = st.integers(60, 700).map(lambda halves: Fraction(halves, 2))
    return st.builds(lambda unit, count: Tempo(round(count / unit, 3), unit), units, quarters)


# ---- What fills a bar -----------------------------------------------------------------------
# A draw costs time, so what is small is drawn from long lists that are made once: the same lists on
# every run.

_PICK = random.Random(1)
_TEXTS = (
    "soft",
    "N.C. | :|",
    "a ; b",
    r"a \; b\;",
    "%",
    "(2x)",
    "[A]",
    "Fine",
    "F7",
    "é ♭",
    ";",
    "{3/4}",
)


def _prototypes(count):
    """Changes of one beat: one in eight is N.C., one in five has a text, flags as they fall."""
    for _ in range(count):
        root, quality = _PICK.choice(ROOTS), _PICK.choice(QUALITIES)
        bass = f"/{_PICK.choice(ROOTS)}" if _PICK.random() < 0.3 else ""
        chord = read_symbol(root + quality + bass).chord if _PICK.random() < 0.875 else None
        yield Change(
            chord,
            1,
            pushed=bool(chord) and _PICK.random() < 0.25,
            stopped=bool(chord) and _PICK.random() < 0.25,
            text=_PICK.choice(_TEXTS) if _PICK.random() < 0.2 else None,
        )


CHANGES = st.sampled_from(tuple(_prototypes(600)))


def _compositions(total):
    """Every way to share beats among chords, the even ones as often as all the others."""
    found = [
        [b - a for a, b in pairwise((0, *cuts, total))]
        for size in range(total)
        for cuts in combinations(range(1, total), size)
    ]
    even = [lengths for lengths in found if len(set(lengths)) == 1]
    return found + even * (len(found) // len(even))


SHARES = {total: st.sampled_from(_compositions(total)) for total in range(1, 8)}
BRACKETS = st.sampled_from((None, None, None, 0, 1, 2, 3))
"""The first change of a turnaround, None for no turnaround."""
HOLDS = st.booleans()


@st.composite
def slots(draw, total, *, hold):
    """Changes, perhaps after a hold, that fill so many beats."""
    lengths = draw(SHARES[total])
    first = draw(BRACKETS)
    filled = [
        replace(draw(CHANGES), beats=beats, turnaround=first is not None and i >= first)
        for i, beats in enumerate(lengths)
    ]
    if hold and draw(HOLDS):
        filled[0] = Hold(lengths[0])
    return tuple(filled)


# ---- Sections -------------------------------------------------------------------------------


def _bars(count, **last):
    """Bars of an outline: bar lines and nothing in them."""
    return (*[Bar(0, ())] * (count - 1), Bar(0, (), **last))


def _opened(bars, **first):
    return (replace(bars[0], **first), *bars[1:])


def _outline():
    """A stretch of bars: plain, repeated, or repeated with endings."""
    lead, kind = _PICK.randint(1, 5), _PICK.choice(("plain", "repeat", "endings"))
    if kind == "plain":
        return _bars(lead, right=_PICK.choice(("|", "||", "|]")))
    left = _PICK.choice(("|", "|:", "|:"))
    if kind == "repeat":
        return _opened(_bars(lead, right=":|", times=_PICK.choice((None, 2, 3, 12))), left=left)
    return (*_opened(_bars(lead), left=left), *_endings())


def _endings():
    """A lone first ending, or several of which all but the last go back."""
    groups = _PICK.choice((((1,),), ((1,), (2,)), ((1, 2), (3,)), ((1,), (2,), (3, 4))))
    highest = groups[-1][-1]
    for numbers in groups:
        back = numbers is not groups[-1] or len(groups) == 1
        times = _PICK.choice((None, highest)) if back and highest > 1 else None
        right = ":|" if back else _PICK.choice(("||", "|]"))
        bars = _bars(_PICK.randint(1, 3), right=right, times=times)
        yield from _opened(bars, ending=numbers)


OUTLINES = st.lists(st.sampled_from([_outline() for _ in range(200)]), min_size=1, max_size=3)
METER_CHANGES = st.sampled_from((*[None] * 24, *METERS))
SIMILES = (st.just(0), st.sampled_from((0, 0, 0, 1)), st.sampled_from((0, 0, 0, 1, 2)))
ROW_LENGTHS = st.lists(st.integers(1, 6), min_size=1, max_size=4)


@st.composite
def filled(draw, outline, meter, first_number):
    """Fill an outline, from left to right, with what may stand at each place."""
    bars = []
    before = []  # for each bar so far: its meter, and whether a stretch starts there
    number = first_number
    after_repeat = False
    for empty in outline:
        change = draw(METER_CHANGES)
        meter = change or meter
        starts = after_repeat or empty.left == "|:" or bool(empty.ending)
        goes_on = bool(before) and not starts
        one = goes_on and before[-1][0] == meter
        two = one and len(before) > 1 and before[-2][0] == meter and not before[-1][1]
        simile = draw(SIMILES[one + two])
        content = (Simile(simile),) if simile else draw(slots(meter.beats, hold=goes_on))
        bars.append(replace(empty, number=number, slots=content, meter=change))
        cells = max(simile, 1)
        before += [(meter, starts), (meter, False)][:cells]
        number += cells
        after_repeat = empty.right == ":|"
    ends = set(accumulate(draw(ROW_LENGTHS))) | {len(bars)}
    return tuple(replace(bar, ends_system=i in ends) for i, bar in enumerate(bars, 1))


LABELS = st.lists(
    st.sampled_from(("A", "A2", "B", "C", "Intro", "tag", "Outro", "Verse", "Solo12", "Übergang")),
    min_size=1,
    max_size=4,
    unique=True,
)


@st.composite
def sections(draw, meter, pickup):
    found = []
    number = 1
    for i, label in enumerate(draw(LABELS)):
        own = draw(st.one_of(st.none(), st.none(), st.sampled_from(METERS)))
        if i == 0 and pickup:
            own = None
        bars = draw(filled(sum(draw(OUTLINES), ()), own or meter, number))
        number = bars[-1].number + (2 if bars[-1].slots == (Simile(2),) else 1)
        if i == 0 and pickup:
            short = Bar(0, draw(slots(pickup, hold=False)), ends_system=draw(st.booleans()))
            bars = (short, *bars)
        found.append(
            Section(
                label,
                bars,
                draw(st.one_of(st.none(), keys())),
                own,
                draw(st.one_of(st.none(), st.sampled_from(sorted(FEELS)))),
            )
        )
    return tuple(found)


# ---- Words of navigation --------------------------------------------------------------------

ROUTES = (
    *[()] * 6,
    (Sign.DA_CAPO,),
    (Sign.FINE, Sign.DA_CAPO_AL_FINE),
    (Sign.SEGNO, Sign.DAL_SEGNO),
    (Sign.SEGNO, Sign.FINE, Sign.DAL_SEGNO_AL_FINE),
    (Sign.TO_CODA, Sign.DA_CAPO_AL_CODA, Sign.CODA),
    (Sign.SEGNO, Sign.TO_CODA, Sign.DAL_SEGNO_AL_CODA, Sign.CODA),
)


@st.composite
def navigated(draw, written):
    """Put the signs of a route, in its order, on bars of the sections."""
    spots = [(s, b) for s, section in enumerate(written) for b in range(len(section.bars))]
    route = draw(st.sampled_from(ROUTES))
    some = st.lists(st.sampled_from(spots), min_size=len(route), max_size=len(route))
    marks = {}
    for spot, sign in zip(sorted(draw(some)), route, strict=True):
        mark = Mark(sign, last_time=not sign.at_start and draw(st.booleans()))
        there = (*marks.get(spot, ()), mark)
        marks[spot] = tuple(sorted(there, key=lambda one: not one.sign.at_start))
    return tuple(
        replace(
            section,
            bars=tuple(
                replace(bar, marks=marks.get((s, b), ())) for b, bar in enumerate(section.bars)
            ),
        )
        for s, section in enumerate(written)
    )


# ---- Whole charts ---------------------------------------------------------------------------


@st.composite
def charts(draw):
    meter = draw(st.sampled_from(METERS))
    pickup = draw(st.one_of(st.just(0), st.integers(1, meter.beats - 1)))
    written = draw(navigated(draw(sections(meter, pickup))))
    jumps = any(mark.sign.jumps for s in written for bar in s.bars for mark in bar.marks)
    orders = st.one_of(
        st.none(),
        st.lists(st.sampled_from([s.label for s in written]), min_size=1, max_size=6).map(tuple),
    )
    chart = Chart(
        written,
        draw(st.one_of(st.just(""), TEXT)),
        draw(st.one_of(st.just(""), TEXT)),
        draw(st.one_of(st.none(), keys())),
        meter,
        draw(st.sampled_from(sorted(FEELS))),
        draw(st.one_of(st.none(), tempos())),
        None if jumps else draw(orders),
        draw(orders),
        pickup,
        tuple(filter(None, draw(st.lists(TEXT, max_size=2)))),
    )
    return draw(commented(chart))


@st.composite
def commented(draw, chart):
    """Put comments before and beside lines of the tidy file."""
    found = []
    for anchor in draw(st.lists(st.sampled_from(anchors(chart)), max_size=4, unique=True)):
        above = draw(st.lists(st.one_of(st.just(""), TEXT), max_size=2))
        found += [Comment(text, anchor, own_line=True) for text in above]
        if anchor != ("end",) and draw(st.booleans()):
            found.append(Comment(draw(TEXT), anchor, own_line=False))
    labels = [section.label for section in chart.sections]
    return replace(chart, comments=in_tidy_order(found, labels))


def anchors(chart):
    """Every anchor a comment of the chart may have."""
    found = [("header", "Meter"), ("header", "Feel"), ("end",)]
    given = {"Title": chart.title, "Key": chart.key, "Tempo": chart.tempo, "Form": chart.order}
    found += [("header", word) for word, value in given.items() if value]
    found += [("header", "Note"), *(("header", "Note", i) for i in range(1, 9))][: len(chart.notes)]
    for section in chart.sections:
        found.append(("section", section.label))
        own = {"Key": section.key, "Meter": section.meter, "Feel": section.feel}
        found += [("section", section.label, word) for word, value in own.items() if value]
        rows = sum(bar.ends_system for bar in section.bars)
        found += [("row", section.label, i) for i in range(rows)]
    return found


NASTY = (
    *("|", "| ", ":|", ":|: ", "|1. F7 ", "|1,", "1 , ", "| C ", "C ", "| Cx ", "| % ", "/", "/ "),
    *("(", "( ", "C(", "C( ", "(9 ", "{ ", "{3/4} ", '"', '" ', ";", " ;", "!", ">", "[", "[A]\n"),
    *("x\n", "a: b\n", "Title: x\n", "\n", "\r", "a ", "last ", "D.C. ", "Segno C | ", "\0", "é"),
    *("Fine\n", "|1. F7 :|2. C || ", "| {3/4} C ", "| (C) ", "| C | D | %% "),
)
"""Pieces that, over and over, make texts that are hard to read."""
