"""The server itself: a socket on the loopback, one link with a secret in it, and a warm solver as soon as may be."""

from __future__ import annotations

import contextlib
import gc
import os
import secrets
import socket
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import uvicorn

from boostwright.errors import BoostwrightError, BuildError, Fault
from boostwright.web.app import Interface, create_app

__all__ = ["ADDRESS", "FIRST_PORTS", "LOOPBACK", "Served", "serve"]

LOOPBACK = "127.0.0.1"
ADDRESS = "http://127.0.0.1"
FIRST_PORTS = range(47321, 47341)
"""Tried first: a browser keeps what a page remembers by its port, so the same one had better come back."""

_MOST_AT_ONCE = 64
_TURN = 0.001  # seconds
_EARLY = 0.05  # s that loading waits for calls that are under way
_DRAWING = 0.2  # s in which the browser draws the first answer
_LONGEST_HEAD = 32_768  # bytes of a request's line and headers


class Served:
    """A server that is about to run.

    link  what to open in the browser: the address with the secret behind the #, which is never sent on
    """

    def __init__(self, root: Path, build: str | None, port: int = 0, token: str | None = None) -> None:
        """Take a port of the loopback, 0 for a free one; raises BuildError when it cannot be had."""
        self.socket = _bound(port)
        self.port = int(self.socket.getsockname()[1])
        self.token = secrets.token_urlsafe(32) if token is None else token
        self.app = create_app(root, build, self.token, self.port)
        self.link = f"{ADDRESS}:{self.port}/#token={self.token}"

    def run(self, on_ready: Callable[[str], None]) -> None:
        """Serve until interrupted; ``on_ready`` gets the link once requests are answered."""
        config = uvicorn.Config(
            self.app,
            loop="asyncio",
            http="h11",
            ws="none",
            lifespan="off",
            log_config=None,
            access_log=False,
            server_header=False,
            date_header=False,
            proxy_headers=False,
            limit_concurrency=_MOST_AT_ONCE,
            h11_max_incomplete_event_size=_LONGEST_HEAD,
            timeout_graceful_shutdown=2,
        )
        with contextlib.suppress(KeyboardInterrupt):
            _Announcing(config, lambda: self._ready(on_ready)).run(sockets=[self.socket])

    def _ready(self, on_ready: Callable[[str], None]) -> None:
        on_ready(self.link)
        sys.setswitchinterval(_TURN)  # an answer that takes 5 ms must not wait 5 ms for its turn
        threading.Thread(target=_warm, args=(self.app.inner,), daemon=True, name="warm-up").start()


class _Announcing(uvicorn.Server):
    """A server that says when it answers."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._announce = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """As its parent, and then the word."""
        await super().startup(sockets)
        if self.started:
            self._announce()


def serve(root: Path, build: str | None, port: int, on_ready: Callable[[str], None]) -> None:
    """Serve builds below a folder until interrupted; see ``Served``."""
    Served(root, build, port).run(on_ready)


def _bound(port: int) -> socket.socket:
    """A listening socket on the loopback."""
    wanted = (port,) if port else (*FIRST_PORTS, 0)
    reason = ""
    for number in wanted:
        made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if (
            os.name == "posix"
        ):  # a port of a server that has just gone; elsewhere this would share a port with another
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((LOOPBACK, number))
            made.listen(128)
            return made
        except OSError as error:
            made.close()
            reason = error.strerror or str(error)
    remedy = "Leave --port out to take a free one."
    raise BuildError([Fault("--port", "", str(port), f"cannot be used ({reason}).", "1024 to 65535", remedy)])


def _warm(interface: Interface) -> None:
    """Load the interface and the solver, and solve the open build once, before the first question comes."""
    interface.load()
    interface.let_answer(_EARLY)
    with contextlib.suppress(BoostwrightError, OSError, KeyError):
        interface.desk.warm()
    interface.let_answer(_EARLY)
    time.sleep(_DRAWING)
    interface.load(later=True)
    with contextlib.suppress(BoostwrightError, OSError, KeyError):
        interface.desk.prime()
    # the command line switches the collector off, as its commands live for a second; this one stays, and what it has
    # loaded by now stays, too
    gc.freeze()
    gc.enable()
