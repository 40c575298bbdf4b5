"""Comments keep to their lines, whatever becomes of the file around them."""

import pytest

from chartkit.reader import parse
from chartkit.writer import write

CHART = """; top
Title: T  ; title
Note: a
; on b
Note: b  ; b

; above A
[A]  ; A
Key: C  ; key
; above the row
| C7 | C7 |  ; row 1
| F7 | F7 |  ; row 2

[B]
| C7 |
; end
"""


def comments(text):
    chart = parse(text, "x").chart
    return {(c.anchor, c.own_line): c.text for c in chart.comments}


def test_anchors():
    assert comments(CHART) == {
        (("header", "Title"), True): "top",
        (("header", "Title"), False): "title",
        (("header", "Note", 1), True): "on b",
        (("header", "Note", 1), False): "b",
        (("section", "A"), True): "above A",
        (("section", "A"), False): "A",
        (("section", "A", "Key"), False): "key",
        (("row", "A", 0), True): "above the row",
        (("row", "A", 0), False): "row 1",
        (("row", "A", 1), False): "row 2",
        (("end",), True): "end",
    }


@pytest.mark.parametrize(
    "text",
    [
        CHART.replace("[A]  ; A\n", "[A]\n").replace("; A\n", ""),
        CHART.replace("Title: T  ; title\nNote: a\n", "Note: a\nTitle: T  ; title\n"),
        CHART.replace("\n", "\n\n"),
        CHART.replace("\n", "\r\n"),
        CHART.replace("Note: a", "Meter: 4/4\nNote: a\nFeel: swing"),
    ],
)
def test_layout_does_not_move_comments(text):
    chart = parse(text, "x").chart
    for comment in chart.comments:
        assert f"; {comment.text}" in write(chart)
    again = parse(write(chart), "x").chart
    assert again.comments == chart.comments


def test_a_comment_on_a_line_that_goes_stands_before_the_next():
    text = "Key: F\nComposer: ; nobody\n[A]\n| F7 |\nFine ; here\n; last\n"
    found = [(c.text, c.anchor) for c in parse(text, "x").chart.comments]
    assert found == [("nobody", ("section", "A")), ("here", ("end",)), ("last", ("end",))]


@pytest.mark.parametrize(
    ("line", "text"),
    [
        ("| F7 | ; a ; b", "a ; b"),
        ("| F7 |\t;;; x  ", ";; x"),
        ("| F7 | ;", ""),
        ('| "a ; b" F7 | ; c', "c"),
        (r"| F7 | ; a \; b", r"a \; b"),
    ],
)
def test_where_a_comment_starts_and_ends(line, text):
    assert comments(f"Key: F\n[A]\n{line}\n") == {(("row", "A", 0), False): text}


@pytest.mark.parametrize("value", [r"a \; b", "a;b", r"\;", "; b"])
def test_a_semicolon_that_is_none(value):
    chart = parse(f"Key: F\nTitle:{'' if value[0] == ';' else ' '}{value}\n[A]\nF7\n", "x").chart
    assert chart.title == value.replace(r"\;", ";")
    assert not chart.comments
