"""Printed pages, measured from the PDF: what stands where, in which fonts, on which paper.

Geometry is read back with pdfplumber (lines, characters) and pypdfium2 (tight boxes of characters).
The engraver draws each bar's staff lines apart, so that a bar's place can be read off the page.
"""

import os
import pickle
import subprocess
import sys
from dataclasses import dataclass
from fractions import Fraction
from importlib.resources import files
from io import BytesIO
from itertools import combinations, groupby, pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pdfplumber
import pypdfium2
import pytest
from pdfminer.pdftypes import resolve1
from PIL import Image

from chartkit.chart import Tempo
from chartkit.exercise.connected import connected
from chartkit.form import chorus
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import spans
from chartkit.instrument import GUITAR
from chartkit.make_routine import routine_sheet
from chartkit.notate import notate_chart, notate_line
from chartkit.notate.symbols import symbol_text
from chartkit.output import engrave
from chartkit.output.blocks import heading
from chartkit.output.engrave import A4, LARGE, LETTER, ORDINARY
from chartkit.output.markup import SVG, XLINK
from chartkit.reader import parse
from chartkit.technique.chords import KINDS, chords
from chartkit.technique.diatonic import FAMILIES
from chartkit.technique.figures import FIGURES
from chartkit.technique.scales import Where, scales
from chartkit.technique.warmup import warm_up
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.transpose import transpose

TESTS = Path(__file__).parent.parent
EVERYTHING = (TESTS / "golden" / "notate" / "everything.chart").read_text(encoding="utf-8")
DEMOS = {
    path.name: path.read_text(encoding="utf-8")
    for path in files("chartkit.charts").iterdir()
    if path.name.endswith(".chart")
}

SIGNS = {"\uea64": "♭", "\uea66": "♯"}
"""Code points of the music font's flat and sharp for chord symbols."""

SYMBOL_SIZE = 0.5625
TAB_SIZE = 0.45
FINGER_SIZE = 0.421
"""Sizes of a chord symbol, a fret number and a finger, in heights of the staff."""


def chart(text):
    reading = parse(text, "test.chart")
    assert reading.chart, reading.faults
    return reading.chart


def exercise(text, *, value="1/2", position=None, low=None, high=None, up=0, staves="both"):
    source = transpose(chart(text), up)
    if position:
        low, high = compass(STANDARD, position)
    line = connected(spans(chorus(source), loop=True), low, high, value=Fraction(value))
    fingering = finger(line, position=position)
    tempo = Tempo(Fraction(132))
    return notate_line(line, fingering, title=source.title, tempo=tempo, staves=staves)


DENSE = """\
Title: Dense
Key: Gb major
[A]
| Gb7(b9,#11) Cbmaj7#11 Abm7b5 Db7(b9,b13) | Gbmaj7 | Ebm(maj7) Ab7alt | Db13sus |
| Bbm7b5 Eb7(b9,b13) Abm9(11) Db7(#9,b13) | Gb6/9 | Cb7#11 | Bb7(b9,#11) Eb7(#9,#11) |
"""

LONG = "Title: Sixty-Four\nKey: Eb\n" + "".join(
    f"[{label}]\n" + "| Ebmaj7 | Cm7 | Fm7 | Bb7 |\n" * 4 for label in "ABCD"
)

LEDGERS = "Title: High\nKey: C\n[A]\n| Cm6 | Dm7b5 G7b9 | Cm6 | Gm7b5 C7b9 |\n"

PLACE = Where(5, GUITAR.low, GUITAR.high)
PACE = Fraction(60)

SHEETS = {
    "everything": lambda: notate_chart(chart(EVERYTHING)),
    "dense": lambda: notate_chart(chart(DENSE)),
    "long": lambda: notate_chart(chart(LONG)),
    "long exercise": lambda: exercise(LONG, position=7),
    "eighths": lambda: exercise(DEMOS["twelve-doors.chart"], position=5),
    "triplets": lambda: exercise(DEMOS["twelve-spoons.chart"], value="1/3", position=5),
    "sixteenths": lambda: exercise(DEMOS["twelve-spoons.chart"], value="1/4", position=5),
    "five flats": lambda: exercise(DEMOS["tram-change.chart"], position=5, up=3),
    "ledger lines": lambda: exercise(LEDGERS, low=64, high=86),
    "staff alone": lambda: exercise(DEMOS["twelve-doors.chart"], position=5, staves="staff"),
    "halves": lambda: exercise(DEMOS["twelve-doors.chart"], value="2", position=5),
    "quarters": lambda: exercise(DEMOS["tram-change.chart"], value="1", position=5, up=3),
    "waltz": lambda: exercise(DEMOS["half-past-three-ferry.chart"], position=7),
    "slow twelve": lambda: exercise(DEMOS["slow-oven.chart"], position=5),
    "warm-up": lambda: routine_sheet(warm_up([(1, 2, 3, 4), (4, 3, 2, 1)], GUITAR, 5), PACE),
    "scales": lambda: routine_sheet(
        scales([Key(NoteName("B"))], FAMILIES["major"], FIGURES["triads"], GUITAR, PLACE), PACE
    ),
    "drop 2": lambda: routine_sheet(
        chords([Key(NoteName("A"), "minor")], FAMILIES["harmonic minor"], KINDS["drop-2"], GUITAR),
        PACE,
    ),
    **{name: lambda text=text: notate_chart(chart(text)) for name, text in DEMOS.items()},
}


@dataclass(frozen=True)
class Bar:
    """A bar of a staff on a page, in points from the upper left corner."""

    page: int
    left: float
    right: float
    top: float
    bottom: float

    @property
    def staff(self):
        return self.bottom - self.top


@dataclass(frozen=True)
class Text:
    """Letters that stand together: edges and foot, in points."""

    text: str
    left: float
    right: float
    foot: float


@dataclass(frozen=True)
class Printed:
    """What can be measured of a PDF, page by page."""

    sheet: object
    data: bytes
    bars: tuple  # of all pages, in reading order
    chars: tuple
    lines: tuple


CACHE = {}


def printed_sheet(name):
    if name not in CACHE:
        made = SHEETS[name]()
        data = engrave.pdf(made, A4)
        with pdfplumber.open(BytesIO(data)) as pdf:
            pages = [(page.objects.get("line", []), page.chars) for page in pdf.pages]
        bars = tuple(bar for n, (lines, _) in enumerate(pages) for bar in bars_of(n, lines))
        CACHE[name] = Printed(
            made, data, bars, tuple(c for _, c in pages), tuple(ls for ls, _ in pages)
        )
    return CACHE[name]


@pytest.fixture(params=SHEETS)
def printed(request):
    return printed_sheet(request.param)


TABBED = [
    "eighths",
    "triplets",
    "sixteenths",
    "five flats",
    "ledger lines",
    "long exercise",
    "warm-up",
    "scales",
    "drop 2",
]


@pytest.fixture(params=TABBED)
def tabbed(request):
    return printed_sheet(request.param)


def bars_of(page, lines):
    """Find the groups of five lines of one length, in reading order."""
    level = sorted(
        (round(o["x0"], 1), round(o["x1"], 1), o["top"])
        for o in lines
        if abs(o["top"] - o["bottom"]) < 0.01 and o["x1"] - o["x0"] > 15
    )
    found = []
    for (left, right), same in groupby(level, key=lambda o: o[:2]):
        tops = staves([top for *_, top in same])
        found += [Bar(page, left, right, five[0], five[4]) for five in tops]
    closest = min(bar.staff for bar in found)  # a tablature's lines are further apart
    found = [bar for bar in found if bar.staff < closest * 1.1]
    return sorted(found, key=lambda bar: (round(bar.top), bar.left))


def staves(tops):
    """Cut heights of lines into runs at one distance; return those of five lines."""
    runs = []
    for top in tops:
        if (
            runs
            and top - runs[-1][-1] < 8
            and (len(runs[-1]) == 1 or abs(top - 2 * runs[-1][-1] + runs[-1][-2]) < 0.05)
        ):
            runs[-1].append(top)
        else:
            runs.append([top])
    return [run for run in runs if len(run) == 5]


def systems(bars):
    """Group bars into systems."""
    return [list(row) for _, row in groupby(bars, key=lambda bar: (bar.page, round(bar.top)))]


def texts(chars, gap):
    """Put letters together that stand on one foot, no more than `gap` apart."""
    found = []
    order = sorted(chars, key=lambda c: (round(A4.height - c["matrix"][5], 1), c["x0"]))
    for char in order:
        foot = A4.height - char["matrix"][5]
        letter = Text(SIGNS.get(char["text"], char["text"]), char["x0"], char["x1"], foot)
        before = found[-1] if found else None
        if before and abs(before.foot - foot) < 0.2 and -1 < letter.left - before.right < gap:
            found[-1] = Text(before.text + letter.text, before.left, letter.right, foot)
        else:
            found.append(letter)
    return found


def symbols_on(printed, page):
    """Find the chord symbols of a page, by their size and face."""
    first = next(bar for bar in printed.bars if bar.page == page)
    size = SYMBOL_SIZE * first.staff
    below = A4.top + (heading(printed.sheet, A4.inner_width).height if page == 0 else 0) - 5
    letters = [
        c
        for c in printed.chars[page]
        if ((sized(c, size) and "Serif-Regular" in c["fontname"]) or c["text"] in SIGNS)
        and A4.height - c["matrix"][5] > below
    ]
    return texts(letters, size * 0.2)


def sized(char, size):
    return abs(char["size"] / size - 1) < 0.03


def symbols_by_system(printed):
    """Pair each system's bars with the chord symbols above it."""
    for page in range(len(printed.chars)):
        symbols, above = symbols_on(printed, page), 0
        for row in systems([bar for bar in printed.bars if bar.page == page]):
            yield row, [s for s in symbols if above < s.foot < row[0].top]
            above = row[0].bottom


def test_symbols_stand_over_their_bars_on_one_line(printed):
    measures = iter(printed.sheet.measures)
    for row, symbols in symbols_by_system(printed):
        assert len({round(s.foot, 1) for s in symbols}) <= 1
        for bar in row:
            over = [s for s in symbols if bar.left - 1 <= s.left < bar.right - 1]
            chords = next(measures).chords
            assert [s.text for s in over] == [symbol_text(chord) for chord in chords]
            assert all(s.right < bar.right for s in over)
    assert next(measures, None) is None


def test_systems_are_those_of_the_sheet(printed):
    wanted = []
    crowded = {19} if printed.sheet.title == "One of Everything" else set()
    for measure in printed.sheet.measures:
        if measure.new_system or measure.id.number in crowded:
            wanted.append(0)
        wanted[-1] += 1
    assert [len(row) for row in systems(printed.bars)] == wanted


def test_sections_start_systems_and_no_bar_stands_alone(printed):
    measures = list(printed.sheet.measures)
    starts = [n for n, measure in enumerate(measures) if measure.rehearsal]
    alone = {a for a, b in pairwise([*starts, len(measures)]) if b - a == 1}
    first = 0
    for row in systems(printed.bars):
        assert not any(measure.rehearsal for measure in measures[first + 1 : first + len(row)])
        assert len(row) > 1 or first in alone
        first += len(row)
    assert first == len(measures)


@pytest.mark.parametrize("name", ["eighths", "five flats", "staff alone", "long exercise"])
def test_four_bars_of_eighths_a_system(name):
    printed = printed_sheet(name)
    counts = [len(row) for row in systems(printed.bars)]
    assert set(counts) == {4}


def test_systems_are_apart_and_on_the_paper(printed):
    for page in range(len(printed.chars)):
        rows = systems([bar for bar in printed.bars if bar.page == page])
        for (upper, *_), (lower, *_) in pairwise(rows):
            assert lower.top - upper.bottom > upper.staff
        for row in rows:
            assert row[0].left == pytest.approx(A4.side, abs=1)
            assert row[-1].right < A4.width - A4.side + 1
            assert ORDINARY.smallest - 0.1 < row[0].staff < ORDINARY.largest + 0.1
        heights = [row[0].staff for row in rows]
        assert max(heights) - min(heights) < 0.05


def letter_boxes(data):
    """Yield each page's letters in reading order: place in it, letter, box of its ink."""
    for page in pypdfium2.PdfDocument(data):
        text = page.get_textpage()
        letters = [
            (n, text.get_text_range(n, 1), text.get_charbox(n)) for n in range(text.count_chars())
        ]
        yield [found for found in letters if found[1].strip()]


def clashes(letters):
    """Find letters on one another; neighbours in a word may reach under each other (``To``)."""
    return [
        (a, b)
        for (m, a, p), (n, b, q) in combinations(letters, 2)
        if n - m > 1
        and min(p[2], q[2]) - max(p[0], q[0]) > 0.3
        and min(p[3], q[3]) - max(p[1], q[1]) > 0.3
    ]


def test_no_letters_overlap(printed):
    for letters in letter_boxes(printed.data):
        assert clashes(letters) == []


def test_letters_that_overlap_are_found():
    (letters,) = letter_boxes(printed_sheet("everything").data)
    moved = [(n + 1000, letter, tuple(e + 1 for e in box)) for n, letter, box in letters]
    assert clashes(letters[:20] + moved[:20])


def test_text_stays_on_the_paper(printed):
    for letters in letter_boxes(printed.data):
        for *_, (left, bottom, right, top) in letters:
            assert A4.side / 2 < left < right < A4.width - A4.side / 2
            assert A4.bottom / 2 < bottom < top < A4.height - A4.top / 2


def test_the_tablature_has_the_frets_of_the_fingering(tabbed):
    measures = iter(tabbed.sheet.measures)
    for page, chars in enumerate(tabbed.chars):
        for row in systems([bar for bar in tabbed.bars if bar.page == page]):
            heights = strings_below(tabbed.lines[page], row[0])
            size = TAB_SIZE * row[0].staff
            numbers = texts([c for c in chars if c["text"].isdigit() and sized(c, size)], 0.5)
            for bar in row:
                inside = sorted(
                    (n.left, string_of(n, heights, size), int(n.text))
                    for n in numbers
                    if bar.left < n.left < bar.right and bar.bottom < n.foot < heights[-1] + size
                )
                stops = [e.stop for e in next(measures).events if e.stop]
                assert [found[1:] for found in inside] == [(s.string, s.fret) for s in stops]


def strings_below(lines, bar):
    """Find the heights of the six lines under a staff, from the highest string down."""
    level = sorted(
        {
            round(o["top"], 1)
            for o in lines
            if abs(o["top"] - o["bottom"]) < 0.01 and bar.bottom + 5 < o["top"]
        }
    )
    return next(
        level[n : n + 6]
        for n in range(len(level))
        if max(b - a for a, b in pairwise(level[n : n + 6])) < 0.6 * bar.staff
    )


def string_of(number, heights, size):
    middle = number.foot - size / 3
    return min(range(6), key=lambda n: abs(heights[n] - middle)) + 1


def test_fingers_stand_under_the_tablature_on_one_line(tabbed):
    """Each in the middle under its fret number, in the order of the notes."""
    found, size = [], FINGER_SIZE * tabbed.bars[0].staff
    for page, chars in enumerate(tabbed.chars):
        for row in systems([bar for bar in tabbed.bars if bar.page == page]):
            heights = strings_below(tabbed.lines[page], row[0])
            space = heights[1] - heights[0]
            digits = sorted(
                (c["x0"] + c["x1"], foot_of(c), int(c["text"]))
                for c in chars
                if c["text"] in "1234"
                and sized(c, size)
                and space < foot_of(c) - heights[-1] < 3 * space
            )
            assert len({round(foot, 1) for _, foot, _ in digits}) == 1
            frets = texts([c for c in chars if sized(c, TAB_SIZE * row[0].staff)], 0.5)
            middles = [
                f.left + f.right for f in frets if row[0].bottom < f.foot < heights[-1] + space / 2
            ]
            assert all(min(abs(x - middle) for middle in middles) < 2 for x, *_ in digits)
            found += [finger for *_, finger in digits]
    events = [e for m in tabbed.sheet.measures for e in m.events if e.stop and not e.tied_back]
    assert found == [e.stop.finger for e in events if e.stop.finger]


ALONE = {
    "eighths": lambda: exercise(DEMOS["twelve-doors.chart"], position=5, staves="tab"),
    "triplets": lambda: exercise(
        DEMOS["twelve-spoons.chart"], value="1/3", position=5, staves="tab"
    ),
    "sixteenths": lambda: exercise(
        DEMOS["twelve-spoons.chart"], value="1/4", position=5, staves="tab"
    ),
    "waltz": lambda: exercise(DEMOS["half-past-three-ferry.chart"], position=7, staves="tab"),
    "halves": lambda: exercise(DEMOS["twelve-doors.chart"], value="2", position=5, staves="tab"),
    "pushes": lambda: exercise(DEMOS["lamp-in-the-hallway.chart"], position=5, staves="tab"),
}


@pytest.fixture(params=ALONE)
def alone(request):
    """A page of tablature alone: its sheet, and its page as pdfplumber reads it."""
    made = ALONE[request.param]()
    data = engrave.pdf(made, A4)
    with pdfplumber.open(BytesIO(data)) as pdf:
        yield made, data, pdf.pages


def tablatures(page):
    """Find the heights of each system's six lines, which are cut at their numbers."""
    level = sorted({round(o["top"], 1) for o in page.objects["line"] if is_level(o)})
    return [level[n : n + 6] for n in range(0, len(level), 6)]


def is_level(line):
    return abs(line["top"] - line["bottom"]) < 0.01 and line["x0"] == pytest.approx(A4.side, abs=1)


def test_tablature_alone_has_frets_and_fingers_in_two_rows_one_over_the_other(alone):
    made, _, pages = alone
    found = []
    for page in pages:
        for heights in tablatures(page):
            space = heights[1] - heights[0]
            assert max(b - a for a, b in pairwise(heights)) == pytest.approx(space, abs=0.15)
            near = [
                c for c in page.chars if heights[0] - space < foot_of(c) < heights[5] + 3 * space
            ]
            frets = texts([c for c in near if sized(c, 1.03 * space)], 0.5)
            fingers = [c for c in near if sized(c, 0.965 * space) and c["text"] in "01234"]
            assert len({round(foot_of(c), 1) for c in fingers}) == 1
            middles = [(c["x0"] + c["x1"]) / 2 for c in fingers]
            for fret in sorted(frets, key=lambda t: t.left):
                middle = (fret.left + fret.right) / 2
                over = min(range(len(fingers)), key=lambda n: abs(middles[n] - middle))
                assert abs(middles[over] - middle) < 1
                string = string_of(fret, heights, 1.03 * space)
                found.append((string, int(fret.text), int(fingers[over]["text"])))
    stops = [e.stop for m in made.measures for e in m.events if e.stop]
    assert found == [(s.string, s.fret, s.finger) for s in stops]


def foot_of(char):
    return A4.height - char["matrix"][5]


def test_no_letters_overlap_on_tablature_alone(alone):
    for letters in letter_boxes(alone[1]):
        assert clashes(letters) == []


@pytest.mark.parametrize("name", [*TABBED, "halves", "quarters", "staff alone"])
def test_fingers_are_clear_of_stems(name):
    printed = printed_sheet(name)
    size = 0.65 * SYMBOL_SIZE * printed.bars[0].staff
    for lines, chars in zip(printed.lines, printed.chars, strict=True):
        upright = [o for o in lines if abs(o["x0"] - o["x1"]) < 0.01]
        for digit in (c for c in chars if c["text"] in "1234" and sized(c, size)):
            foot = A4.height - digit["matrix"][5]
            touched = [
                o
                for o in upright
                if digit["x0"] - size / 5 < o["x0"] < digit["x1"] + size / 5
                and o["top"] < foot
                and foot - 0.66 * size < o["bottom"]  # the height of a figure
            ]
            assert not touched


def fonts_of(data):
    with pdfplumber.open(BytesIO(data)) as pdf:
        for page in pdf.pages:
            fonts = page.page_obj.resources["Font"]
            for font in resolve1(fonts).values():
                (inner,) = resolve1(resolve1(font)["DescendantFonts"])
                yield resolve1(resolve1(inner)["FontDescriptor"])


def test_fonts_are_embedded_and_the_engravers_own(printed):
    found = list(fonts_of(printed.data))
    assert found
    for descriptor in found:
        assert {"FontFile2", "FontFile3"} & set(descriptor)
        name = str(descriptor["FontName"])
        assert "LiberationSerif" in name or "Bravura" in name


@pytest.mark.parametrize(
    ("paper", "width", "height"),
    # ISO 216: 210 x 297 mm; US Letter: 8.5 x 11 inches; a point is 1/72 inch.
    [(A4, 210 / 25.4 * 72, 297 / 25.4 * 72), (LETTER, 8.5 * 72, 11 * 72)],
    ids=["a4", "letter"],
)
def test_the_page_has_the_size_of_its_paper(paper, width, height):
    with pdfplumber.open(BytesIO(engrave.pdf(SHEETS["everything"](), paper))) as pdf:
        (page,) = pdf.pages
        assert float(page.width) == pytest.approx(width, abs=0.01)
        assert float(page.height) == pytest.approx(height, abs=0.01)


def test_a_long_piece_turns_at_double_bars():
    printed = printed_sheet("long exercise")
    assert len(printed.chars) > 1
    ends = [
        printed.sheet.measures[n].right
        for n, (bar, after) in enumerate(pairwise(printed.bars))
        if bar.page != after.page
    ]
    assert ends == ["||"] * (len(printed.chars) - 1)


def test_sixty_four_bars_of_a_chart_stand_on_one_page():
    assert len(printed_sheet("long").chars) == 1


@pytest.mark.parametrize(
    ("bars", "expected"), [(3, [3]), (4, [4]), (5, [2, 3]), (6, [3, 3]), (8, [4, 4])]
)
def test_a_crowded_line_is_cut_and_shrinks_no_other(bars, expected):
    row = "| Gb7(b9,#11) Cbmaj7#11 " * bars
    data = engrave.pdf(notate_chart(chart(f"[A]\n{row}|\n[B]\n| F7 | Bb7 |\n")))
    with pdfplumber.open(BytesIO(data)) as pdf:
        rows = systems(bars_of(0, pdf.pages[0].objects["line"]))
    assert [len(r) for r in rows] == [*expected, 2]
    assert rows[-1][0].staff > ORDINARY.crowded


@pytest.mark.parametrize("name", ["eighths", "everything", "sixteenths"])
def test_large_print_has_two_bars_a_system_and_no_small_staff(name):
    made = SHEETS[name]()
    data = engrave.pdf(made, A4, LARGE)
    with pdfplumber.open(BytesIO(data)) as pdf:
        found = [
            bar for n, page in enumerate(pdf.pages) for bar in bars_of(n, page.objects["line"])
        ]
        pages = len(pdf.pages)
    assert pages > 1
    assert min(bar.staff for bar in found) > LARGE.smallest - 0.1
    assert len(found) == len(made.measures)
    bars = iter([m.id.number > 0 for m in made.measures])
    assert all(sum(next(bars) for _ in row) >= 2 for row in systems(found))
    for letters in letter_boxes(data):
        assert clashes(letters) == []


def test_a_line_of_the_file_too_wide_for_the_paper_is_cut_in_two():
    row = "| Gb7(b9,#11) Cbmaj7#11 Abm7b5 Db7(b9,b13) " * 6
    made = notate_chart(chart(f"[A]\n{row}|\n"))
    with pdfplumber.open(BytesIO(engrave.pdf(made))) as pdf:
        rows = systems(bars_of(0, pdf.pages[0].objects["line"]))
    assert [len(r) for r in rows] == [2, 2, 2]


def words_of(data):
    with pdfplumber.open(BytesIO(data)) as pdf:
        return [page.extract_text() for page in pdf.pages]


def test_heading_and_foot_are_text():
    first, *others = words_of(printed_sheet("long exercise").data)
    assert "Sixty-Four" in first
    assert "= 132" in first
    for number, page in enumerate((first, *others), start=1):
        assert f"Sixty-Four \N{EN DASH} page {number} of {1 + len(others)}" in page
        assert "stop on pain" in page
    (page,) = words_of(printed_sheet("everything").data)
    assert "Rubato the first time." in page
    assert "page" not in page


def test_each_system_starts_with_its_bar_number():
    printed = printed_sheet("everything")
    first = [row[0] for row in systems(printed.bars)]
    numbers = [c for c in printed.chars[0] if "Serif-Italic" in c["fontname"] and c["x1"] < A4.side]
    found = [
        int("".join(c["text"] for c in numbers if abs(c["top"] - bar.top) < bar.staff))
        for bar in first[1:]
    ]
    starts = [m.id.number for m in printed.sheet.measures if m.new_system or m.id.number == 19]
    assert found == starts[1:]  # the first system starts with the pickup, which has no number


LABELS = """\
Title: Labels
Key: C
[Introduction]
| Cmaj7 | Am7 | Dm7 | G7 |
[Recapitulation]
| Cmaj7 | Am7 | Dm7 | G7 |
"""


@pytest.mark.parametrize("made", [exercise(LABELS, position=5), notate_chart(chart(LABELS))])
def test_a_long_label_stays_within_the_margin(made):
    data = engrave.pdf(made)
    with pdfplumber.open(BytesIO(data)) as pdf:
        (page,) = pdf.pages
        boxes = page.objects["rect"]
    assert len(boxes) == 2
    assert all(box["x0"] > A4.side - 1 for box in boxes)
    for letters in letter_boxes(data):
        assert clashes(letters) == []


def test_a_title_too_long_for_the_paper_is_printed_smaller():
    made = notate_chart(chart("Title: " + "Long Title " * 20 + "\n[A]\n| F7 |\n"))
    (letters,) = letter_boxes(engrave.pdf(made))
    title = [box for _, letter, box in letters if letter in "ongite" and box[1] > A4.height - 70]
    assert len(title) > 100
    assert min(box[0] for box in title) > A4.side
    assert max(box[2] for box in title) < A4.width - A4.side


def test_names_may_hold_any_sign():
    made = notate_chart(chart('Title: <b> & "quotes" \nComposer: A & B <c>\n[A]\n| F7 |\n'))
    (page,) = words_of(engrave.pdf(made))
    assert '<b> & "quotes"' in page
    assert "A & B <c>" in page


def test_words_in_another_script_are_printed_in_a_font_of_the_machine():
    armenian = "".join(map(chr, range(0x561, 0x567)))
    data = engrave.pdf(notate_chart(chart(f"Title: {armenian}\n[A]\n| F7 |\n")))
    names = {str(descriptor["FontName"]) for descriptor in fonts_of(data)}
    if all("Liberation" in name or "Bravura" in name for name in names):
        pytest.skip("no font of this machine has Armenian letters")
    assert armenian in words_of(data)[0]


@pytest.mark.parametrize("name", ["everything", "triplets"])
def test_the_same_sheet_gives_the_same_bytes_anywhere(name, tmp_path):
    made = SHEETS[name]()
    target = tmp_path / "sheet.pickle"
    target.write_bytes(pickle.dumps(made))
    code = (
        "import pickle, sys; from chartkit.output.engrave import pdf;"
        "sys.stdout.buffer.write(pdf(pickle.load(open(sys.argv[1], 'rb'))))"
    )
    there = {"PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo", "LC_ALL": "C"}
    run = subprocess.run(
        [sys.executable, "-c", code, str(target)],
        check=True,
        capture_output=True,
        env=os.environ | there,
    )
    assert run.stdout == engrave.pdf(made)


def test_a_picture_is_the_page_at_its_resolution():
    pictures = engrave.png(SHEETS["long exercise"](), LETTER)
    assert len(pictures) > 1
    for picture in pictures:
        image = Image.open(BytesIO(picture)).convert("L")
        assert image.size == (1275, 1650)  # 8.5 x 11 inches of 150 dots
        dark, light = image.getextrema()
        assert (dark, light) == (0, 255)
        assert image.getpixel((3, 3)) == 255  # white paper


def test_a_drawing_stands_alone():
    (page,) = engrave.svg(SHEETS["everything"]())
    root = ET.fromstring(page)  # noqa: S314 (our own drawing)
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert {f"bar-{n}" for n in range(28)} <= set(ids)
    assert "@font-face" in page
    assert "url(http" not in page
    used = {e.get(f"{{{XLINK}}}href") for e in root.iter(f"{{{SVG}}}use")}
    assert used <= {f"#{name}" for name in ids}
