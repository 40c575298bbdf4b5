"""A real server in a process of its own, on this machine alone."""

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest

from chartkit.cli import run
from chartkit.errors import OutputError
from chartkit.stand.serving import HOST, PORT, listening

TUNE = "Title: Paper Lanterns\nKey: F\nTempo: 160\n[A]\n| Gm7 | C7 | F6 | D7b9 |\n"
REQUEST = {"tune": "own-1-tune", "bars": [1, 2], "countIn": 0}


class Running:
    """A stand, its address and its token."""

    def __init__(self, folder, *words):
        self.folder = folder
        self.process = subprocess.Popen(
            [sys.executable, "-m", "chartkit.cli", "stand", "--no-open", *words],
            cwd=folder,
            env={**os.environ, "CHARTKIT_HOME": str(folder / "home")},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.address = self.process.stdout.readline().strip()
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", self.address), self.process.stderr.read()
        self.client = httpx.Client(
            base_url=self.address, timeout=60, limits=httpx.Limits(max_connections=None)
        )
        page = self.client.get("/").text
        self.token = re.search(r'name="stand-token" content="([^"]+)"', page)[1]

    @property
    def port(self):
        return int(self.address.rsplit(":", 1)[1].rstrip("/"))

    def work(self, **more):
        return self.post(self.token, **more)

    def post(self, token, **more):
        headers = {"x-stand-token": token}
        return self.client.post("api/work", json={**REQUEST, **more}, headers=headers)

    def stop(self, how=signal.SIGINT):
        self.client.close()
        self.process.send_signal(how)
        _, err = self.process.communicate(timeout=20)
        return self.process.returncode, err


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    """Start stands, each in a folder of its own unless one is named; end those left."""
    stands = []

    def started(folder=None):
        folder = folder or tmp_path_factory.mktemp("stand")
        (folder / "tune.chart").write_text(TUNE, encoding="utf-8")
        stands.append(Running(folder, "tune.chart", "--port", "0"))  # one that nobody else takes
        return stands[-1]

    yield started
    for one in stands:
        one.client.close()
        if one.process.poll() is None:
            one.process.kill()
            one.process.communicate()


@pytest.fixture(scope="module")
def stand(running):
    """One stand for several tests."""
    return running()


def test_from_the_page_to_the_sound_and_a_clean_end(running):
    stand = running()
    work = stand.work().json()
    sound = stand.client.get(work["sound"]["parts"][0]["href"])
    assert sound.content[:4] == b"RIFF"
    assert stand.stop() == (0, "the stand is open until Ctrl-C\nthe stand is closed\n")
    with pytest.raises(OSError, match="refused"):
        socket.create_connection((HOST, stand.port), timeout=2).close()


@pytest.mark.skipif(not Path("/proc/net/tcp").exists(), reason="Linux alone tells so")
def test_it_is_not_reached_from_elsewhere(stand):
    others = {
        one[4][0]
        for one in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        if not one[4][0].startswith("127.")
    }
    for address in others:
        with pytest.raises(OSError):  # noqa: PT011 (refused or unreachable, as the system says)
            socket.create_connection((address, stand.port), timeout=2).close()
    table = Path("/proc/net/tcp").read_text(encoding="ascii")  # Linux
    listening_at = re.findall(rf"([0-9A-F]{{8}}):{stand.port:04X} 00000000:0000 0A", table)
    assert listening_at == ["0100007F"]


def test_two_stands_at_once_have_a_port_and_a_token_each(
    running, stand, tmp_path, monkeypatch, capsys
):
    one, other = stand, running(stand.folder)
    assert one.port != other.port
    assert one.token != other.token
    assert one.work().json()["sound"] == other.work().json()["sound"]
    assert other.post(one.token).status_code == 403
    monkeypatch.setenv("CHARTKIT_HOME", str(tmp_path))
    assert run(["stand", "slow-oven", "--no-open", "--port", str(one.port)]) == 1
    assert (
        capsys.readouterr().err
        == f"chartkit: port {one.port} is taken: choose another with --port\n"
    )


def test_two_hundred_connections_at_once_and_it_lives_on(stand):
    with ThreadPoolExecutor(200) as pool:
        answers = list(pool.map(lambda seed: stand.work(seed=seed), range(200)))
    count = Counter(answer.status_code for answer in answers)
    assert set(count) <= {200, 503}
    assert count[200] >= 10
    assert stand.work(seed=1).status_code == 200
    assert not list(stand.folder.rglob(".new-*"))


def test_it_ends_in_the_middle_of_work(running):
    stand = running()
    asking = threading.Thread(target=lambda: _quietly(stand), daemon=True)
    asking.start()
    time.sleep(0.3)
    started = time.monotonic()
    code, err = stand.stop(signal.SIGTERM)
    assert time.monotonic() - started < 15
    assert code == 0
    assert "Traceback" not in err


def _quietly(stand):
    with contextlib.suppress(httpx.HTTPError, RuntimeError):  # the stand, or the client, is closed
        stand.work(bars=None, times=8)


def test_half_a_request_and_nonsense_do_no_harm(stand):
    nonsense = (b"\x16\x03\x01\x02", b"GET / HTTP/1.1\r\n" + b"x" * 100_000, b"\r\n\r\n", b"POST")
    held = []
    for data in nonsense:
        connection = socket.create_connection((HOST, stand.port), timeout=5)
        connection.sendall(data)
        held.append(connection)
    assert stand.work().status_code == 200
    for connection in held:
        connection.close()
    assert stand.work(seed=2).status_code == 200


def test_a_port_that_is_taken_is_passed_over():
    with socket.socket() as other:
        try:
            other.bind((HOST, PORT))
            other.listen()
        except OSError:
            pass  # somebody's stand is open: it is passed over just as well
        with listening(None) as found:
            assert found.getsockname()[0] == HOST
            assert PORT < found.getsockname()[1] < PORT + 20
    with listening(0) as first, pytest.raises(OutputError, match="taken"):
        listening(first.getsockname()[1])
