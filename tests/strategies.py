"""Charts drawn by chance: every feature of the language, each chart one that could be read.

Import it as ``strategies``; ``charts()`` is the whole of it, the others draw its parts. A chart is
drawn as the reader would give it: numbers run on, the last bar of a section ends a line, marks that
stand at a bar's start come first, comments are in the order of the tidy file.
"""

from dataclasses import replace
from fractions import Fraction

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


@st.composite
def shares(draw, total):
    """Whole beats that fill a bar: evenly as often as not."""
    even = [n for n in range(1, total + 1) if total % n == 0]
    if draw(st.booleans()):
        parts = draw(st.sampled_from(even))
        return [total // parts] * parts
    cuts = sorted(draw(st.sets(st.integers(1, total - 1)))) if total > 1 else []
    return [b - a for a, b in zip([0, *cuts], [*cuts, total], strict=True)]


def changes(beats, *, turnaround):
    return st.builds(
        lambda chord, pushed, stopped, text: Change(
            chord,
            beats,
            pushed=pushed and chord is not None,
            stopped=stopped and chord is not None,
            turnaround=turnaround,
            text=text or None,
        ),
        st.one_of(chords(), chords(), chords(), st.none()),
        st.booleans(),
        st.booleans(),
        st.one_of(st.none(), st.none(), TEXT),
    )


@st.composite
def slots(draw, total, *, hold):
    """Changes, perhaps after a hold, that fill so many beats."""
    lengths = draw(shares(total))
    brackets = draw(st.one_of(st.just(len(lengths)), st.integers(0, len(lengths))))
    filled = [draw(changes(beats, turnaround=i >= brackets)) for i, beats in enumerate(lengths)]
    if hold and draw(st.booleans()):
        filled[0] = Hold(lengths[0])
    return tuple(filled)


# ---- Sections -------------------------------------------------------------------------------


@st.composite
def stretches(draw):
    """Bars with their bar lines and nothing in them: plain, repeated, or with endings."""
    lead = draw(st.integers(1, 5))
    bars = [Bar(0, ()) for _ in range(lead)]
    kind = draw(st.sampled_from(("plain", "repeat", "endings")))
    if kind == "plain":
        bars[-1] = replace(bars[-1], right=draw(st.sampled_from(("|", "||", "|]"))))
        return tuple(bars)
    bars[0] = replace(bars[0], left="|:")
    if kind == "repeat":
        times = draw(st.one_of(st.none(), st.integers(2, 12)))
        bars[-1] = replace(bars[-1], right=":|", times=times)
        return tuple(bars)
    return (*bars, *draw(endings()))


@st.composite
def endings(draw):
    """A lone first ending, or several of which all but the last go back."""
    groups = draw(st.sampled_from((((1,),), ((1,), (2,)), ((1, 2), (3,)), ((1,), (2,), (3, 4)))))
    highest = groups[-1][-1]
    found = []
    for numbers in groups:
        bars = [Bar(0, ()) for _ in range(draw(st.integers(1, 3)))]
        bars[0] = replace(bars[0], ending=numbers)
        back = numbers is not groups[-1] or len(groups) == 1
        times = draw(st.sampled_from((None, highest))) if back and highest > 1 else None
        right = ":|" if back else draw(st.sampled_from(("||", "|]")))
        bars[-1] = replace(bars[-1], right=right, times=times)
        found += bars
    return tuple(found)


def outlines():
    return st.lists(stretches(), min_size=1, max_size=3).map(lambda parts: sum(parts, ()))


@st.composite
def filled(draw, outline, meter, first_number):
    """Fill an outline, from left to right, with what may stand at each place."""
    bars = []
    before = []  # for each bar so far: its meter, and whether a stretch starts there
    number = first_number
    after_repeat = False
    for empty in outline:
        change = draw(st.one_of(st.none(), st.none(), st.none(), st.sampled_from(METERS)))
        meter = change or meter
        starts = after_repeat or empty.left == "|:" or bool(empty.ending)
        goes_on = bool(before) and not starts
        copied = [0, 0, 0]  # how many bars a simile here may copy; 0 is no simile
        if goes_on and before[-1][0] == meter:
            copied.append(1)
            if len(before) > 1 and before[-2][0] == meter and not before[-1][1]:
                copied.append(2)
        simile = draw(st.sampled_from(copied))
        beats = slots(meter.beats, hold=goes_on)
        content = (Simile(simile),) if simile else draw(beats)
        bars.append(replace(empty, number=number, slots=content, meter=change))
        cells = max(simile, 1)
        before += [(meter, starts), (meter, False)][:cells]
        number += cells
        after_repeat = empty.right == ":|"
    ends = draw(st.lists(st.booleans(), min_size=len(bars), max_size=len(bars)))
    ends[-1] = True
    return tuple(replace(bar, ends_system=end) for bar, end in zip(bars, ends, strict=True))


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
        bars = draw(filled(draw(outlines()), own or meter, number))
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
    (),
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
