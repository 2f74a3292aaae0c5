"""The application: routes, the page's files, and errors as faults, behind the guard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fastapi import FastAPI

from boostwright import __version__
from boostwright.web.desk import Desk
from boostwright.web.guard import Guard
from boostwright.web.refusals import add_refusals
from boostwright.web.routes import ROUTERS
from boostwright.web.static_files import page_file

__all__ = ["OPENAPI_PATH", "Application", "create_app", "make_api"]

OPENAPI_PATH = "/api/openapi.json"
_DESCRIPTION = (
    "What the page in the browser asks of the program, and what it gets. SI units, each named. A request that "
    "cannot be answered gets faults: what is wrong, where, what is allowed, what would mend it."
)

Application = Any
"""Anything that answers as an ASGI application."""


def make_api(desk: Desk) -> FastAPI:
    """The routes without the guard, for the description of the interface and for tests."""
    api = FastAPI(
        title="boostwright",
        version=__version__,
        description=_DESCRIPTION,
        docs_url=None,
        redoc_url=None,
        openapi_url=OPENAPI_PATH,
        redirect_slashes=False,
    )
    api.state.desk = desk
    for router in ROUTERS:
        api.include_router(router)
    api.add_route("/", page_file, methods=["GET", "HEAD"], include_in_schema=False)
    api.add_route("/{name}", page_file, methods=["GET", "HEAD"], include_in_schema=False)
    add_refusals(api)
    return api


def create_app(root: Path, build: str | None, token: str, port: int) -> Application:
    """The whole application.

    root   folder below which builds are looked for; nothing outside it is read or written but the shipped library
    build  name of the build that is open at first: its folder from ``root``; None opens none
    token  secret that every call of the interface must carry
    port   port of the loopback that it is served on, which the names of host and origin must carry
    """
    return Guard(make_api(Desk(root, build)), token, port)
