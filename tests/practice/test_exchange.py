"""The log carried elsewhere and back: nothing changes, nothing doubles, faults have their row."""

import csv
import io
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from log_makers import entry
from log_strategies import ENTRIES

from chartkit.errors import OutputError
from chartkit.practice.exchange import from_csv, from_json, to_csv, to_json
from chartkit.practice.fields import entries_of
from chartkit.practice.knowing import Tune
from chartkit.practice.log import open_log

many = settings(derandomize=True, max_examples=100, deadline=None)

LISTS = st.lists(ENTRIES, max_size=6)
HEAD = "day,activity,tempo,position,seconds,at,note\n"


def read(text, source="log.csv", player="me"):
    carried = (from_json if source.endswith("json") else from_csv)(text, source)
    return entries_of(carried.records, source, player)


@many
@given(LISTS)
def test_csv_there_and_back(entries):
    text = to_csv(entries)
    assert list(read(text)) == entries
    assert to_csv(read(text)) == text


@many
@given(LISTS)
def test_json_there_and_back(entries):
    text = to_json(entries, ())
    assert list(read(text, "log.json")) == entries
    assert to_json(read(text, "log.json"), ()) == text


@many
@given(LISTS)
def test_the_table_is_one_that_python_reads(entries):
    # Outside check: RFC 4180 as the standard library's dictionary reader has it.
    found = list(csv.DictReader(io.StringIO(to_csv(entries), newline=""), strict=True))
    assert [row["note"] for row in found] == [one.note for one in entries]
    assert all(None not in row and None not in row.values() for row in found)


def test_a_log_read_into_an_empty_one_is_that_log(tmp_path):
    entries = [entry(n) for n in range(30)]
    tune = Tune("tune-1", "Tune 1", ("b" * 64, "a" * 64))
    text = to_json(entries, (tune,))
    for _ in range(2):
        with open_log(tmp_path) as log:
            carried = from_json(text, "x.json")
            renamed = {one.id: log.know(one) for one in carried.tunes}
            log.record(entries_of(carried.records, "x.json", "me", renamed))
            assert to_json(log.entries("me"), log.tunes("me")) == text


def test_a_tune_known_here_by_its_content_keeps_its_id_here(tmp_path):
    with open_log(tmp_path) as log:
        here = log.tune_id("a" * 64, None, "My Own Title")
        assert log.know(Tune("other", "Other", ("b" * 64, "a" * 64))) == here
        assert log.tune_id("b" * 64, None, "Other") == here
        carried = from_json(to_json([entry(1)], ()), "x")
        (one,) = entries_of(carried.records, "x", "me", {"tune-1": here})
        assert one.tune == here


def test_a_table_from_a_spreadsheet():
    (one,) = read("\ufeffday;Activity;tempo;player\r\n2026-03-01;solo;112.5;Ada\r\n;;;\r\n")
    assert (one.player, one.day.isoformat(), str(one.tempo)) == ("Ada", "2026-03-01", "225/2")


def test_entries_without_a_moment_are_the_same_when_read_again():
    text = "day,activity\n2026-03-01,solo\n2026-03-01,solo\n"
    assert len(set(read(text) + read(text))) == 2


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("2026-03-32,solo,,,,,", "day: '2026-03-32' is not a day such as 2026-03-01"),
        ("2026-03-01,solo,fast,,,,", "tempo: 'fast' is not a tempo such as 112 or 225/2"),
        ("2026-03-01,solo,1e9,,,,", "tempo: '1e9' is not a tempo such as 112 or 225/2"),
        ("2026-03-01,solo,1/0,,,,", "tempo: '1/0' is not a tempo such as 112 or 225/2"),
        ("2026-03-01,solo,0,,,,", "a tempo is over 0 and at most 1000, not 0"),
        ("2026-03-01,solo,,V,,,", "position: 'V' is not a position such as 5"),
        ("2026-03-01,solo,,25,,,", "a position is 1 to 24, not 25"),
        ("2026-03-01,solo,,,-1,,", "seconds: '-1' is not a number of seconds"),
        ("2026-03-01,solo,,,,2026-03-01T18:30,", "a moment such as 2026-03-01T18:30:00Z"),
        ("2026-03-01,,,,,,", "the field `activity` is missing"),
        ("2026-03-01, solo,,,,,", "the activity must be a name without spaces around it"),
    ],
)
def test_a_fault_is_told_with_its_row(row, said):
    with pytest.raises(OutputError) as raised:
        read(f"{HEAD}2026-03-01,solo,,,,,\n{row}\n", "mine.csv")
    assert "mine.csv: row 3: " in str(raised.value)
    assert said in str(raised.value)


def test_many_faults_are_told_at_once():
    with pytest.raises(OutputError) as raised:
        read(HEAD + "never,solo,,,,,\n" * 40)
    lines = str(raised.value).splitlines()
    assert len(lines) == 17
    assert lines[-1] == "and 25 more"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the field `day` is missing"),
        ("day,mood,activity\n", "`mood` is no field of an entry"),
        ("day,activity,day\n", "the field `day` is there twice"),
        ("day,activity\n2026-03-01\n", "row 2 has 1 fields, not 2"),
        ('day,activity\n2026-03-01,"solo\n', "unexpected end of data"),
    ],
)
def test_a_table_that_is_none_is_told(text, said):
    with pytest.raises(OutputError, match=r"mine\.csv: ") as raised:
        read(text, "mine.csv")
    assert said in str(raised.value)


@pytest.mark.parametrize(
    "text", ["{}", "[]", "3", "{", '{"entries": 3}', '{"entries": [3]}', "[" * 100_000]
)
def test_json_that_is_no_log_is_told(text):
    with pytest.raises(OutputError, match=r"mine\.json: "):
        read(text, "mine.json")


def trouble(text, source):
    """Read a text; return what was wrong with it, empty for nothing."""
    try:
        read(text, source)
    except OutputError as error:
        return str(error)
    return ""


@pytest.mark.parametrize("source", ["x.csv", "x.json"])
@many
@given(text=st.text(max_size=80) | st.text('day,activity"\r\n\t;x', max_size=60))
def test_any_text_reads_or_is_told(source, text):
    told = trouble(text, source)
    assert not told or source in told


@many
@given(
    st.dictionaries(
        st.sampled_from(("day", "activity", "at", "tempo", "seconds", "position", "note")),
        st.none() | st.booleans() | st.integers() | st.text(max_size=5) | st.lists(st.none()),
    )
)
def test_any_values_read_or_are_told(fields):
    told = trouble(json.dumps({"entries": [fields]}), "x.json")
    assert not told or "row 1" in told


def test_a_number_too_long_to_read_is_told():
    assert "x.json" in trouble(f'{{"entries": [{{"seconds": {"9" * 5000}}}]}}', "x.json")
