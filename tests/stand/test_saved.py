"""One file that holds everything: the page, the music, the sound, and no way out.

Hashes of inline scripts and styles after Content Security Policy Level 3 (W3C), read with Python's
own HTML parser.
"""

import base64
import hashlib
import io
import json
from html.parser import HTMLParser

import numpy as np
import pytest
import soundfile

from chartkit.stand.programme import Programme
from chartkit.stand.saving import saved_programme
from chartkit.stand.server import Desk

SCRIPT = "</script><script>alert(1)</script><!-- & 'x'"


class Read(HTMLParser):
    """The parts of a document: scripts, styles, and the attributes of everything."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.scripts, self.styles, self.tags = [], [], []
        self.into = None
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self.into = [dict(attrs), ""]
            (self.scripts if tag == "script" else self.styles).append(self.into)

    def handle_endtag(self, tag):
        if tag in ("script", "style"):
            self.into = None

    def handle_data(self, data):
        if self.into:
            self.into[1] += data


def hashed(text):
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


@pytest.fixture
def two(desk, tune):
    """A programme of two parts of a tune with a nasty title."""
    text = tune.read_text(encoding="utf-8").replace("Paper <b>Lanterns</b>", SCRIPT)
    tune.write_text(text, encoding="utf-8")
    requests = [
        {"tune": "own-1-tune", "bars": [1, 2], "tempo": 240, "countIn": 0},
    ]
    return Desk(desk.shelf, desk.store, desk.workshop, Programme(desk.shelf, requests))


def test_a_saved_page_holds_all_and_asks_for_nothing(two):
    html = saved_programme(two)
    read = Read(html)
    data, code = read.scripts
    assert data[0] == {"type": "application/json", "id": "saved"}
    assert code[0] == {}
    (policy,) = (a["content"] for t, a in read.tags if a.get("http-equiv"))
    directives = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    assert directives["default-src"] == "'none'"
    assert directives["script-src"] == hashed(code[1])
    assert directives["style-src"].split() == [hashed(text) for _, text in read.styles]
    assert "connect-src" not in directives
    for tag, attributes in read.tags:
        assert tag != "base"
        assert not attributes.get("src")
        assert "style" not in attributes
        assert not [name for name in attributes if name.startswith("on")]
        if tag == "link":
            assert attributes["href"].startswith("data:")
    first = [tag for tag, _ in read.tags].index("style")
    assert [a for _, a in read.tags[:first] if a.get("http-equiv")]  # the policy comes first
    assert "<title>&lt;/script&gt;" in html
    assert str(two.store._folder.parents[2]) not in html  # no path of this machine
    held = json.loads(data[1])
    (item,) = held["items"]
    assert item["title"].startswith(SCRIPT)
    work = held["works"][item["key"]]
    assert work["title"] == SCRIPT
    assert {part["href"] for part in work["sound"]["parts"]} == held["sounds"].keys()


def test_its_sound_is_the_stands_sample_for_sample(two):
    html = saved_programme(two)
    held = json.loads(Read(html).scripts[0][1])
    for href, text in held["sounds"].items():
        flac = base64.b64decode(text, validate=True)
        kept = two.store.part(*href.removesuffix(".wav").split("/")[2:])
        sounds = [soundfile.read(io.BytesIO(data), dtype="int16")[0] for data in (flac, kept)]
        assert np.array_equal(*sounds)


def test_a_small_one_is_as_long_and_a_third_of_the_size(two):
    large, small = (
        json.loads(Read(saved_programme(two, form)).scripts[0][1]) for form in ("flac", "ogg")
    )
    for href, text in small["sounds"].items():
        sound, _ = soundfile.read(io.BytesIO(base64.b64decode(text)), always_2d=True)
        assert len(sound) == small["works"]["own-1-tune"]["sound"]["frames"]
        before, _ = soundfile.read(
            io.BytesIO(base64.b64decode(large["sounds"][href])), always_2d=True
        )
        noise, signal = np.sum((sound - before) ** 2), np.sum(before**2)
        assert noise < signal / 10  # cymbals fare worst: 7 % as measured
    sizes = [sum(map(len, one["sounds"].values())) for one in (large, small)]
    assert sizes[1] < sizes[0] / 2


def test_the_same_programme_is_the_same_file(two):
    assert saved_programme(two) == saved_programme(two)
