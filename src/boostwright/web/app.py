"""The application: the page's files at once, the interface as soon as it is loaded, errors as faults, behind the guard.

Most of a start goes by in importing what the interface is made with. The page does not wait for that: its files are
served first, and a call of the interface that comes early waits until it is there.
"""

from __future__ import annotations

import asyncio
import functools
import json
import threading
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from boostwright import __version__
from boostwright.web.desk import Desk
from boostwright.web.guard import Guard
from boostwright.web.routes import LATER
from boostwright.web.static_files import page_file

if TYPE_CHECKING:
    from fastapi import APIRouter, FastAPI

__all__ = [
    "OPENAPI_PATH",
    "Application",
    "Interface",
    "create_app",
    "described",
    "described_text",
    "make_api",
]

OPENAPI_PATH = "/api/openapi.json"
_DESCRIPTION = (
    "What the page in the browser asks of the program, and what it gets. SI units, each named. A request that "
    "cannot be answered gets faults: what is wrong, where, what is allowed, what would mend it."
)

Application = Any
"""Anything that answers as an ASGI application."""


def make_api(desk: Desk, routers: Sequence[APIRouter] | None = None) -> FastAPI:
    """Routes without the guard; all there are, unless some are named."""
    from boostwright.web.refusals import add_refusals

    api = _empty()
    api.state.desk = desk
    for router in _all_routers() if routers is None else routers:
        api.include_router(router)
    api.openapi = described  # type: ignore[method-assign]
    add_refusals(api)
    return api


def _first_routers() -> Sequence[APIRouter]:
    from boostwright.web.routes.first import ROUTERS

    return ROUTERS


def _later_routers() -> Sequence[APIRouter]:
    from boostwright.web.routes.later import ROUTERS

    return ROUTERS


def _all_routers() -> Sequence[APIRouter]:
    return (*_first_routers(), *_later_routers())


def _empty() -> FastAPI:
    from fastapi import FastAPI

    return FastAPI(
        title="boostwright",
        version=__version__,
        description=_DESCRIPTION,
        docs_url=None,
        redoc_url=None,
        openapi_url=OPENAPI_PATH,
        redirect_slashes=False,
    )


@functools.cache
def described() -> dict[str, Any]:
    """The description of the interface as OpenAPI has it.

    The shapes of answers, ``answer`` among the responses of each route, are worked into it here and nowhere else: to
    make validators of them when the server starts would take longer than all the rest, and nobody uses them.
    """
    from fastapi.routing import APIRoute

    api = _empty()
    for route in (
        route for router in _all_routers() for route in router.routes if isinstance(route, APIRoute)
    ):
        responses = {}
        for code, response in route.responses.items():
            rest = {name: value for name, value in response.items() if name != "answer"}
            responses[code] = rest | ({"model": response["answer"]} if "answer" in response else {})
        api.add_api_route(
            route.path,
            route.endpoint,
            methods=sorted(route.methods or ()),
            tags=route.tags,
            include_in_schema=route.include_in_schema,
            status_code=route.status_code,
            response_model=None,
            responses=responses,
            response_class=route.response_class,
        )
    return api.openapi()


def described_text() -> str:
    """The description as the file in the docs, docs/reference/openapi.json."""
    return json.dumps(described(), indent=1, ensure_ascii=False) + "\n"


class Interface:
    """The routes as an ASGI application, in two parts: what a page needs to show itself, and the rest.

    Each part is made when it is first needed, or when ``load`` is called.
    """

    def __init__(self, desk: Desk) -> None:
        """Nothing is imported yet."""
        self.desk = desk
        self._locks = (threading.Lock(), threading.Lock())
        self._parts: list[FastAPI | None] = [None, None]
        self._waiting = 0

    def load(self, later: bool = False) -> FastAPI:
        """The routes of a part; a second call gives the same."""
        with self._locks[later]:
            part = self._parts[later]
            if part is None:
                part = self._parts[later] = make_api(
                    self.desk, _later_routers() if later else _first_routers()
                )
            return part

    def let_answer(self, longest: float) -> None:
        """Wait while calls are being answered; what imports meanwhile would hold them up. At most ``longest`` s."""
        end = time.monotonic() + longest
        while self._waiting and time.monotonic() < end:
            time.sleep(0.002)

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer, once the routes are there."""
        later = str(scope.get("path", "")).startswith(LATER)
        self._waiting += 1
        try:
            part = self._parts[later]
            if part is None:
                part = await asyncio.to_thread(self.load, later)
            await part(scope, receive, send)
        finally:
            self._waiting -= 1


def create_app(root: Path, build: str | None, token: str, port: int) -> Application:
    """The whole application.

    root   folder below which builds are looked for; nothing outside it is read or written but the shipped library
    build  name of the build that is open at first: its folder from ``root``; None opens none
    token  secret that every call of the interface must carry
    port   port of the loopback that it is served on, which the names of host and origin must carry
    """
    return Guard(Interface(Desk(root, build)), page_file, token, port)
