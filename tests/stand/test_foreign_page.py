"""A page of another site in a real browser, which tries all that such a page can.

Chromium, headless. What it may not do is the browser's and the server's business together: the same
origin policy, Fetch Metadata, CORP and `frame-ancestors`.
"""

import http.server
import threading
from pathlib import Path

import pytest
import uvicorn

from chartkit.stand.server import application
from chartkit.stand.serving import listening

CHROMIUM = Path("/usr/bin/chromium")
TOKEN = "a token of this test"  # noqa: S105 (of no server)

ATTACK = """
async (stand) => {
  const seen = {};
  const tried = async (name, work) => {
    try { seen[name] = await work(); } catch (error) { seen[name] = "refused"; }
  };
  const loaded = (tag, address) => new Promise((done) => {
    const element = document.createElement(tag);
    element.onload = element.onloadeddata = () => done("loaded");
    element.onerror = () => done("refused");
    element[tag === "link" ? "href" : "src"] = stand + address;
    if (tag === "link") element.rel = "stylesheet";
    document.body.append(element);
    setTimeout(() => done("nothing"), 1500);
  });
  const json = { "content-type": "application/json", "x-stand-token": "guessed" };
  const entry = '{"request": {"tune": "own-1-tune"}, "result": "clean"}';
  await tried("read", async () => (await fetch(stand + "api/today")).text());
  await tried("page", async () => (await fetch(stand)).text());
  await tried("blind", async () => (await fetch(stand + "api/today", { mode: "no-cors" })).text());
  await tried("write", async () =>
    (await fetch(stand + "api/log", { method: "POST", headers: json, body: entry })).text());
  await tried("write blind", async () =>
    (await fetch(stand + "api/log", { method: "POST", mode: "no-cors", body: entry })).text());
  await tried("script", () => loaded("script", "main.js"));
  await tried("style", () => loaded("link", "stand.css"));
  await tried("sound", () => loaded("audio", "sound/" + "0".repeat(32) + "/bass.wav"));
  await tried("frame", async () => {
    const frame = document.createElement("iframe");
    frame.src = stand;
    document.body.append(frame);
    await new Promise((done) => setTimeout(done, 500));
    return frame.contentDocument === null ? "closed" : frame.contentDocument.body.innerText;
  });
  const form = document.createElement("form");
  Object.assign(form, { method: "post", action: stand + "api/log", enctype: "text/plain" });
  form.append(Object.assign(document.createElement("input"), { name: entry, value: "" }));
  const inside = document.createElement("iframe");
  inside.name = form.target = "inside";
  document.body.append(inside, form);
  form.submit();
  await new Promise((done) => setTimeout(done, 500));
  return seen;
}
"""


class Elsewhere(http.server.BaseHTTPRequestHandler):
    """Another site on another port: one empty page."""

    def do_GET(self):
        self.send_response(200)
        self.send_header("content-type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>x</title><body></body>")

    def log_message(self, *_):
        """Say nothing."""


@pytest.fixture
def elsewhere():
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Elsewhere)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    thread.join(5)
    server.server_close()


@pytest.fixture
def served(desk, monkeypatch):
    """The stand's address, and what was noted in its log."""
    noted = []
    monkeypatch.setattr(type(desk.programme), "note", lambda _self, entry: noted.append(entry))
    listener = listening(0)
    port = listener.getsockname()[1]
    config = uvicorn.Config(application(desk, port, TOKEN), log_level="critical", ws="none")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{port}/", noted
    server.should_exit = True
    thread.join(10)
    listener.close()


@pytest.mark.skipif(not CHROMIUM.exists(), reason="Chromium is not installed")
def test_a_page_of_another_site_reads_nothing_and_writes_nothing(served, elsewhere):
    from playwright.sync_api import sync_playwright

    stand, noted = served
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        page = browser.new_page()
        answers = []
        page.on("response", lambda one: answers.append((one.url, one.status)))
        page.goto(elsewhere)
        seen = page.evaluate(ATTACK, stand)
        own = browser.new_page()
        own.goto(stand)
        allowed = own.evaluate(
            "async (token) => (await fetch('api/log', { method: 'POST', body: '{}', headers: "
            "{ 'content-type': 'application/json', 'x-stand-token': token } })).status",
            TOKEN,
        )
        browser.close()
    statuses = [status for url, status in answers if url.startswith(stand)]
    assert statuses
    assert set(statuses) <= {403}
    assert seen.pop("frame") == "closed"
    assert seen.pop("blind") in ("refused", "")
    assert seen.pop("write blind") in ("refused", "")
    assert set(seen.values()) <= {"refused", "nothing"}, seen
    assert allowed == 200
    assert noted == [{}]  # what the stand's own page has sent
