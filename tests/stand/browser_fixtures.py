"""The stand in a real browser: a server with quick sounds, one Chromium for all, pages to look at.

The server is the stand's own in every respect but two: parts are plain tones instead of a
synthesiser's, so that nothing waits for them, and its items and log stand in the test's memory.
"""

from __future__ import annotations

import hashlib
import io
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from shutil import which
from typing import Any

import numpy as np
import pytest
import uvicorn

from chartkit.output.audio import RATE
from chartkit.output.events import piece
from chartkit.stand.programme import Programme
from chartkit.stand.server import Desk, application
from chartkit.stand.serving import listening
from chartkit.stand.shelf import Shelf
from chartkit.stand.sound import Stems
from chartkit.stand.store import Store
from chartkit.stand.work import Work
from chartkit.stand.workshop import Workshop

CHROMIUM = which("chromium")
"""Debian's; playwright brings only the driver."""

DESKTOP = {"width": 1280, "height": 800}

PATIENCE = 30
"""Seconds for which a test waits for the page, on a machine that has other work too."""

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
]

PEGS = """\
Title: Pegs on a <b>Line</b>
Composer: <img src=x onerror=alert(1)>
Key: F major
Feel: swing
Tempo: 300

[A]
| Gm7 | C7 | Fmaj7 | D7 |
| Gm7 | C7 | Fmaj7 | Fmaj7 |

[B]
| Am7 | D7 | Gm7 | C7 |
"""
"""A chart of our own, fast, so that bars are short; its title and composer try to be markup."""

LONG = """\
Title: Forty Buttons
Key: Bb major
Feel: swing
Tempo: 300

""" + "".join(f"[{label}]\n" + "| Cm7 | F7 | Bbmaj7 | G7 |\n" * 4 + "\n" for label in "ABCDE")
"""A chart that does not fit on one screen."""


class Tones(Workshop):
    """A workshop whose parts are tones, one pitch a part."""

    def sound(self, work: Work) -> Stems:
        music = piece(work.performance, RATE)
        parts = [track.part for track in work.performance.tracks]
        name = hashlib.sha256(repr(work.performance).encode()).hexdigest()[:32]
        known = self._store.get(name)
        if known is None:
            stems = tuple((part, _tone(music.frames, 110 * 2**n)) for n, part in enumerate(parts))
            known = Stems(name, music.frames, 0.1 * len(parts), stems)
            self._store.put(known)
        return known


class Items(Programme):
    """Items and a log in memory."""

    def __init__(self, shelf: Shelf, requests: list[Mapping[str, Any]]) -> None:
        super().__init__(shelf, requests)
        self.noted: list[Mapping[str, Any]] = []

    def told(self) -> dict[str, Any]:
        told = super().told()
        items = [
            {**item, "key": f"item {n}", "seconds": 60, "why": "A reason.", "title": title}
            for n, (item, title) in enumerate(
                zip(told["items"], ["Section A", "All", "Line"], strict=True)
            )
        ]
        return {**told, "items": items}

    def note(self, entry: Mapping[str, Any]) -> None:
        self.noted.append(entry)


class Stand:
    """A stand's address and what its log was told."""

    def __init__(self, address: str, programme: Items, desk: Desk) -> None:
        self.address = address
        self.programme = programme
        self.desk = desk


def _tone(frames: int, hertz: float) -> bytes:
    import soundfile

    times = np.arange(frames) / RATE
    wave = 0.1 * np.sin(2 * np.pi * hertz * times)
    file = io.BytesIO()
    soundfile.write(file, np.column_stack([wave, wave]), RATE, format="WAV", subtype="PCM_16")
    return file.getvalue()


def _requests(shelf: Shelf) -> list[Mapping[str, Any]]:
    tune = next(place.id for place in shelf.places if "pegs" in place.id)
    line = {"kind": "connected", "position": 5}
    return [
        {"tune": tune, "sections": ["A"], "tempo": 360},
        {"tune": tune, "tempo": 360},
        {"tune": tune, "sections": ["A"], "tempo": 360, "exercise": line},
    ]


@contextmanager
def _serving(desk: Desk) -> Iterator[str]:
    listener = listening(0)
    port = listener.getsockname()[1]
    app = application(desk, port, "a token for tests")
    server = uvicorn.Server(uvicorn.Config(app, log_level="critical", ws="none"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{port}/"
    server.should_exit = True
    thread.join(5)
    listener.close()


@pytest.fixture(scope="module")
def stand(tmp_path_factory) -> Iterator[Stand]:
    folder = tmp_path_factory.mktemp("charts")
    charts = [folder / "pegs.chart", folder / "forty-buttons.chart"]
    for path, text in zip(charts, (PEGS, LONG), strict=True):
        path.write_text(text, encoding="utf-8")
    shelf, store = Shelf(charts), Store(None)
    programme = Items(shelf, _requests(shelf))
    desk = Desk(shelf, store, Tones(shelf, store, programme.work), programme)
    with _serving(desk) as address:
        yield Stand(address, programme, desk)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    if CHROMIUM is None:
        pytest.skip("Chromium is not installed: apt install chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield chromium
        chromium.close()


class Page:
    """A browser's page, and everything that went wrong in it."""

    def __init__(self, page: Any) -> None:
        self.raw = page
        self.faults: list[str] = []
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on("console", self._heard)
        page.on("dialog", lambda dialog: self.faults.append(f"dialog {dialog.message}"))

    def _heard(self, message: Any) -> None:
        if message.type == "error":
            self.faults.append(message.text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.raw, name)

    def until(self, expression: str, seconds: float = PATIENCE) -> None:
        """Wait until something is so in the page."""
        end = time.monotonic() + seconds
        while not self.raw.evaluate(f"Boolean({expression})"):
            assert time.monotonic() < end, f"still not so after {seconds} s: {expression}"
            self.raw.wait_for_timeout(20)

    def fit(self, width: int, height: int) -> None:
        """Take another size of screen, and wait until the page fits it."""
        self.raw.set_viewport_size({"width": width, "height": height})
        self.raw.wait_for_timeout(50)
        room = "`${stand.score.host.clientWidth} ${stand.score.host.clientHeight}`"
        self.until(f"innerWidth === {width} && stand.score.space === {room}")

    def see(self, expression: str) -> Any:
        return self.raw.evaluate(expression)

    def shows(self, selector: str, words: str) -> None:
        """Wait until an element's text is this."""
        found = f"document.querySelector({selector!r}).innerText.trim()"
        self.until(f"{found} === {words!r}")

    def text(self, selector: str) -> str:
        return str(self.raw.locator(selector).inner_text())


@pytest.fixture
def new_page(browser) -> Iterator[Any]:
    """Make pages; in the end nothing may have gone wrong in any of them."""
    contexts, pages = [], []

    def made(**options: Any) -> Page:
        context = browser.new_context(**{"viewport": DESKTOP, **options})
        contexts.append(context)
        pages.append(Page(context.new_page()))
        return pages[-1]

    yield made
    faults = [fault for page in pages for fault in page.faults]
    for context in contexts:
        context.close()
    assert not faults, faults


@pytest.fixture(scope="module")
def desktop(browser) -> Iterator[Page]:
    """One window for many tests, each of which loads the stand anew in it."""
    context = browser.new_context(viewport=DESKTOP)
    yield Page(context.new_page())
    context.close()


@pytest.fixture
def listed(desktop, stand) -> Iterator[Page]:
    """Give the page as it opens: the list of items; in the end nothing may have gone wrong."""
    desktop.faults.clear()
    desktop.goto(stand.address)
    desktop.see("stand.loaded")
    desktop.wait_for_selector("#items li")
    yield desktop
    desktop.unroute_all()
    if desktop.url.startswith(stand.address):
        desktop.see("localStorage.clear()")
    desktop.goto("about:blank")
    desktop.set_viewport_size(DESKTOP)
    assert not desktop.faults, desktop.faults


@pytest.fixture
def opened(listed) -> Page:
    """Return the page with the first item on the stand, its sound ready."""
    listed.click("#items button >> nth=0")
    listed.until("stand.music.ready")
    return listed


@pytest.fixture
def playing(opened) -> Page:
    """Return the page while its first item sounds, count-in over."""
    opened.keyboard.press(" ")
    opened.until("stand.music.place >= 0")
    return opened
