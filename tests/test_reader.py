"""The reader on whole files: charts that read, charts that do not, and files that are none.

In ``tests/charts/good`` each chart lies beside what was read from it, bar by bar; in
``tests/charts/bad`` beside the whole text that a player sees. ``python tests/test_reader.py``
writes these texts anew; read the difference before keeping it.
"""

import io
import re
import sys
from pathlib import Path

import pytest

from chartkit.chart import Change, Hold
from chartkit.errors import ChartFaults, OutputError
from chartkit.lines import MOST_FAULTS
from chartkit.reader import LIMIT, parse, read
from chartkit.theory.symbol import write_symbol

HERE = Path(__file__).parent / "charts"
GOOD = sorted((HERE / "good").glob("*.chart"))
BAD = sorted((HERE / "bad").glob("*.chart"))


def faults(path):
    """What a player sees: every fault, the file by its name alone."""
    reading = parse(path.read_bytes().decode(), path.name)
    assert reading.chart is None
    return "".join(f"{fault}\n" for fault in reading.faults)


# ---- What was read, written out plainly -----------------------------------------------------


def listing(path):
    """A chart as a list of its header's values and its bars, and the warnings after them."""
    reading = parse(path.read_bytes().decode(), path.name)
    assert reading.chart, "\n".join(map(str, reading.faults))
    chart = reading.chart
    fields = ("title", "composer", "key", "meter", "feel", "order", "solos", "pickup", "notes")
    given = [(name, getattr(chart, name)) for name in fields]
    lines = [f"{name} = {shown(value)}" for name, value in given if value]
    if chart.tempo:
        lines.append(f"tempo = {chart.tempo.count} x {chart.tempo.unit}")
    for section in chart.sections:
        own = [str(value) for value in (section.key, section.meter, section.feel) if value]
        lines += ["", " ".join((f"[{section.label}]", *own)), *map(bar_line, section.bars)]
    lines += ["", *map(comment_line, chart.comments)]
    lines += ["", *(str(fault) for fault in reading.faults)]
    return "\n".join(lines).rstrip() + "\n"


def shown(value):
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)


def comment_line(comment):
    where = "before" if comment.own_line else "beside"
    return f"{where} {comment.anchor}: {comment.text}"


def bar_line(bar):
    parts = [
        f"{bar.number:3}",
        bar.left,
        "".join(f"{number}." for number in bar.ending),
        f"{{{bar.meter}}}" if bar.meter else "",
        ", ".join(map(slot_text, bar.slots)),
        bar.right,
        f"x{bar.times}" if bar.times else "",
        " ".join(("last time " if m.last_time else "") + m.sign.value for m in bar.marks),
        "end of line" if bar.ends_system else "",
    ]
    return " ".join(filter(None, parts))


def slot_text(slot):
    if isinstance(slot, Hold):
        return f"hold for {slot.beats}"
    if not isinstance(slot, Change):
        return f"the last {slot.bars} again"
    symbol = write_symbol(slot.chord) if slot.chord else "no chord"
    said = [f"{symbol} for {slot.beats}"]
    said += [word for word in ("pushed", "stopped", "turnaround") if getattr(slot, word)]
    return " ".join(said) + (f" {slot.text!r}" if slot.text else "")


# ---- Charts that read, charts that do not ------------------------------------------------------


def test_there_are_charts_of_both_kinds():
    assert GOOD
    assert BAD


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_good_chart(path):
    assert listing(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_bad_chart(path):
    assert faults(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_every_text_has_its_chart():
    texts = {path.with_suffix("") for path in HERE.glob("*/*.txt")}
    assert texts == {path.with_suffix("") for path in (*GOOD, *BAD)}


def test_any_white_space_may_stand_in_an_ending():
    text = "[A]\n|: C |1, \x1c2. D :|3. E |\n"
    chart = parse(text, "drawn.chart").chart
    assert [bar.ending for bar in chart.sections[0].bars] == [(), (1, 2), (3,)]


# ---- One fault hides no other -----------------------------------------------------------------

SLIPS = {
    "?": "`?` cannot stand here",
    "H7": "the note H is written B here",
    "F7 C7 D7": "3 chords cannot share 4 beats evenly",
    "F7 (b9)": "`(b9)` stands apart from its chord",
    "F7 % ": "`%` stands beside something else",
    ">/ F7": "`>/` pushes no chord",
    "(Gm7": "the bar ends too soon",
    "F7 / /": "3 beats in a bar of 4 beats",
    "": "this bar is empty",
}


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("other", SLIPS)
def test_two_slips_in_a_row_are_both_told_and_nothing_else_is(slip, other):
    text = f"Key: F\n[A]\n| F7 | {slip} | C7 | {other} | F7 |\n| F7 | {slip} | {other} |]\n"
    reading = parse(text, "x")
    told = [(fault.place.line, fault.found) for fault in reading.faults]
    assert [line for line, _ in told] == [3, 3, 4, 4]
    for (_, found), expected in zip(told, [slip, other] * 2, strict=True):
        assert SLIPS[expected] in found


def test_faults_come_in_order_of_place():
    text = "Tempo: 1\n[A]\n| H | F7 (b9) |\n[A]\n| % |\n"
    places = [(fault.place.line, fault.place.column) for fault in parse(text, "x").faults]
    assert places == sorted(places)
    assert [line for line, _ in places] == [1, 2, 3, 3, 4, 5]


def test_a_bar_that_cannot_be_read_still_counts():
    chart_of = lambda bars: parse(f"Key: F\n[A]\n{bars}\n", "x")  # noqa: E731 (a word for it)
    assert [f.found for f in chart_of("| H | % | / / F7 / |: H :| F7 |").faults] == [
        "`H`: the note H is written B here",
        "`H`: the note H is written B here",
    ]


def test_what_has_too_many_faults_is_cut_short():
    reading = parse("Key: F\n[A]\n" + "| H7 " * 1000 + "|", "x")
    assert len(reading.faults) <= MOST_FAULTS
    many = parse("\n".join("Word: x" for _ in range(1000)), "x")
    assert len(many.faults) == MOST_FAULTS
    assert re.fullmatch(r"\d+ more faults from here on; .*", many.faults[-1].found)


def test_a_warning_alone_leaves_the_chart_whole():
    reading = parse("[A]\n| Bb5 |", "x")
    assert reading.chart
    assert {fault.severity for fault in reading.faults} == {"warning"}


# ---- Places -----------------------------------------------------------------------------------


def test_the_parts_of_a_chart_know_their_places():
    text = 'Key: F\n [A]\n|: "x" >F7 Bb7 | % Fine :|\n'
    section = parse(text, "tune.chart").chart.sections[0]
    one, two = section.bars
    assert str(section.place) == "tune.chart:2:2"
    assert str(one.slots[0].place) == "tune.chart:3:8"
    assert str(one.slots[1].place) == "tune.chart:3:12"
    assert str(one.left_place) == "tune.chart:3:1"
    assert str(one.right_place) == "tune.chart:3:16"
    assert str(two.marks[0].place) == "tune.chart:3:20"
    assert str(two.right_place) == "tune.chart:3:25"
    assert one.place.text == '|: "x" >F7 Bb7 | % Fine :|'


def test_columns_count_characters_whatever_their_width():
    text = "Key: F\n[A]\n| B♭7 𝄫 | F7 ? |\n"
    assert [f.place.column for f in parse(text, "x").faults] == [7, 14]


# ---- Files --------------------------------------------------------------------------------------


def test_a_file_is_read(tmp_path):
    path = tmp_path / "tune.chart"
    path.write_bytes("\ufeffKey: F\r\n[A]\r\n| F7 |\r\n".encode())
    assert str(read(str(path)).key) == "F major"


def test_standard_input_is_read(monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"Key: F\n[A]\n| F7 |")))
    assert len(read("-").sections) == 1


def test_the_faults_of_a_file_are_raised_together(tmp_path):
    path = tmp_path / "tune.chart"
    path.write_text("Key: X\n[A]\n| H |\n")
    with pytest.raises(ChartFaults) as raised:
        read(str(path))
    assert len(raised.value.faults) == 2
    assert str(raised.value).startswith(f"{path}:1:6: `X` is not a key")


UNREADABLE = {
    "latin-1.chart": ("Title: Caf\xe9\n[A]\n| F7 |".encode("latin-1"), "line 1 is not UTF-8 text"),
    "binary.chart": (bytes(range(256)) * 8, "is not UTF-8 text"),
    "later.chart": (b"Key: F\n[A]\n| \xff |", "line 3 is not UTF-8 text"),
    "large.chart": (b"|" * (LIMIT + 1), "larger than 256 kB"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_a_file_that_is_no_chart_text(tmp_path, name):
    data, reason = UNREADABLE[name]
    (tmp_path / name).write_bytes(data)
    with pytest.raises(OutputError, match=reason) as raised:
        read(str(tmp_path / name))
    assert "\n" not in str(raised.value)


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(OutputError, match="there is no such file"):
        read(str(tmp_path / "none.chart"))
    with pytest.raises(OutputError, match="that is a folder"):
        read(str(tmp_path))
    with pytest.raises(OutputError, match="cannot read"):
        read("a\0b")


def test_the_largest_text_is_read_and_a_larger_one_refused():
    lead = "Key: F\n[A]\n| F7 |\n"
    full = lead + "; " + "x" * (LIMIT - len(lead) - 2)
    assert parse(full, "x").chart
    over = parse(full + "x", "x")
    assert over.chart is None
    assert [fault.found for fault in over.faults] == [
        "the text is larger than 256 kB, so it is not a chart"
    ]
    assert parse("Ü" * (LIMIT // 2 + 1), "x").faults[0].found == over.faults[0].found


if __name__ == "__main__":
    for path in GOOD:
        path.with_suffix(".txt").write_text(listing(path), encoding="utf-8")
    for path in BAD:
        path.with_suffix(".txt").write_text(faults(path), encoding="utf-8")
