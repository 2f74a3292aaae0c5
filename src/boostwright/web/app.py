"""The application: the page's files at once, the interface as soon as it is loaded, errors as faults, behind the guard.

Most of a start goes by in importing what the interface is made with. The page does not wait for that: its files are
served first, and a call of the interface that comes early waits until it is there.
"""

from __future__ import annotations

import asyncio
import functools
import json
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any

from boostwright import __version__
from boostwright.web.desk import Desk
from boostwright.web.guard import Guard
from boostwright.web.static_files import page_file

if TYPE_CHECKING:
    from fastapi import FastAPI

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


def make_api(desk: Desk) -> FastAPI:
    """The routes without the guard, for the description of the interface and for tests."""
    from boostwright.web.refusals import add_refusals
    from boostwright.web.routes import ROUTERS

    api = _empty()
    api.state.desk = desk
    for router in ROUTERS:
        api.include_router(router)
    api.openapi = described  # type: ignore[method-assign]
    add_refusals(api)
    return api


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

    from boostwright.web.routes import ROUTERS

    api = _empty()
    for route in (route for router in ROUTERS for route in router.routes if isinstance(route, APIRoute)):
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
    """The routes as an ASGI application that is made when it is first needed, or when ``load`` is called."""

    def __init__(self, desk: Desk) -> None:
        """Nothing is imported yet."""
        self.desk = desk
        self._lock = threading.Lock()
        self._api: FastAPI | None = None

    def load(self) -> FastAPI:
        """The routes; a second call gives the same."""
        with self._lock:
            if self._api is None:
                self._api = make_api(self.desk)
            return self._api

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer, once the routes are there."""
        api = self._api
        if api is None:
            api = await asyncio.to_thread(self.load)
        await api(scope, receive, send)


def create_app(root: Path, build: str | None, token: str, port: int) -> Application:
    """The whole application.

    root   folder below which builds are looked for; nothing outside it is read or written but the shipped library
    build  name of the build that is open at first: its folder from ``root``; None opens none
    token  secret that every call of the interface must carry
    port   port of the loopback that it is served on, which the names of host and origin must carry
    """
    return Guard(Interface(Desk(root, build)), page_file, token, port)
