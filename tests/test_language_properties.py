"""Laws of the language, on charts drawn by chance and on texts that are no charts at all."""

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import NASTY, charts

from chartkit.chart import Change, Hold, Simile
from chartkit.errors import QUOTE_WIDTH
from chartkit.reader import LIMIT, parse
from chartkit.writer import write

drawn = settings(derandomize=True, max_examples=200, deadline=None)


def read(text):
    reading = parse(text, "drawn.chart")
    errors = [str(fault) for fault in reading.faults if fault.severity == "error"]
    assert not errors, "\n".join([text, *errors])
    return reading.chart


# ---- Round trips ------------------------------------------------------------------------------


@drawn
@given(charts())
def test_what_is_written_reads_back_the_same(chart):
    text = write(chart)
    again = read(text)
    assert again == chart
    assert write(again) == text
    lines = text.split("\n")
    assert lines[-1] == ""
    assert all(line == line.rstrip() for line in lines)
    assert not any(a == b == "" for a, b in pairwise(lines))


LOOSENINGS = {
    "spaces in a row": lambda line: re.sub(r' +(?=[^"]*(?:"[^"]*"[^"]*)*$)', " \t ", line),
    "no leading bar line": lambda line: re.sub(r"^\|(?![:|\]\d]| *\d)", "", line),
    "indented": lambda line: f"\t {line}",
    "trailing space": lambda line: f"{line} \t",
}


@drawn
@given(charts(), st.sampled_from(sorted(LOOSENINGS)), st.sampled_from(("\n", "\r\n", "\r")))
def test_loose_layout_is_the_same_chart(chart, loosening, line_end):
    lines = write(chart).split("\n")
    plain = [
        line if ";" in line or re.match(r"\w+:", line) else LOOSENINGS[loosening](line)
        for line in lines
    ]
    assert read(line_end.join(plain)) == chart


# ---- A second reader, plain and slow ------------------------------------------------------------
# It knows regular expressions only: what stands between bar lines, and how many words it is.

BAR_LINE = re.compile(r":?\|[|\]]?:?(?:x\d+)?(?: ?\|:)?(?: ?\|?[\d,]+\.)?")
NAVIGATION = re.compile(
    r"\b(?:last time )?(?:Segno|To Coda|Coda|Fine|D\.[CS]\.(?: al (?:Fine|Coda))?)(?!\S)"
)


def plain_cells(text):
    """Each section's cells, as lists of words, from a tidy text without its quoted texts."""
    sections = []
    text = re.sub(r'"[^"\n]*"', "", text)
    for line in text.split("\n"):
        bare = re.sub(r"(?:^|(?<=\s));.*", "", line).strip()
        if bare.startswith("["):
            sections.append([])
        elif sections and bare and not re.match(r"\w+:", bare):
            cells = BAR_LINE.split(bare)
            assert not cells[0]
            assert not cells[-1]
            sections[-1] += [NAVIGATION.sub("", cell) for cell in cells[1:-1]]
    return [[re.findall(r"\{[^}]*\}|[^\s(){}]+(?:\([^)]*\)\S*)?", c) for c in s] for s in sections]


def plain_beats(words, beats):
    """Beats of each chord in a cell, a leading hold counted as one."""
    if "/" not in words:
        return [beats // len(words)] * len(words)
    runs = re.findall(r"C/*|^/+", "".join("/" if word == "/" else "C" for word in words))
    return [len(run) for run in runs]


@drawn
@given(charts())
def test_a_plain_reader_counts_the_same_bars_and_beats(chart):
    sections = plain_cells(write(chart))
    assert [len(cells) for cells in sections] == [len(s.bars) for s in chart.sections]
    number = 0 if chart.pickup else 1
    for section, cells in zip(chart.sections, sections, strict=True):
        meter = str(section.meter or chart.meter)
        for bar, words in zip(section.bars, cells, strict=True):
            if words[0].startswith("{"):
                meter = words.pop(0)[1:-1]
            assert bar.number == number
            number += 2 if words == ["%%"] else 1
            assert bar.slots == (Simile(len(words[0])),) or plain_slots(bar) == plain_beats(
                words, bar_beats(meter, bar, chart)
            )


def bar_beats(meter, bar, chart):
    upper, lower = map(int, meter.split("/"))
    compound = lower == 8 and upper in (6, 9, 12)
    return (upper // 3 if compound else upper) if bar.number else chart.pickup


def plain_slots(bar):
    assert all(isinstance(slot, Change | Hold) for slot in bar.slots)
    return [slot.beats for slot in bar.slots]


# ---- Any text at all ----------------------------------------------------------------------------


def is_sound(text):
    """A text gives a chart that can be written again, or faults that can be shown."""
    reading = parse(text, "any")
    lines = re.split(r"\r\n|\r|\n", text.removeprefix("\ufeff"))
    for fault in reading.faults:
        assert 1 <= fault.place.line <= len(lines)
        assert 1 <= fault.place.column <= len(lines[fault.place.line - 1]) + 1
        assert fault.place.text == lines[fault.place.line - 1]
        head, quoted, caret = str(fault).split("\n")
        assert len(quoted) <= QUOTE_WIDTH
        assert len(caret) <= QUOTE_WIDTH + 1
        assert head.isprintable()
    errors = [fault for fault in reading.faults if fault.severity == "error"]
    assert bool(errors) == (reading.chart is None)
    if reading.chart:
        assert read(write(reading.chart)) == reading.chart


@drawn
@given(st.text())
def test_any_text(text):
    is_sound(text)


@drawn
@given(st.binary().map(lambda data: data.decode("latin-1")))
def test_any_bytes_as_text(text):
    is_sound(text)


PIECES = [
    *(
        "|",
        "||",
        "|]",
        "|:",
        ":|",
        ":|:",
        ":||:",
        ":|x3",
        "|1.",
        "|1,2.",
        ":|2.",
        "||:",
        ":|]",
        "x2",
    ),
    *(
        "F7",
        "Cm7",
        "Bb7",
        "C7(b9)",
        "E#9",
        "H",
        ">F7",
        "F7!",
        ">",
        "!",
        "/",
        "//",
        "%",
        "%%",
        "N.C.",
    ),
    *(
        "(",
        ")",
        "(Gm7 C7)",
        "(b9)",
        "{3/4}",
        "{",
        '"',
        '"text"',
        ";",
        r"\;",
        "[A]",
        "[B]",
        "[",
        "]",
    ),
    *("Segno", "Coda", "To Coda", "Fine", "D.C.", "D.S. al Coda", "al Fine", "last time"),
    *(
        "\n",
        "\n",
        "\n[A]\n",
        "\n[B]\n",
        "\nKey: F\n",
        "\nMeter: 3/4\n",
        "\nForm: A B\n",
        "\nPickup: 1\n",
    ),
    *(" ", " ", " ", "\t", "\r", "\0", "é", ":", ".", "1.", "-", "♭"),
]


@settings(drawn, max_examples=500)
@given(st.lists(st.sampled_from(PIECES), max_size=40))
def test_any_row_of_pieces(pieces):
    is_sound("".join(pieces))
    is_sound("Key: F\n[A]\n" + " ".join(pieces))


@st.composite
def damaged(draw):
    """A tidy chart with a few characters taken out, put in or changed."""
    text = write(draw(charts()))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(text)))
        cut = draw(st.integers(0, 3))
        put = draw(st.one_of(st.just(""), st.sampled_from(PIECES), st.characters()))
        text = text[:at] + put + text[at + cut :]
    return text


@drawn
@given(damaged())
def test_any_damaged_chart(text):
    is_sound(text)


# ---- Long texts ---------------------------------------------------------------------------------
# Here they must be answered soundly; `tests/benchmarks/test_reading_speed.py` holds the time to the
# length.


@pytest.mark.parametrize("piece", NASTY)
def test_one_thing_over_and_over(piece):
    is_sound(("Key: F\n[A]\n" + piece * (LIMIT // len(piece.encode())))[: LIMIT // 16])


def test_a_megabyte_is_refused_at_once():
    assert parse("|" * 2**20, "x").faults[0].found.startswith("the text is larger than 256 kB")
