"""Fretboard diagrams, measured from their PDF: dots where the shape has its marks."""

from dataclasses import replace
from io import BytesIO
from itertools import pairwise

import pdfplumber
import pytest

from chartkit.exercise.connected import connected
from chartkit.form import chorus
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, Tuning, compass, numeral
from chartkit.guitar.shapes import Mark, Shape, in_position, over_the_neck, voiced
from chartkit.harmony import spans
from chartkit.notate import notate_line
from chartkit.output import engrave
from chartkit.output.engrave import LARGE, Diagrams
from chartkit.reader import parse
from chartkit.theory.pitch import Degree, NoteName, Pitch
from chartkit.theory.scale import Scale
from chartkit.theory.symbol import read_symbol

LEFT = replace(STANDARD, left_handed=True)
FOUR = Tuning("four", (28, 33, 38, 43), 20)
MINOR = read_symbol("Cm7b5").chord
DORIAN = Scale.on(NoteName("G"), "dorian")

SHAPES = {
    "drop 2": voiced("Cm7b5", MINOR, "drop 2", (4, 3, 2, 1))[1],
    "drop 3": voiced("Cm7b5", MINOR, "drop 3", (6, 4, 3, 2))[0],
    "left-handed": voiced("Cm7b5", MINOR, "drop 3", (6, 4, 3, 2), LEFT)[0],
    "position": in_position("G dorian", DORIAN, 5),
    "position I": in_position("G dorian", DORIAN, 1),
    "left-handed position": in_position("G dorian", DORIAN, 5, LEFT),
    "neck": over_the_neck("G dorian", DORIAN),
    "left-handed neck": over_the_neck("G dorian", DORIAN, LEFT),
    "four strings": in_position("G dorian", DORIAN, 2, FOUR),
}
SIGNS = {"\uea64": "b", "\uea66": "#"}


def page_of(shape, label="fingers", sizes=engrave.ORDINARY):
    data = engrave.pdf(Diagrams("Shapes", (shape,), label), sizes=sizes)
    with pdfplumber.open(BytesIO(data)) as pdf:
        (page,) = pdf.pages
        return page.objects, page.chars


def grid(objects):
    """Return the places of the upright and of the level lines; the crosses slope."""
    lines = objects["line"]
    upright = sorted({round(o["x0"], 1) for o in lines if abs(o["x0"] - o["x1"]) < 0.05})
    level = sorted({round(o["top"], 1) for o in lines if abs(o["top"] - o["bottom"]) < 0.05})
    return upright, level


def dots(objects):
    """Return the middles of the dots."""
    return sorted(((o["x0"] + o["x1"]) / 2, (o["top"] + o["bottom"]) / 2) for o in objects["curve"])


def nearest(places, at):
    return min(range(len(places)), key=lambda n: abs(places[n] - at))


def space(places, at):
    """Return between which neighbours a place lies, counted from 1; 0 before the first."""
    return sum(place < at for place in places)


def read_back(shape, objects):
    """Read strings and frets off the page, knowing only the first fret shown."""
    upright, level = grid(objects)
    strings = len(shape.tuning.open_strings)
    lying = len(level) == strings and len(upright) > strings + 2
    across, along = (level, upright) if lying else (upright, level)
    frets = [m.fret for m in shape.marks]
    first = 1 if min(frets) == 0 or max(frets) <= 4 else min(frets)
    if lying and shape.tuning.left_handed:
        along = [-x for x in reversed(along)]
    found = []
    for x, y in dots(objects):
        side, way = (y, -x if shape.tuning.left_handed else x) if lying else (x, y)
        n = nearest(across, side)
        assert abs(across[n] - side) < 0.1  # on the string
        from_first = n if lying or shape.tuning.left_handed else strings - 1 - n
        position = space(along, way)
        found.append((from_first + 1, first - 1 + position if position else 0))
        if position:  # midway between two frets
            assert way == pytest.approx((along[position - 1] + along[position]) / 2, abs=0.1)
    return sorted(found)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("sizes", [engrave.ORDINARY, LARGE], ids=["ordinary", "large"])
def test_dots_are_where_the_marks_are(name, sizes):
    shape = SHAPES[name]
    objects, _ = page_of(shape, sizes=sizes)
    assert read_back(shape, objects) == sorted(mark.place for mark in shape.marks)


def test_left_hand_is_the_mirror_of_the_right():
    right, left = (dots(page_of(SHAPES[name])[0]) for name in ("drop 3", "left-handed"))
    width = engrave.A4.width
    columns = [x for x, _ in right + left]
    middle = (min(columns) + max(columns)) / 2
    assert max(columns) < width
    mirrored = sorted((2 * middle - x, y) for x, y in left)
    assert [pair for one in mirrored for pair in one] == pytest.approx(
        [pair for one in right for pair in one], abs=0.1
    )


@pytest.mark.parametrize("name", ["drop 2", "position", "left-handed position", "four strings"])
@pytest.mark.parametrize("label", ["fingers", "degrees"])
def test_each_dot_has_its_finger_or_its_degree(name, label):
    shape = SHAPES[name]
    objects, chars = page_of(shape, label)
    found = {}
    for middle in dots(objects):
        inside = [
            c
            for c in chars
            if abs((c["x0"] + c["x1"]) / 2 - middle[0]) < 4.5
            and abs((c["top"] + c["bottom"]) / 2 - middle[1]) < 4.5
        ]
        inside.sort(key=lambda c: c["x0"])
        found[middle] = "".join(SIGNS.get(c["text"], c["text"]) for c in inside)
    order = dict(zip(dots(objects), places_in_page_order(shape, objects), strict=True))
    told = {order[at]: words for at, words in found.items()}
    wanted = {m.place: str(m.finger) if label == "fingers" else str(m.degree) for m in shape.marks}
    assert told == wanted


def places_in_page_order(shape, objects):
    """Read each dot's string and fret, in the order of `dots`."""
    return [
        place
        for dot in dots(objects)
        for place in read_back(
            shape,
            objects
            | {
                "curve": [
                    o
                    for o in objects["curve"]
                    if ((o["x0"] + o["x1"]) / 2, (o["top"] + o["bottom"]) / 2) == dot
                ]
            },
        )
    ]


def test_a_cross_stands_over_each_silent_string_of_a_chord():
    shape = SHAPES["drop 3"]
    objects, _ = page_of(shape)
    upright, level = grid(objects)
    sloping = [
        o
        for o in objects["line"]
        if abs(o["x0"] - o["x1"]) > 0.1 and abs(o["top"] - o["bottom"]) > 0.1
    ]
    crossed = {6 - nearest(upright, (o["x0"] + o["x1"]) / 2) for o in sloping}
    assert crossed == set(shape.silent) == {1, 5}
    assert len(sloping) == 2 * len(crossed)
    assert all(o["bottom"] < level[0] for o in sloping)


def test_a_scale_has_no_crosses():
    objects, _ = page_of(SHAPES["position"])
    assert all(
        abs(o["x0"] - o["x1"]) < 0.1 or abs(o["top"] - o["bottom"]) < 0.1 for o in objects["line"]
    )


@pytest.mark.parametrize("name", ["drop 2", "position", "left-handed position"])
def test_the_first_fret_is_numbered_beside_it(name):
    objects, chars = page_of(SHAPES[name])
    upright, level = grid(objects)
    beside = [c for c in chars if c["x1"] < upright[0] and level[0] < c["top"] < level[1]]
    assert "".join(c["text"] for c in beside) == numeral(min(m.fret for m in SHAPES[name].marks))


def test_an_open_string_has_a_ring_over_the_nut():
    shape = Shape(
        "E",
        STANDARD,
        (
            Mark(6, 0, 0, Degree(1), Pitch.parse("E2")),
            Mark(5, 2, 2, Degree(5), Pitch.parse("B2")),
            Mark(4, 2, 3, Degree(1), Pitch.parse("E3")),
        ),
    )
    objects, _ = page_of(shape)
    assert read_back(shape, objects) == [(4, 2), (5, 2), (6, 0)]
    thick = [o for o in objects["line"] if o["linewidth"] > 2]
    assert len(thick) == 1  # the nut


def test_diagrams_of_one_width_stand_in_columns():
    shapes = voiced("C", read_symbol("C").chord, "triad", (3, 2, 1))
    data = engrave.pdf(Diagrams("Triads", shapes * 4))
    with pdfplumber.open(BytesIO(data)) as pdf:
        lefts = sorted(
            {
                round(o["x0"])
                for page in pdf.pages
                for o in page.objects["line"]
                if o["x1"] - o["x0"] > 50
            }
        )
        assert sum(len(page.objects["curve"]) for page in pdf.pages) == 3 * len(shapes) * 4
    assert len(lefts) == 5
    gaps = [b - a for a, b in pairwise(lefts)]
    assert max(gaps) - min(gaps) <= 1


@pytest.mark.parametrize(("name", "cautioned"), [("drop 2", False), ("neck", False)])
def test_a_map_of_the_neck_is_no_stretch(name, cautioned):
    _, chars = page_of(SHAPES[name])
    assert ("stretches" in "".join(c["text"] for c in chars)) is cautioned


def test_diagrams_stand_under_an_exercise():
    chart = parse("Key: C\n[A]\n| Dm7 | G7 | Cmaj7 | Cmaj7 |\n", "x").chart
    changes = spans(chorus(chart), loop=True)
    line = connected(changes, *compass(STANDARD, 5))
    bare = notate_line(line, finger(line, position=5), title="Under")
    shape = in_position("C ionian", Scale.on(NoteName("C"), "ionian"), 5)
    data = [engrave.pdf(replace(bare, shapes=shapes)) for shapes in ((), (shape, shape))]
    (plain, _), (with_two, chars) = (one_page(made) for made in data)
    lowest = max(o["bottom"] for o in plain["line"])
    under = [o for o in with_two["curve"] if o["top"] > lowest]
    assert len(under) == 2 * len(shape.marks)
    names = [c for c in chars if c["text"] == "C" and c["top"] > lowest]
    assert len(names) == 2


def one_page(data):
    with pdfplumber.open(BytesIO(data)) as pdf:
        (page,) = pdf.pages
        return page.objects, page.chars


def test_no_fret_is_drawn_that_the_neck_does_not_have():
    shape = voiced("Cmaj7", read_symbol("Cmaj7").chord, "drop 2", (4, 3, 2, 1))[-1]
    assert max(mark.fret for mark in shape.marks) > STANDARD.frets - 2
    objects, chars = page_of(shape)
    _, level = grid(objects)
    assert len(level) == 5  # four frets, the last one the neck's
    assert "XIX" in "".join(char["text"] for char in chars)
    assert {space(level, y) for _, y in dots(objects)} == {
        mark.fret - (STANDARD.frets - 4) for mark in shape.marks
    }
