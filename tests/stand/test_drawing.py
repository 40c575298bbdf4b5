"""Systems and shapes as drawings that stand alone."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from chartkit.guitar.shapes import in_position
from chartkit.notate import notate_chart
from chartkit.reader import parse
from chartkit.stand.drawing import NARROW, WIDE, page_ids, rows, shape_svg, without_heading
from chartkit.theory.symbol import read_symbol

SVG = "{http://www.w3.org/2000/svg}"


def sheet(root="Gm7"):
    text = (
        f"Title: Ladle\nKey: F\nTempo: 120\n[A]\n| {root} | C7b9 | F6 | D7 |\n[B]\n| Bb6 | C7 |\n"
    )
    return notate_chart(parse(text, "ladle").chart)


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_a_system_stands_alone(screen):
    drawn = rows(sheet(), screen, "-in-F")
    ids = []
    for row in drawn:
        tree = ET.fromstring(row.svg)  # noqa: S314 (our own)
        own = [element.get("id") for element in tree.iter() if element.get("id")]
        used = {e.get("href").removeprefix("#") for e in tree.iter(f"{SVG}use")}
        assert used <= set(own)
        assert {"black", "white"}.isdisjoint(v for e in tree.iter() for v in e.attrib.values())
        ids += own
    assert len(set(ids)) == len(ids)
    assert [name for name in ids if name.startswith("bar-")] == list(page_ids(sheet(), "-in-F"))


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_a_long_name_of_a_section_is_all_there(screen):
    """Its box begins at the staff's edge, above the symbols, and the system is taller for it."""
    *before, b, last = sheet().measures
    named = replace(b, rehearsal="sevenths and ninths")
    row = rows(without_heading(replace(sheet(), measures=(*before, named, last))), screen)[-1]
    tree = ET.fromstring(row.svg)  # noqa: S314 (our own)
    inner = tree.find(f"{SVG}svg")
    left, top, width, height = map(float, inner.get("viewBox").split())
    boxes = [g.find(f"{SVG}rect") for g in tree.iter(f"{SVG}g") if g.get("class") == "reh"]
    lowest = min(
        float(text.get("y"))
        for g in tree.iter(f"{SVG}g")
        if g.get("class") == "harm"
        for text in g.iter(f"{SVG}text")
    )
    assert len(boxes) == 1
    assert top < 0
    x, y, across, down = (float(boxes[0].get(name)) for name in ("x", "y", "width", "height"))
    assert left <= x
    assert x + across <= left + width
    assert top <= y
    assert y + down < lowest
    assert row.height / row.width == pytest.approx(height / width, rel=1e-3)


def test_the_tempo_makes_no_other_drawing():
    other = parse("Title: Spoon\nTempo: 200\nKey: F\n[A]\n| F6 |\n", "x").chart
    same = parse("Title: Fork\nTempo: 90\nKey: F\n[A]\n| F6 |\n", "x").chart
    assert without_heading(notate_chart(other)) == without_heading(notate_chart(same))


def test_threads_engrave_alike():
    sheets = [sheet(root) for root in ("Gm7", "G7", "Gm6", "G6", "Gsus4", "Go7")]
    alone = [rows(one, WIDE) for one in sheets]
    rows.cache_clear()
    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(lambda one: rows(one, WIDE), sheets)) == alone


def test_a_shape_is_a_drawing_with_its_name():
    shape = in_position("Bb7 <&>", read_symbol("Bb7").chord, 5)
    tree = ET.fromstring(shape_svg(shape))  # noqa: S314 (our own)
    assert "Bb7 <&>" in "".join(tree.itertext())
    assert len(list(tree.iter(f"{SVG}circle"))) == len(shape.marks)
