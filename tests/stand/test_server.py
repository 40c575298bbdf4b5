"""Answers and refusals, as a browser and as an attacker asks.

The rules are those of RFC 9110 (Host, 4xx and 5xx), RFC 6454 (Origin), Fetch Metadata and Content
Security Policy Level 3 (both W3C).
"""

import asyncio
import io
import json
import re
import threading
from collections import Counter

import pytest
import soundfile

HERE = "http://127.0.0.1:8460"
TWO_BARS = {"tune": "own-1-tune", "bars": [1, 2], "countIn": 0}


def written(folder):
    return sorted(str(path) for path in folder.rglob("*"))


def refused(answer, *statuses):
    """Tell whether an answer is one of these refusals: JSON with one plain sentence."""
    told = answer.json()
    sentence = told["error"]
    plain = "Traceback" not in sentence and "/work" not in sentence and len(sentence) < 400
    return answer.status_code in statuses and list(told) == ["error"] and plain and sentence


def test_a_work_and_its_sound(page):
    work = page.work(bars=[1, 2], tempo=200)
    assert work["title"] == "Paper <b>Lanterns</b>"
    assert work["request"] == {"tune": "own-1-tune", "bars": [1, 2], "tempo": 200}
    assert work["tempo"] == 200
    for part in work["sound"]["parts"]:
        answer = page.get(part["href"])
        assert answer.headers["content-type"] == "audio/wav"
        assert "immutable" in answer.headers["cache-control"]
        sound, rate = soundfile.read(io.BytesIO(answer.content), always_2d=True)
        assert (len(sound), rate) == (work["sound"]["frames"], work["sound"]["rate"])


def test_the_same_is_not_made_twice(page, monkeypatch):
    work = page.work(**TWO_BARS)
    monkeypatch.setattr("chartkit.stand.workshop.work_of", None)
    assert page.work(**TWO_BARS) == work


def test_an_edited_chart_makes_other_music(page, tune):
    first = page.work(**TWO_BARS)
    tune.write_text(tune.read_text(encoding="utf-8").replace("C7", "C7b9"), encoding="utf-8")
    assert page.work(**TWO_BARS)["id"] != first["id"]


def test_tunes_and_what_to_choose_from(page):
    told = page.get("/api/tunes").json()
    first, *demos = told["tunes"]
    assert first["request"] == {"tune": "own-1-tune"}
    assert [section["label"] for section in first["sections"]] == ["A", "B"]
    assert len(demos) > 10
    assert not [tune for tune in told["tunes"] if "error" in tune]
    assert {"swing", "bossa nova"} <= set(told["choices"]["feels"])


def test_what_was_named_is_what_to_go_through(page):
    (item,) = page.get("/api/today").json()["items"]
    assert item["title"] == "Paper <b>Lanterns</b>"
    assert page.post("/api/work", item["request"]).status_code == 200


def test_every_answer_tells_the_browser_to_be_strict(page):
    for answer in (
        page.get("/api/tunes"),
        page.get("/nowhere"),
        page.get("/", host="evil.example"),
    ):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cross-origin-resource-policy"] == "same-origin"
        assert answer.headers["cache-control"] == "no-store"
        assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize(
    "host",
    ["evil.example", "127.0.0.1", "127.0.0.1:81", "localhost.evil.example:8460", "[::1]:1", ""],
)
def test_a_foreign_host_is_refused(page, host):
    assert refused(page.get("/api/tunes", host=host), 421)
    assert refused(page.post("/api/work", TWO_BARS, host=host), 421)


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8460", "localhost:8460", "LOCALHOST:8460", "[::1]:8460"]
)
def test_its_own_names_are_answered(page, host):
    assert page.get("/api/tunes", host=host).status_code == 200


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "https://127.0.0.1:8460", "http://127.0.0.1:8461"]
)
def test_a_foreign_origin_is_refused_even_with_the_token(page, origin):
    assert refused(page.post("/api/work", TWO_BARS, origin=origin), 403)
    assert refused(page.get("/api/tunes", origin=origin), 403)
    assert page.post("/api/work", TWO_BARS, origin=HERE).status_code == 200


@pytest.mark.parametrize("site", ["cross-site", "same-site", "whatever"])
def test_what_another_site_asks_for_is_refused(page, site):
    assert refused(page.get("/api/tunes", **{"sec-fetch-site": site}), 403)


@pytest.mark.parametrize("token", ["", "wrong", "a token of this tesT", "ünïcode".encode()])
def test_nothing_is_made_without_the_token(page, token, tmp_path):
    before = written(tmp_path)
    assert refused(page.post("/api/work", TWO_BARS, **{"x-stand-token": token}), 403)
    assert refused(page.post("/api/log", {"result": "clean"}, **{"x-stand-token": token}), 403)
    assert written(tmp_path) == before


@pytest.mark.parametrize(
    "path",
    [
        "/../pyproject.toml",
        "/..%2fpyproject.toml",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/page/index.html",
        "/server.py",
        "/index.html%00.css",
        "/.css",
        "/sound/../../secret/bass.wav",
        "/sound/%2e%2e%2f%2e%2e/bass.wav",
        "/sound/0123456789abcdef0123456789abcdef/..%2f..%2fabout.wav",
        "/sound/" + "0" * 32 + "/bass.wav",
        "//etc/passwd",
        "/api/work/../../etc/passwd",
    ],
)
def test_no_path_leads_out_of_its_folders(page, path, tmp_path):
    (tmp_path / "home" / "cache").mkdir(parents=True)
    (tmp_path / "home" / "cache" / "secret").mkdir()
    (tmp_path / "home" / "cache" / "secret" / "bass.wav").write_bytes(b"secret")
    answer = page.get(path)
    assert refused(answer, 404)
    assert b"secret" not in answer.content


@pytest.mark.parametrize(
    "name", ["../tune", "/etc/passwd", "tune.chart", "own-2-tune", "\x00", "x" * 300]
)
def test_a_tune_is_no_path(page, name):
    assert refused(page.post("/api/work", {"tune": name}), 400)


BAD = {
    "no JSON": b"{",
    "not UTF-8": b"\xff\xfe{}",
    "nothing": b"",
    "a list": b"[]",
    "a text": b'"tune"',
    "not a number": b'{"tune": "own-1-tune", "tempo": NaN}',
    "without end": b'{"tune": "own-1-tune", "tempo": 1e999}',
    "as deep as it goes": b"[" * 15000,
    "many digits": b'{"tune": "own-1-tune", "seed": ' + b"9" * 10000 + b"}",
    "no tune": {},
    "tune and item": {"tune": "own-1-tune", "item": "x"},
    "unknown": {"tune": "own-1-tune", "soundfont": "/etc/passwd"},
    "tempo": {"tune": "own-1-tune", "tempo": "fast"},
    "tempo of true": {"tune": "own-1-tune", "tempo": True},
    "too fast": {"tune": "own-1-tune", "tempo": 401},
    "bars": {"tune": "own-1-tune", "bars": [4, 1]},
    "bars that are not there": {"tune": "own-1-tune", "bars": [1, 99]},
    "section": {"tune": "own-1-tune", "sections": ["Z"]},
    "sections": {"tune": "own-1-tune", "sections": ["A"] * 17},
    "key": {"tune": "own-1-tune", "key": "H"},
    "keys": {"tune": "own-1-tune", "keys": ["C"] * 13},
    "too long": {"tune": "own-1-tune", "tempo": 30, "times": 64},
    "kind": {"tune": "own-1-tune", "exercise": {"kind": "../arpeggio"}},
    "exercise": {"tune": "own-1-tune", "exercise": {"hidden": 1}},
    "ladder down": {"tune": "own-1-tune", "tempo": 200, "ladder": {"by": 5, "upTo": 100}},
    "click": {"tune": "own-1-tune", "click": {"beats": [9]}},
    "feel": {"tune": "own-1-tune", "feel": "disco"},
    "no such item": {"item": "warm-up"},
}


@pytest.mark.parametrize("data", BAD.values(), ids=BAD)
def test_what_cannot_be_made_is_refused_in_a_sentence(page, data, tmp_path):
    before = written(tmp_path)
    assert refused(page.post("/api/work", data), 400, 422)
    assert written(tmp_path) == before
    assert page.get("/api/tunes").status_code == 200


def test_a_body_is_never_large(page):
    huge = b'{"tune": "' + b"x" * 2_000_000 + b'"}'
    assert refused(page.post("/api/work", huge), 413)
    assert refused(page.post("/api/log", huge), 413)


def test_a_body_of_unknown_length_is_not_read_to_its_end(page):
    sent = 0

    async def endless():
        nonlocal sent
        while True:
            sent += 1
            yield b" " * 4096

    headers = {"content-type": "application/json", "x-stand-token": "a token of this test"}
    answer = asyncio.run(page.asked("POST", "/api/work", endless(), **headers))
    assert refused(answer, 413)
    assert sent < 20


def test_a_form_of_another_site_is_no_json(page):
    plain = page.post("/api/work", TWO_BARS, **{"content-type": "text/plain"})
    assert refused(plain, 415)
    form = page.post("/api/work", b"a=b", **{"content-type": "application/x-www-form-urlencoded"})
    assert refused(form, 415)


def test_addresses_are_asked_as_they_are_meant(page):
    assert refused(page.get("/api/work"), 405)
    assert refused(page.post("/api/tunes", {}), 405)
    assert refused(asyncio.run(page.asked("DELETE", "/api/tunes")), 405)
    assert refused(page.get("/" + "x" * 5000), 414)


SCRIPT = "<script>alert(1)</script>"
NASTY = f"""\
Title: Kettle {SCRIPT} & "Sons"
Composer: {SCRIPT}
Note: {SCRIPT}
Key: C
; {SCRIPT}

[Intro]
| "{SCRIPT}" C6 | G7 |
[A]
| Dm7 | G7 |
"""


def test_script_in_a_chart_stays_text(page, tune):
    tune.write_text(NASTY, encoding="utf-8")
    work = page.work(countIn=0)
    assert SCRIPT in work["title"]  # as text: the page sets it as text
    drawings = "".join(system["svg"] for system in work["systems"])
    assert "alert(1)" in drawings
    assert "<script" not in drawings
    assert not re.search(r"\son\w+=|javascript:|<foreignObject|<style|\sstyle=", drawings)
    assert page.get("/api/tunes").headers["content-type"] == "application/json"


def test_a_chart_with_faults_is_told_and_the_others_stay(page, tune):
    tune.write_text(f"Title: {SCRIPT}\n[A]\n| H7 |\n", encoding="utf-8")
    first, *others = page.get("/api/tunes").json()["tunes"]
    assert "`H7`" in first["error"]
    assert others[0]["title"]
    assert page.post("/api/work", {"tune": "own-1-tune"}).status_code == 422
    tune.unlink()
    assert refused(page.post("/api/work", {"tune": "own-1-tune"}), 422)


@pytest.mark.usefixtures("silent")
def test_two_hundred_at_once_are_made_or_refused_and_the_stand_lives_on(page):
    async def all_at_once():
        asked = (page.posted("/api/work", {**TWO_BARS, "seed": seed}) for seed in range(200))
        return await asyncio.gather(*asked)

    before = threading.active_count()
    answers = asyncio.run(all_at_once())
    count = Counter(answer.status_code for answer in answers)
    assert set(count) == {200, 503}
    assert count[200] >= 10
    busy = [answer for answer in answers if answer.status_code == 503]
    assert all(refused(answer, 503) and int(answer.headers["retry-after"]) for answer in busy)
    assert page.work(**TWO_BARS, seed=999)["bars"]
    assert threading.active_count() <= before + 60


def test_the_same_two_hundred_times_at_once_is_made_once(page):
    async def all_at_once():
        return await asyncio.gather(*(page.posted("/api/work", TWO_BARS) for _ in range(200)))

    answers = asyncio.run(all_at_once())
    assert {answer.status_code for answer in answers} == {200}
    assert len({answer.text for answer in answers}) == 1


def test_a_mistake_of_the_stands_own_is_told_to_both_sides(page, monkeypatch, caplog):
    def broken(*_):
        raise ZeroDivisionError("of its own")

    monkeypatch.setattr("chartkit.stand.workshop.work_of", broken)
    assert refused(page.post("/api/work", {**TWO_BARS, "seed": 77}), 500)
    assert "ZeroDivisionError: of its own" in caplog.text
    monkeypatch.undo()
    assert page.get("/api/tunes").status_code == 200


def test_requests_are_json_of_their_own(page):
    assert json.loads(page.post("/api/work", TWO_BARS).text)["request"] == TWO_BARS
