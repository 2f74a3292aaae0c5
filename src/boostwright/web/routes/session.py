"""What a page asks first: which program, which build is open, and the units values can be shown in."""

from __future__ import annotations

from fastapi import APIRouter, Request
from pydantic import BaseModel
from starlette.responses import Response

from boostwright import __version__
from boostwright.web.answers import answer
from boostwright.web.models import FAULTS, BuildName

__all__ = ["Mode", "Session", "router", "session"]

router = APIRouter(prefix="/api", tags=["session"], responses=FAULTS)

_MODES = {
    "gate-shut": "gate held shut",
    "spring": "spring alone",
    "target": "boost target held",
    "gate-open": "gate fully open: the lowest boost the system can hold",
    "no-turbo": "turbo taken out",
}


class Mode(BaseModel):
    """How boost is controlled in a prediction."""

    name: str
    words: str


class Session(BaseModel):
    """What serves the page.

    build      name of the open build, null for none
    compiling  true when the solver must be compiled before the first answer, which takes a minute or two
    """

    version: str
    build: str | None
    modes: list[Mode]
    compiling: bool


@router.get("/session", response_model=None, responses={200: {"model": Session}})
def session(request: Request, build: BuildName = None) -> Response:
    """Version of the program, the build that is open, the modes, and whether the solver must be compiled first."""
    desk = request.app.state.desk
    name = desk.opened if build is None else build
    modes = [{"name": mode, "words": words} for mode, words in _MODES.items()]
    return answer({"version": __version__, "build": name, "modes": modes, "compiling": desk.compiling})
