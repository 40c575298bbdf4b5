"""Who may ask: pages that this server itself has sent to a browser on this machine.

Any site that is open in the same browser can send requests to a loopback address, and can have its
own name resolve to one. So a request must name this server in ``Host`` (which stops a foreign name
that resolves here), must not come from another origin, and what writes must carry the token that
only this server's own page has seen. Sources: RFC 9110 (Host), RFC 6454 (Origin), Fetch Metadata
(W3C), Content Security Policy Level 3 (W3C).
"""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any, Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

TOKEN_HEADER: Final = "x-stand-token"  # noqa: S105 (a name)
LARGEST_BODY: Final = 32 * 1024
"""Bytes that a request may carry."""

LARGEST_ADDRESS: Final = 2000

LOOPBACK: Final = ("127.0.0.1", "localhost", "[::1]")

DIRECTIVES: Final = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "font-src": "'self' data:",
    "connect-src": "'self'",
    "media-src": "'self' blob:",
    "base-uri": "'none'",
    "form-action": "'none'",
    "frame-ancestors": "'none'",
}
"""What the page may load and do; fonts lie inside their style sheet."""

POLICY: Final = "; ".join(f"{name} {allowed}" for name, allowed in DIRECTIVES.items())

HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
"""What every answer carries."""

_SAME: Final = ("same-origin", "none")


class Guard:
    """An application behind its checks.

    Parameters
    ----------
    app : callable
    port : int
        The one that the server is reached by.
    token : str
        What every request that writes has to carry.
    """

    def __init__(self, app: App, port: int, token: str) -> None:
        self._app = app
        self._token = token
        self._hosts = frozenset(_hosts(port))
        self._origins = frozenset(f"http://{host}" for host in self._hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or say why it is refused."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
                headers.setdefault("cache-control", "no-store")
            await send(message)

        refused = self._refused(scope)
        if refused:
            await refused(scope, receive, sending)
        else:
            await self._app(scope, _limited(receive), sending)

    def _refused(self, scope: Scope) -> JSONResponse | None:
        """Return the refusal of a request that may not be answered."""
        headers = Headers(scope=scope)
        if len(headers.getlist("host")) != 1 or headers["host"].lower() not in self._hosts:
            return refusal(421, "this stand answers only to its own address on this machine")
        if any(origin not in self._origins for origin in headers.getlist("origin")):
            return refusal(403, "another site may not ask this stand for anything")
        if headers.get("sec-fetch-site", "none") not in _SAME:
            return refusal(403, "another site may not ask this stand for anything")
        if len(scope.get("raw_path") or b"") + len(scope["query_string"]) > LARGEST_ADDRESS:
            return refusal(414, "that address is too long")
        if scope["method"] == "POST":
            return self._refused_post(headers)
        return None

    def _refused_post(self, headers: Headers) -> JSONResponse | None:
        sent = headers.get(TOKEN_HEADER, "")
        if not secrets.compare_digest(sent.encode(), self._token.encode()):
            return refusal(403, "the page is not this stand's own, or an old one: load it again")
        if headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
            return refusal(415, "send application/json")
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > LARGEST_BODY:
            return refusal(413, f"a request has at most {LARGEST_BODY // 1024} kB")
        return None


class TooLarge(Exception):  # noqa: N818 (told as a refusal)
    """A body goes on beyond what a request may carry."""


def refusal(status: int, sentence: str, **headers: str) -> JSONResponse:
    """Return a refusal: one sentence, as JSON."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return JSONResponse({"error": sentence}, status, named)


def _hosts(port: int) -> Iterable[str]:
    for name in LOOPBACK:
        yield f"{name}:{port}"
        if port == 80:  # noqa: PLR2004 (the port that an address need not name)
            yield name


def _limited(receive: Receive) -> Receive:
    """Return a `receive` that ends with `TooLarge` where a body is longer than it may be."""
    seen = 0

    async def receiving() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > LARGEST_BODY:
            raise TooLarge
        return message

    return receiving
