"""Running the server on this machine alone, until it is interrupted."""

from __future__ import annotations

import errno
import secrets
import socket
from collections.abc import Callable
from typing import Final

import uvicorn

from chartkit.errors import OutputError
from chartkit.stand.guard import LOOPBACK
from chartkit.stand.server import Desk, application

HOST: Final = LOOPBACK[0]
PORT: Final = 8460
"""Where the first stand is; another one takes the next that is free."""

TRIED: Final = 20
"""Ports."""

AT_ONCE: Final = 400
"""Connections; beyond them the answer is 503."""

LAST_SECONDS: Final = 1
"""Seconds that answers under way have when the server is to stop."""


def listening(port: int | None) -> socket.socket:
    """Return a socket that only this machine can reach.

    Parameters
    ----------
    port : int or None
        None for the first free one from `PORT` on.

    Raises
    ------
    OutputError
        The port is taken, or may not be used; or none of those tried is free.
    """
    if port is not None:
        return _bound(port)
    for number in range(PORT, PORT + TRIED):
        try:
            return _bound(number)
        except OutputError:
            continue
    raise OutputError(f"the ports {PORT}-{PORT + TRIED - 1} are taken: choose one with --port")


def serve(desk: Desk, listener: socket.socket, ready: Callable[[str], None]) -> None:
    """Serve until Ctrl-C, and close cleanly.

    Parameters
    ----------
    desk : Desk
    listener : socket
    ready : callable
        Called with the page's address once it can be opened.

    Raises
    ------
    KeyboardInterrupt
        It was interrupted, and has closed.
    """
    port = listener.getsockname()[1]
    app = application(desk, port, secrets.token_urlsafe(32))
    server = _Server(
        uvicorn.Config(
            app,
            log_level="critical",
            access_log=False,
            server_header=False,
            limit_concurrency=AT_ONCE,
            timeout_graceful_shutdown=LAST_SECONDS,
            ws="none",
            h11_max_incomplete_event_size=16 * 1024,
        ),
        lambda: ready(f"http://{HOST}:{port}/"),
    )
    server.run(sockets=[listener])


class _Server(uvicorn.Server):
    """A server that tells when it can be reached."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then tell."""
        await super().startup(sockets)
        self._ready()


def _bound(port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listener.bind((HOST, port))
        listener.listen(128)
    except OSError as error:
        listener.close()
        if error.errno == errno.EADDRINUSE:
            raise OutputError(f"port {port} is taken: choose another with --port") from error
        raise OutputError(f"port {port} cannot be used: {error.strerror}") from error
    listener.set_inheritable(False)
    return listener
