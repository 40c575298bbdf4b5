"""A stand on a small tune, asked as its own page asks."""

import asyncio
import io
import json
from dataclasses import dataclass

import httpx
import numpy as np
import pytest
import soundfile

from chartkit.output.audio import RATE
from chartkit.output.events import piece
from chartkit.stand.programme import Programme
from chartkit.stand.server import Desk, application
from chartkit.stand.shelf import Shelf
from chartkit.stand.sound import Stems, sound_id
from chartkit.stand.store import Store
from chartkit.stand.workshop import Workshop

PORT = 8460
TOKEN = "a token of this test"  # noqa: S105 (of no server)

TUNE = """\
Title: Paper <b>Lanterns</b>
Key: F
Tempo: 160

[A]
| Gm7 | C7 | F6 | D7b9 |

[B]
| Cm7 | F7 | Bb6 | C7 |
"""


@dataclass(frozen=True)
class Page:
    """What the page can do: ask, and say what it wants as JSON."""

    app: object
    desk: Desk

    async def asked(self, method, address, body=b"", **headers):
        transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)
        async with httpx.AsyncClient(
            transport=transport, base_url=f"http://127.0.0.1:{PORT}", timeout=60
        ) as client:
            return await client.request(method, address, content=body, headers=headers)

    def get(self, address, **headers):
        return asyncio.run(self.asked("GET", address, **headers))

    def post(self, address, data, **headers):
        return asyncio.run(self.posted(address, data, **headers))

    async def posted(self, address, data, **headers):
        sent = {"content-type": "application/json", "x-stand-token": TOKEN, **headers}
        body = data if isinstance(data, bytes) else json.dumps(data).encode()
        return await self.asked("POST", address, body, **sent)

    def work(self, **request):
        answer = self.post("/api/work", {"tune": "own-1-tune", **request})
        assert answer.status_code == 200, answer.text
        return answer.json()


@pytest.fixture
def tune(tmp_path):
    path = tmp_path / "tune.chart"
    path.write_text(TUNE, encoding="utf-8")
    return path


@pytest.fixture
def desk(tune, tmp_path, monkeypatch):
    monkeypatch.setenv("CHARTKIT_HOME", str(tmp_path / "home"))
    shelf, store = Shelf([tune]), Store(tmp_path / "home" / "cache" / "sound")
    programme = Programme(shelf, [{"tune": "own-1-tune"}])
    workshop = Workshop(shelf, store, programme.work)
    yield Desk(shelf, store, workshop, programme)
    workshop.close()


@pytest.fixture
def silent(monkeypatch):
    """Let every work be silent, where only the making of many is looked at."""

    def made(performance, soundfont, a4):
        frames = piece(performance, RATE).frames
        file = io.BytesIO()
        soundfile.write(file, np.zeros((frames, 2), np.int16), RATE, format="WAV")
        return Stems(
            sound_id(performance, soundfont, a4), frames, 0.0, (("bass", file.getvalue()),)
        )

    monkeypatch.setattr("chartkit.stand.workshop.stems", made)


@pytest.fixture
def page(desk):
    return Page(application(desk, PORT, TOKEN), desk)
