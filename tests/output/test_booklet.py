"""Booklets, measured from their PDF: what stands on which page, and whether the list says so."""

import re
from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from xml.etree import ElementTree as ET

import pdfplumber
import pytest

from chartkit.chart import Meter
from chartkit.form import BarId
from chartkit.guitar.fretboard import STANDARD, Stop
from chartkit.notate import Event, Measure, NoteValue, Sheet
from chartkit.output import engrave
from chartkit.output.engrave import A4, LARGE, LETTER, Booklet
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName, Pitch

QUARTER = NoteValue(Fraction(1))


def measure(number, systems):
    events = tuple(
        Event(Fraction(n), QUARTER, "note", Pitch.parse(name), stop=Stop(5, fret, fret - 1))
        for n, (name, fret) in enumerate((("C3", 3), ("D3", 5), ("C3", 3), ("D3", 5)))
    )
    first = number == 1
    return Measure(
        BarId("A", number - 1, number),
        Fraction(4),
        events,
        meter=Meter(4) if first else None,
        key=Key(NoteName("C")) if first else None,
        new_system=number % 4 == 1,
        right="|]" if number == 4 * systems else "|",
    )


def sheet(name, systems):
    """Make an exercise of so many systems."""
    measures = tuple(measure(n + 1, systems) for n in range(4 * systems))
    return Sheet("A Tune", measures, subtitle=name, clef="treble 8", tuning=STANDARD)


def booklet(*systems):
    return Booklet("A Tune", tuple(sheet(f"Study {n}", s) for n, s in enumerate(systems, 1)))


def pages(made, paper=A4, sizes=engrave.ORDINARY):
    with pdfplumber.open(BytesIO(engrave.pdf(made, paper, sizes))) as pdf:
        return [page.extract_text() for page in pdf.pages]


def listed(first):
    """Read the list of contents: page by entry."""
    found = re.findall(r"(Study (\d+)) page (\d+)", first)
    return {name: int(page) for name, n, page in sorted(found, key=lambda entry: int(entry[1]))}


def headed(found):
    """Find the page that each study stands on; the first page names all of them once more."""
    at = {}
    for number, page in enumerate(found, 1):
        for name in re.findall(r"\b(Study \d+)\b(?! page)", page):
            at.setdefault(name, number)
    return at


@pytest.mark.parametrize(
    ("systems", "expected"),
    [
        ((2, 2, 2), [1, 2, 2]),
        ((5, 5, 5), [1, 2, 3]),
        ((2, 6, 2, 2, 3, 6), [1, 2, 3, 3, 4, 5]),
        ((1,) * 12, [1] * 4 + [2] * 4 + [3] * 4),
        ((7, 1), [1, 2]),
    ],
)
def test_the_list_tells_where_each_sheet_stands(systems, expected):
    found = pages(booklet(*systems))
    assert listed(found[0]) == headed(found)
    assert list(listed(found[0]).values()) == expected


def test_twenty_sheets_have_their_pages_in_the_list():
    found = pages(booklet(*[5] * 20))
    assert len(found) == 20
    assert list(listed(found[0]).values()) == list(range(1, 21))
    for number, page in enumerate(found, start=1):
        assert f"A Tune \N{EN DASH} page {number} of 20" in page


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["a4", "letter"])
def test_a_sheet_that_fits_on_a_page_is_not_parted(paper):
    systems = (3, 4, 5, 2, 6, 1)
    drawings = engrave.svg(booklet(*systems), paper)
    for n, count in enumerate(systems, start=1):
        held = [len(re.findall(f'id="sheet-{n}-bar-', drawing)) for drawing in drawings]
        assert sorted(held)[-2:] == [0, 4 * count]


def test_a_sheet_longer_than_a_page_goes_on():
    found = pages(booklet(1, 14, 1))
    assert listed(found[0])["Study 3"] == len(found)
    assert len(found) > 2


def test_an_entry_comes_before_its_page_and_nothing_before_the_entry():
    first = pages(booklet(2, 2, 2))[0].splitlines()
    assert first[:4] == ["A Tune", "Study 1 page 1", "Study 2 page 2", "Study 3 page 2"]


def test_large_print_is_listed_as_it_falls():
    found = pages(booklet(2, 3, 1, 2), sizes=LARGE)
    assert listed(found[0]) == headed(found)


def test_titles_that_differ_are_in_the_list():
    one, other = sheet("Study 1", 1), replace(sheet("Study 2", 1), title="Another")
    (page,) = pages(Booklet("A Tune", (one, other)))
    assert page.count("Another: Study 2") == 2
    assert page.count("A Tune") == 1


def test_ids_in_a_drawing_are_unique():
    (page,) = engrave.svg(booklet(1, 1, 1))
    ids = [e.get("id") for e in ET.fromstring(page).iter() if e.get("id")]  # noqa: S314
    assert len(ids) == len(set(ids))
    assert {"sheet-1-bar-1", "sheet-3-bar-4"} <= set(ids)


def test_the_same_booklet_gives_the_same_bytes():
    assert engrave.pdf(booklet(1, 2)) == engrave.pdf(booklet(1, 2))
