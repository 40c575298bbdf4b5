"""The page of a player's progress: one page, and what stands on it."""

import io
import random
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from xml.etree import ElementTree as ET

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.output import progress_map, progress_tempos
from chartkit.output.engrave import A4, LETTER, ProgressPage, pdf, png, svg
from chartkit.output.strokes import ACCENT
from chartkit.practice.coverage import KEYS
from chartkit.practice.entry import ACTIVITIES, Entry
from chartkit.practice.looking import Ahead, Mark, Part, TuneSeen, report

many = settings(derandomize=True, max_examples=50, deadline=None)

FIRST = date(2026, 1, 5)
SVG = "{http://www.w3.org/2000/svg}"
CAUTION = "Stop on pain."


def elements(drawing):
    """Read a drawing back."""
    return ET.fromstring(f'<svg xmlns="{SVG[1:-1]}">{drawing}</svg>')  # noqa: S314 (our own)


def practised(days, tunes=2, parts=6, seed=1):
    rng = random.Random(seed)
    entries = []
    for n in range(days):
        day = FIRST + timedelta(days=n)
        at = datetime(day.year, day.month, day.day, 18, tzinfo=UTC)
        entries += [
            Entry(
                "me",
                day,
                at + timedelta(minutes=i),
                rng.choice(ACTIVITIES),
                tune=f"tune-{rng.randrange(tunes)}" if tunes else None,
                part=rng.choice(("A", "B", "A>B", "B>A", "A B", "C", "D", "form")[:parts]),
                key=rng.choice(KEYS),
                position=rng.randrange(1, 13),
                tempo=Fraction(rng.randrange(60, 180)),
                result=rng.choice(("clean", "not yet", "done")),
                seconds=120,
            )
            for i in range(3)
        ]
    return entries


def page(days=60, until=None, ahead=(), player="me", **made):
    tunes = {f"tune-{n}": TuneSeen(f"Tune {n}", Fraction(150), "F") for n in range(12)}
    last = until or FIRST + timedelta(days=max(days, 1) - 1)
    found = report(player, practised(days, **made), FIRST, last, tunes=tunes, ahead=ahead)
    return ProgressPage(found, CAUTION)


def words_of(printed, paper=A4):
    with pdfplumber.open(io.BytesIO(pdf(printed, paper))) as opened:
        assert len(opened.pages) == 1
        found = opened.pages[0]
        for word in found.extract_words():
            assert 0 <= word["x0"] <= word["x1"] <= found.width
            assert 0 <= word["top"] <= word["bottom"] <= found.height
        return found.extract_text()


def part_of(tempos, goal=None):
    marks = [
        Mark(FIRST + timedelta(days=n), Fraction(tempo), clean)
        for n, (tempo, clean) in enumerate(tempos)
    ]
    return Part("x", "X", "A", goal, tuple(marks))


def test_what_stands_on_the_page():
    due = (Ahead("tune-0", "Tune 0, A", None, "2 more clean days at 150"),)
    text = words_of(page(ahead=due, player="Ada"))
    report_ = page().report
    for words in (
        "Ada: Practice",
        "5 January 2026 to 5 March 2026",
        f"60 days, 360 minutes, {report_.clean} clean runs",
        "Minutes and clean runs, by the week",
        "Tempo by part",
        "Tune 0, 150 to reach",
        "clean at least once",
        "Tune 0, A",
        "2 more clean days at 150",
        "Stop on pain.",
        "VIII",
    ):
        assert words in text


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
@pytest.mark.parametrize(
    "made",
    [
        {"days": 0},
        {"days": 1},
        {"days": 190, "tunes": 12, "parts": 8},
        {"days": 400, "tunes": 3, "parts": 8},
        {"days": 60, "until": date(2036, 1, 1)},
        {"days": 30, "tunes": 0},
        {"days": 30, "ahead": (Ahead("tune-0", "Tune 0 " * 9, FIRST, "why " * 60),) * 30},
    ],
    ids=range(7),
)
def test_it_is_one_page_whatever_there_is(made, paper):
    words_of(page(**made), paper)


def test_what_has_no_room_is_counted():
    made = page(days=190, tunes=12, parts=8)
    drawn = svg(made)[0]
    panels = drawn.count(">5 Jan<")
    counted = re.search(r"No room here for (\d+) more", drawn)
    assert panels
    assert panels + int(counted[1]) == len(made.report.parts)
    many = page(days=20, ahead=(Ahead("tune-0", "Tune 0", FIRST, "why"),) * 50)
    drawn = svg(many)[0]
    assert drawn.count(">why<") + int(re.search(r"and (\d+) more<", drawn)[1]) == 50


@many
@given(st.lists(st.integers(1, 11), min_size=1, max_size=9))
def test_rows_hold_every_part_in_order_and_each_tune_has_its_title(sizes):
    one = part_of([(80, True)])
    parts = [
        replace(one, tune=f"tune-{tune}", part=str(n))
        for tune, size in enumerate(sizes)
        for n in range(size)
    ]
    rows = progress_tempos.rows(parts)
    assert [part for row in rows for part in row.parts] == parts
    assert all(1 <= len(row.parts) <= progress_tempos.COLUMNS for row in rows)
    titled = [row.parts[column].tune for row in rows for column in row.first]
    assert titled == [f"tune-{tune}" for tune in range(len(sizes))]
    assert all(row.parts[column].part == "0" for row in rows for column in row.first)


def test_the_same_report_gives_the_same_bytes():
    assert pdf(page()) == pdf(page())
    assert png(page()) == png(page())


def test_the_squares_say_what_the_report_says():
    found = page(days=40).report
    root = elements(progress_map.drawing(found))
    boxes = [box.get("fill") for box in root.iter(f"{SVG}rect")][:144]
    expected = ["black" if s.clean else "#c9c9c9" if s.days else "white" for s in found.squares]
    assert boxes == expected
    figures = [t.text for t in root.iter(f"{SVG}text") if (t.text or "").isdecimal()]
    assert figures == [str(s.days) for s in found.squares if s.days]


PARTS = st.builds(
    part_of,
    st.lists(st.tuples(st.fractions(30, 400), st.booleans()), min_size=1, max_size=40),
    st.none() | st.fractions(30, 400),
)


@many
@given(st.lists(PARTS, min_size=1, max_size=5), st.integers(0, 4000))
def test_every_mark_stands_in_its_panel_at_its_tempo(parts, days):
    until = FIRST + timedelta(days=max(days, 40))
    scale = progress_tempos.scale_of(parts, FIRST, until)
    for part in parts:
        root = elements(progress_tempos.panel(part, scale, 100))
        dots = [(float(d.get("cx")), float(d.get("cy"))) for d in root.iter(f"{SVG}circle")]
        assert len(dots) == len(part.marks)
        rules = [line for line in root.iter(f"{SVG}line") if line.get("stroke") != ACCENT]
        assert 2 <= len(rules) <= progress_tempos.MOST_RULES
        for (x, y), mark in zip(dots, part.marks, strict=True):
            assert 0 <= x <= 100
            assert 0 <= y <= progress_tempos.HEIGHT
            # Back from the paper to the tempo, by the outermost rules.
            span = (scale.high - scale.low) / progress_tempos.HEIGHT
            assert abs(scale.high - y * span - float(mark.tempo)) < 0.01 * max(1, scale.step)


def test_a_ring_is_what_was_not_clean():
    part = part_of([(80, True), (90, False), (84, True)], Fraction(100))
    scale = progress_tempos.scale_of([part], FIRST, FIRST + timedelta(days=9))
    drawn = progress_tempos.panel(part, scale, 100)
    assert re.findall(r'<circle [^>]*fill="(\w+)"', drawn) == ["black", "white", "black"]
    assert drawn.count("stroke-dasharray") == 1
    assert "clean up to 84" in drawn
    assert "clean up to" not in progress_tempos.panel(
        replace(part, marks=part.marks[1:2]), scale, 9
    )


def test_one_colour_beside_black_and_greys():
    colours = set(re.findall(r'(?:fill|stroke)="(#\w+)"', svg(page())[0]))
    assert colours == {ACCENT, "#c9c9c9"}


def test_words_in_another_script_are_printed():
    made = page(days=10)
    other = replace(made, report=replace(made.report, player="夜の小屋"))
    assert other.title == "夜の小屋: Practice"
    assert pdf(other)
