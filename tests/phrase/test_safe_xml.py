"""XML that is out to do harm, and XML that only names its definition."""

import time
import zipfile
from contextlib import suppress
from io import BytesIO

import pytest

from chartkit.errors import OutputError
from chartkit.phrase.musicxml_file import score_of
from chartkit.phrase.safe_xml import DEEPEST, LARGEST, parse_xml

LAUGHS = b"""<?xml version="1.0"?>
<!DOCTYPE lolz [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>
<score-partwise>&b;</score-partwise>"""
OUTSIDE = b"""<?xml version="1.0"?>
<!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/hostname">]><score-partwise>&f;</score-partwise>"""
PARAMETER = b"""<?xml version="1.0"?>
<!DOCTYPE x [<!ENTITY % p SYSTEM "http://localhost:1/x"> %p;]><score-partwise/>"""
NAMED = b"""<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"
 "http://localhost:1/partwise.dtd"><score-partwise version="4.0"/>"""


@pytest.mark.parametrize("data", [LAUGHS, OUTSIDE, PARAMETER])
def test_entities_are_refused(data):
    with pytest.raises(OutputError, match="entities of its own"):
        parse_xml(data)


def test_a_definition_may_be_named_and_is_not_fetched():
    began = time.perf_counter()
    assert score_of(NAMED).tag == "score-partwise"
    assert time.perf_counter() - began < 1


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "not well-formed"),
        (b"<a><b></a>", "not well-formed XML in line 1"),
        (b"<a>" * (DEEPEST + 1), "elements within each other"),
        (b" " * (LARGEST + 1), "larger than 8 MB"),
        (b'<?xml version="1.0" encoding="no-such"?><a/>', "not well-formed"),
        (b"<html/>", "no MusicXML score: it begins with <html>"),
        (b"<score-timewise/>", "save it partwise"),
        (b"PK\x03\x04 nothing more", "no compressed file"),
    ],
)
def test_what_is_no_score_is_one_sentence(data, said):
    with pytest.raises(OutputError, match=said) as raised:
        score_of(data)
    assert "\n" not in str(raised.value)


def packed(members):
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return buffer.getvalue()


CONTAINER = b'<container><rootfiles><rootfile full-path="s.xml"/></rootfiles></container>'


def test_a_compressed_score_is_found():
    data = packed({"META-INF/container.xml": CONTAINER, "s.xml": NAMED})
    assert score_of(data).tag == "score-partwise"


@pytest.mark.parametrize(
    ("members", "said"),
    [
        ({"s.xml": NAMED}, "it holds no META-INF/container.xml"),
        ({"META-INF/container.xml": CONTAINER}, "it holds no s.xml"),
        ({"META-INF/container.xml": b"<container/>"}, "names no score"),
        (
            {"META-INF/container.xml": CONTAINER, "s.xml": b"<a>" + b" " * (LARGEST + 1)},
            "larger than 8 MB",
        ),
        ({"META-INF/container.xml": CONTAINER, "s.xml": LAUGHS}, "entities of its own"),
        ({str(n): b"" for n in range(1001)}, "more than 1000 files"),
    ],
)
def test_a_compressed_file_that_holds_none(members, said):
    with pytest.raises(OutputError, match=said):
        score_of(packed(members))


def test_every_broken_copy_of_a_compressed_score_is_one_sentence():
    data = packed({"META-INF/container.xml": CONTAINER, "s.xml": NAMED})
    for at in range(4, len(data), 3):
        with suppress(OutputError):
            score_of(data[:at] + bytes([data[at] ^ 0xFF]) + data[at + 1 :])
        with suppress(OutputError):
            score_of(data[:at])
