"""Reading pictures of maps and curves: readings of a build, their pictures, lines followed, fits, cards."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from pydantic import Field
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from boostwright.web.answers import answer
from boostwright.web.models import FAULTS, BuildName, Faults, Shape, Strict

__all__ = [
    "CardMade",
    "Followed",
    "Kept",
    "ReadingEntry",
    "Readings",
    "Stamp",
    "WantedCard",
    "WantedFit",
    "WantedKeep",
    "WantedTrace",
    "axes",
    "begin",
    "card",
    "facts",
    "fit",
    "keep",
    "picture",
    "put_away",
    "read",
    "readings",
    "router",
    "trace",
]

router = APIRouter(prefix="/api/digitise", tags=["digitise"], responses=FAULTS)

Name = Annotated[str, Path(min_length=1, max_length=63, description="Name of the reading.")]
Place = Annotated[
    tuple[float, float], Field(description="[x, y] in pixels from the picture's upper left corner.")
]
Record = Annotated[
    dict[str, Any],
    Field(description="The record of a reading, as GET of it gives; see docs/howto/digitise.md."),
]


class WantedFit(Strict):
    """A reading to work out."""

    reading: Record


class WantedKeep(Strict):
    """A reading to keep."""

    reading: Record
    stamp: Annotated[
        str | None, Field(max_length=64, description="What it was when opened; null writes it in any case.")
    ] = None


class WantedTrace(Strict):
    """A line to follow."""

    start: Place
    stop: Place | None = None


class WantedCard(Strict):
    """A reading to make into a card."""

    reading: Record
    over: Annotated[bool, Field(description="Whether a card of that name may be replaced.")] = False


class ReadingEntry(Shape):
    """A reading there is."""

    name: str
    what: str
    saved: str
    fault: str


class Readings(Shape):
    """The readings of a build."""

    readings: list[ReadingEntry]


class Kept(Shape):
    """A reading as it is kept now."""

    reading: dict[str, Any]
    stamp: str
    warnings: list[dict[str, Any]] = Field(default_factory=list)


class Stamp(Shape):
    """What a reading is now."""

    stamp: str


class Followed(Shape):
    """A line as followed."""

    points: list[tuple[float, float]]
    closed: bool
    ended: tuple[str, str]


class CardMade(Shape):
    """A card that was written, and what names it in the build."""

    kind: str
    name: str
    changes: dict[str, str | None]
    warnings: list[dict[str, Any]]


@router.get("/facts", response_model=None, responses={200: {"answer": dict[str, Any]}})
def facts() -> Response:
    """What can be read, what strokes there are, what is asked besides, and which units measure what."""
    from boostwright.tasks.digitise import asked_of_readings

    return answer(asked_of_readings())


@router.get("/readings", response_model=None, responses={200: {"answer": Readings}})
def readings(request: Request, build: BuildName = None) -> Response:
    """The readings of the build: those being read, and those beside cards."""
    from boostwright.tasks.digitise_keep import readings_of_build

    folder = request.app.state.desk.named(build)
    entries = [
        {"name": r.name, "what": r.what, "saved": r.saved, "fault": r.fault}
        for r in readings_of_build(folder)
    ]
    return answer({"readings": entries})


@router.post(
    "/readings",
    response_model=None,
    responses={200: {"answer": Kept}},
    openapi_extra={
        "requestBody": {
            "required": True,
            "content": {
                kind: {"schema": {"type": "string", "format": "binary"}}
                for kind in ("image/png", "image/jpeg", "image/webp")
            },
        }
    },
)
async def begin(
    request: Request,
    name: Annotated[str, Query(min_length=1, max_length=63, description="Of the new reading.")],
    build: BuildName = None,
) -> Response:
    """Begin a reading of the picture in the body: PNG, JPEG or WebP, told from its bytes."""
    data = await request.body()
    return await run_in_threadpool(_begin, request, name, data, build)


def _begin(request: Request, name: str, data: bytes, build: str | None) -> Response:
    from boostwright.tasks.digitise import fault_document, session_document
    from boostwright.tasks.digitise_keep import begin_reading

    desk = request.app.state.desk
    with desk.saving:
        session, stamp, given = begin_reading(desk.named(build), name, data)
    warnings = [fault_document(fault) for fault in given.warnings]
    return answer({"reading": session_document(session), "stamp": stamp, "warnings": warnings})


@router.get("/readings/{name}", response_model=None, responses={200: {"answer": Kept}})
def read(request: Request, name: Name, build: BuildName = None) -> Response:
    """A reading, and its stamp."""
    from boostwright.tasks.digitise import session_document
    from boostwright.tasks.digitise_keep import open_reading

    session, stamp = open_reading(request.app.state.desk.named(build), name)
    return answer({"reading": session_document(session), "stamp": stamp, "warnings": []})


@router.get(
    "/readings/{name}/picture",
    response_model=None,
    responses={200: {"content": {"image/png": {"schema": {"type": "string", "format": "binary"}}}}},
)
def picture(request: Request, name: Name, build: BuildName = None) -> Response:
    """The picture of a reading, PNG."""
    from boostwright.tasks.digitise_keep import picture_of_reading

    return Response(picture_of_reading(request.app.state.desk.named(build), name), media_type="image/png")


@router.post(
    "/readings/{name}/keep",
    response_model=None,
    responses={200: {"answer": Stamp}, 409: {"answer": Faults}},
)
def keep(request: Request, name: Name, wanted: WantedKeep, build: BuildName = None) -> Response:
    """Keep a reading as it is now; 409 where another page kept it since."""
    from boostwright.tasks.digitise import fault_document
    from boostwright.tasks.digitise_keep import ReadingChanged, keep_reading

    desk = request.app.state.desk
    session = _session(name, wanted.reading)
    try:
        with desk.saving:
            stamp = keep_reading(desk.named(build), session, wanted.stamp)
    except ReadingChanged as error:
        return answer({"faults": [fault_document(fault) for fault in error.faults]}, 409)
    return answer({"stamp": stamp})


@router.delete("/readings/{name}", response_model=None, responses={200: {"answer": dict[str, Any]}})
def put_away(request: Request, name: Name, build: BuildName = None) -> Response:
    """Take a reading out of the list; its files stay in the build's folder, renamed."""
    from boostwright.tasks.digitise_keep import put_away_reading

    desk = request.app.state.desk
    with desk.saving:
        put_away_reading(desk.named(build), name)
    return answer({})


@router.post("/readings/{name}/trace", response_model=None, responses={200: {"answer": Followed}})
def trace(request: Request, name: Name, wanted: WantedTrace, build: BuildName = None) -> Response:
    """Follow a line in the picture from a place on it."""
    from boostwright.tasks.digitise_keep import follow_line

    found = follow_line(request.app.state.desk.named(build), name, wanted.start, wanted.stop)
    return answer({"points": found.points.round(2).tolist(), "closed": found.closed, "ended": found.ended})


@router.post("/axes", response_model=None, responses={200: {"answer": dict[str, Any]}})
def axes(wanted: WantedFit) -> Response:
    """The axes that the marks of a reading fix: the mapping, how far each mark misses, how the paper lies."""
    from boostwright.tasks.digitise import axes_document, axes_of_reading, session_of
    from boostwright.tasks.digitise_overlay import axes_grid

    session = session_of(wanted.reading)
    found = axes_of_reading(session)
    grid = [line.round(2).tolist() for line in axes_grid(session, found)]
    return answer({**axes_document(found), "grid": grid})


@router.post("/fit", response_model=None, responses={200: {"answer": dict[str, Any]}})
def fit(wanted: WantedFit) -> Response:
    """What a reading comes to: values, residuals, faults of the card, and what to draw over the picture."""
    from boostwright.report.digitise_json import digitised_document
    from boostwright.tasks.digitise import digitise, session_of
    from boostwright.tasks.digitise_overlay import overlay_of_result

    result = digitise(session_of(wanted.reading))
    return answer(digitised_document(result, overlay_of_result(result)))


@router.post("/card", response_model=None, responses={200: {"answer": CardMade}, 409: {"answer": Faults}})
def card(request: Request, wanted: WantedCard, build: BuildName = None) -> Response:
    """Write the card of a reading into the build; 409 where one of that name is there and may not be replaced."""
    from boostwright.tasks.digitise import changes_of_card, fault_document, session_of
    from boostwright.tasks.digitise_keep import CardThere, save_card

    desk = request.app.state.desk
    session = session_of(wanted.reading)
    try:
        with desk.saving:
            made = save_card(desk.named(build), session, wanted.over)
    except CardThere as error:
        return answer({"faults": [fault_document(fault) for fault in error.faults]}, 409)
    return answer(
        {
            "kind": made.kind,
            "name": made.name,
            "changes": changes_of_card(made.kind, made.name),
            "warnings": [fault_document(fault) for fault in made.warnings],
        }
    )


def _session(name: str, record: dict[str, Any]) -> Any:
    """The record under the name of its address."""
    from boostwright.tasks.digitise import session_of

    return session_of({**record, "name": name})
