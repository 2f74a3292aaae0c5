"""The open build: its form, a check of changes, saving them, and whether the file is still the same."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Request
from pydantic import StringConstraints
from starlette.responses import Response

from boostwright.web.answers import answer
from boostwright.web.form_models import BuildForm
from boostwright.web.models import FAULTS, BuildName, ChangedBuild, FaultModel, Shape

__all__ = [
    "Conflict",
    "ConflictAnswer",
    "ConflictKey",
    "SaveBuild",
    "Stamp",
    "check",
    "form",
    "router",
    "save",
    "stamp",
]

router = APIRouter(prefix="/api/build", tags=["build"], responses=FAULTS)

_VERSIONS_KEPT = 20


class SaveBuild(ChangedBuild):
    """Changes to write, and the stamp of the file they were made on."""

    stamp: Annotated[str, StringConstraints(min_length=64, max_length=64, pattern=r"^[0-9a-f]+$")]


class Stamp(Shape):
    """What differs once the file, or a card of the build, was changed."""

    stamp: str
    cards: str


class ConflictKey(Shape):
    """A key that others or both changed: what the page would write, what stands there now, what stood there."""

    key: str
    mine: str | None
    theirs: str | None
    was: str | None
    both: bool


class Conflict(Shape):
    """Keys on which the file and the page do not agree."""

    keys: list[ConflictKey]


class ConflictAnswer(Shape):
    """The file was changed by another program; nothing was written. Save again with this stamp to write over it."""

    conflict: Conflict
    stamp: str
    faults: list[FaultModel]


@router.get("", response_model=None, responses={200: {"answer": BuildForm}})
def form(request: Request, build: BuildName = None) -> Response:
    """The build as a form, as it stands in the file."""
    return _form(request, build, {})


@router.post("/check", response_model=None, responses={200: {"answer": BuildForm}})
def check(request: Request, asked: ChangedBuild, build: BuildName = None) -> Response:
    """The build as a form with changes laid over it; nothing is written."""
    return _form(request, build, asked.changes)


@router.post(
    "/save", response_model=None, responses={200: {"answer": BuildForm}, 409: {"answer": ConflictAnswer}}
)
def save(request: Request, asked: SaveBuild, build: BuildName = None) -> Response:
    """Write changes into build.toml, comments kept, in one step; refused when the file is not the one that was read."""
    from boostwright.errors import Fault
    from boostwright.report.form_json import fault_plain
    from boostwright.tasks.edit_build import Saved, save_changes

    desk = request.app.state.desk
    folder = desk.named(build)
    with desk.saving:
        done = save_changes(folder, asked.changes, asked.stamp, _versions(desk).get(asked.stamp))
    if isinstance(done, Saved):
        return _form(request, build, {})
    _keep(desk, done.stamp, done.data)
    keys = [
        {"key": one.key, "mine": one.mine, "theirs": one.theirs, "was": one.was, "both": one.both}
        for one in done.keys
    ]
    message = "build.toml was changed by another program since this page read it; nothing was written."
    fault = Fault("build.toml", "", "", message, remedy="Choose what is to count, and save again.")
    return answer({"conflict": {"keys": keys}, "stamp": done.stamp, "faults": [fault_plain(fault)]}, 409)


@router.get("/stamp", response_model=None, responses={200: {"answer": Stamp}})
def stamp(request: Request, build: BuildName = None) -> Response:
    """Stamp of the file as it is now on disk; a page asks every second."""
    import hashlib

    from boostwright.tasks.cards_here import cards_stamp
    from boostwright.tasks.edit_build import read_stamped

    folder = request.app.state.desk.named(build)
    _, now = read_stamped(folder)
    return answer({"stamp": now, "cards": hashlib.sha256(cards_stamp(folder).encode()).hexdigest()[:16]})


def _form(request: Request, build: str | None, changes: dict[str, str | None]) -> Response:
    """The form, and the file's bytes kept, so that a conflict later can say what others changed."""
    from boostwright.report.form_json import form_plain
    from boostwright.tasks.edit_build import read_stamped
    from boostwright.tasks.form import build_form

    desk = request.app.state.desk
    folder = desk.named(build)
    made = build_form(folder, changes)
    data, now = read_stamped(folder)
    if now == made.stamp:
        _keep(desk, now, data)
    return answer(form_plain(made, desk.name_of(build)))


def _versions(desk: Any) -> dict[str, bytes]:
    """Stamp -> bytes of the files that pages have seen."""
    found: dict[str, bytes] = desk.kept.setdefault("versions", {})
    return found


def _keep(desk: Any, stamp: str, data: bytes) -> None:
    with desk.lock:
        versions = _versions(desk)
        versions.pop(stamp, None)
        versions[stamp] = data
        while len(versions) > _VERSIONS_KEPT:
            versions.pop(next(iter(versions)))
