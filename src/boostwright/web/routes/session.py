"""What a page asks first: which program, which build is open, and the units values can be shown in."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from boostwright import __version__
from boostwright.web.answers import answer
from boostwright.web.models import FAULTS, BuildName, Shape

__all__ = ["Mode", "Session", "UnitChoice", "router", "session", "units"]

router = APIRouter(prefix="/api", tags=["session"], responses=FAULTS)

_MODES = {
    "gate-shut": "gate held shut",
    "spring": "spring alone",
    "target": "boost target held",
    "gate-open": "gate fully open: the lowest boost the system can hold",
    "no-turbo": "turbo taken out",
}


class Mode(Shape):
    """How boost is controlled in a prediction."""

    name: str
    words: str


class Session(Shape):
    """What serves the page.

    build      name of the open build, null for none
    compiling  true when the solver must be compiled before the first answer, which takes a minute or two
    """

    version: str
    build: str | None
    modes: list[Mode]
    compiling: bool


class UnitChoice(Shape):
    """A unit: value_si = value * factor + offset."""

    unit: str
    factor: float
    offset: float


@router.get("/units", response_model=None, responses={200: {"answer": dict[str, list[UnitChoice]]}})
def units() -> Response:
    """Kind of quantity -> its units, the one that is shown first in front."""
    from boostwright.units import KINDS, PREFERRED, to_si, unit_names

    table = {}
    for kind in KINDS:
        names = sorted(unit_names(kind), key=lambda name, kind=kind: name != PREFERRED[kind])  # type: ignore[misc]
        table[kind] = [
            {
                "unit": name,
                "factor": to_si(1.0, kind, name) - to_si(0.0, kind, name),
                "offset": to_si(0.0, kind, name),
            }
            for name in names
        ]
    return answer(table)


@router.get("/session", response_model=None, responses={200: {"answer": Session}})
def session(request: Request, build: BuildName = None) -> Response:
    """Version of the program, the build that is open, the modes, and whether the solver must be compiled first."""
    desk = request.app.state.desk
    name = desk.name_of(build) or None
    modes = [{"name": mode, "words": words} for mode, words in _MODES.items()]
    return answer({"version": __version__, "build": name, "modes": modes, "compiling": desk.compiling})
