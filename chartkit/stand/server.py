"""The stand's server: the page, works, sounds, and the log.

`chartkit.stand.telling` says what passes between it and the page.

Requests that make music are made in a few threads (`chartkit.stand.workshop`); everything else is
answered at once. Nothing that comes from outside is a path: page files, sounds and tunes are found
by name among those that are there.
"""

from __future__ import annotations

import asyncio
import json
import logging
import re
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from typing import Any, Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from chartkit.errors import ChartkitError, RequestError
from chartkit.stand.asked import asked_of
from chartkit.stand.choices import choices
from chartkit.stand.faces import engraving_style
from chartkit.stand.guard import LARGEST_BODY, Guard, TooLarge, refusal
from chartkit.stand.programme import Programme
from chartkit.stand.shelf import Shelf
from chartkit.stand.store import Store
from chartkit.stand.workshop import Busy, Workshop

_LOGGER: Final = logging.getLogger(__name__)

PAGE: Final = "index.html"
ENGRAVING: Final = "engraving.css"
TOKEN: Final = "{token}"  # noqa: S105 (where it goes)

TYPES: Final = {"css": "text/css", "js": "text/javascript"}
"""What lies beside the page, by ending."""

KEPT: Final = {"cache-control": "private, max-age=31536000, immutable"}
"""Of a sound, whose address tells its content."""


@dataclass(frozen=True, slots=True)
class Desk:
    """All that the server answers from."""

    shelf: Shelf
    store: Store
    workshop: Workshop
    programme: Programme


def application(desk: Desk, port: int, token: str) -> Guard:
    """Return the application behind its checks.

    Parameters
    ----------
    desk : Desk
    port : int
        The one that the server is reached by.
    token : str
        See `chartkit.stand.guard`.
    """
    answers = _Answers(desk, token)
    routes = [
        Route("/", answers.page),
        Route("/api/today", answers.today),
        Route("/api/tunes", answers.tunes),
        Route("/api/work", answers.work, methods=["POST"]),
        Route("/api/log", answers.log, methods=["POST"]),
        Route("/sound/{name}/{part}.wav", answers.sound),
        Route("/{name}", answers.beside),
    ]
    faults: dict[Any, Callable[[Request, Any], Awaitable[Response]]] = {
        Busy: _busy,
        ChartkitError: _wrong,
        HTTPException: _elsewhere,
        TooLarge: _too_large,
        Exception: _unforeseen,
    }
    app = Starlette(routes=routes, exception_handlers=faults, lifespan=_lifespan(desk))
    return Guard(app, port, token)


class _Answers:
    """One answer an address."""

    def __init__(self, desk: Desk, token: str) -> None:
        self._desk = desk
        self._token = token

    async def page(self, _request: Request) -> Response:
        html = _page_file(PAGE)
        if html is None:
            raise HTTPException(404)
        return HTMLResponse(html.decode().replace(TOKEN, escape(self._token)))

    async def beside(self, request: Request) -> Response:
        """Return a module or a style sheet of the page."""
        name = request.path_params["name"]
        if name == ENGRAVING:
            return Response(engraving_style(), media_type="text/css")
        kind = TYPES.get(name.rpartition(".")[2])
        content = _page_file(name) if kind else None
        if content is None:
            raise HTTPException(404)
        return Response(content, media_type=kind)

    async def today(self, _request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(self._desk.programme.told))

    async def tunes(self, _request: Request) -> Response:
        tunes = await run_in_threadpool(self._desk.shelf.told)
        return JSONResponse({"tunes": tunes, "choices": choices()})

    async def work(self, request: Request) -> Response:
        data = await _sent(request)
        asked = asked_of(data)
        coming = await run_in_threadpool(self._desk.workshop.ask, asked, data)
        return JSONResponse(await asyncio.shield(asyncio.wrap_future(coming)))

    async def log(self, request: Request) -> Response:
        data = await _sent(request)
        await run_in_threadpool(self._desk.programme.note, data)
        return JSONResponse({"noted": True})

    async def sound(self, request: Request) -> Response:
        name, part = request.path_params["name"], request.path_params["part"]
        found = await run_in_threadpool(self._desk.store.part, name, part)
        if found is None:
            return refusal(404, "this sound is not kept any more: ask for the music again")
        return Response(found, media_type="audio/wav", headers=KEPT)


def _lifespan(desk: Desk) -> Callable[[Starlette], Any]:
    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        making = asyncio.get_running_loop().run_in_executor(None, make_first, desk)
        yield
        desk.workshop.close()
        await making

    return lifespan


def make_first(desk: Desk) -> None:
    """Have the first item made before it is asked for, and with it whatever is slow to load."""
    with suppress(ChartkitError):  # told to the player who asks for it
        for item in desk.programme.told()["items"][:1]:
            desk.workshop.ask(asked_of(item["request"]), item["request"])


def _page_file(name: str) -> bytes | None:
    """Return a file of the page by its plain name."""
    if not re.fullmatch(r"[a-z][a-z0-9-]*\.(html|css|js)", name):
        return None
    file = files("chartkit.stand") / "page" / name
    return file.read_bytes() if file.is_file() else None


async def _sent(request: Request) -> dict[str, Any]:
    """Return what was sent, read as JSON.

    Raises
    ------
    RequestError
        It is no JSON, or no object.
    """
    body = await request.body()
    try:
        data = json.loads(body, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise RequestError("what was sent is no JSON") from None
    if not isinstance(data, dict):
        raise RequestError("send a JSON object")
    return data


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number of JSON")


async def _busy(_request: Request, error: Busy) -> Response:
    return refusal(503, str(error), retry_after="2")


async def _wrong(_request: Request, error: ChartkitError) -> Response:
    return refusal(400 if isinstance(error, RequestError) else 422, str(error))


async def _elsewhere(_request: Request, error: HTTPException) -> Response:
    words = {404: "there is nothing at this address", 405: "this address is asked in another way"}
    return refusal(error.status_code, words.get(error.status_code, "that cannot be answered"))


async def _unforeseen(_request: Request, error: Exception) -> Response:
    """Tell the page that the fault is ours, and standard error what it is."""
    _LOGGER.error("an answer failed", exc_info=error)
    return refusal(500, "the stand has made a mistake: what it was stands where it was started")


async def _too_large(_request: Request, _error: TooLarge) -> Response:
    return refusal(413, f"a request has at most {LARGEST_BODY // 1024} kB", connection="close")
