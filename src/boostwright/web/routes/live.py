"""The answer while something is dragged, and the whole prediction once it has come to rest."""

from __future__ import annotations

import threading
from typing import Annotated, Any

from fastapi import APIRouter, Request
from pydantic import Field, StringConstraints
from starlette.background import BackgroundTask
from starlette.responses import Response

from boostwright.web.answers import answer, answer_text
from boostwright.web.models import FAULTS, BuildName, ChangedBuild, FaultModel, Shape
from boostwright.web.refusals import refused

__all__ = ["LiveAnswer", "LiveAsk", "LiveLimit", "LiveMap", "LiveOutcome", "live", "predict", "router"]

router = APIRouter(prefix="/api", tags=["live"], responses=FAULTS)

Speed = Annotated[float, Field(ge=10.0, le=3000.0, allow_inf_nan=False)]
Numbers = list[float | None]


class LiveAsk(ChangedBuild):
    """A change to answer.

    speeds  engine speeds [rad/s], rising; null takes the build's
    tab     of the page that asks; with ``turn``, which rises, an older question of the same page that still waits is
            given up
    rough   true while a hand moves: keys that change the closed cycle are answered in a fifth of the time, off by
            about the error of the table of closed cycles itself; ask again without it once the hand rests
    """

    speeds: Annotated[list[Speed], Field(min_length=1, max_length=200)] | None = None
    tab: Annotated[str, StringConstraints(max_length=40)] | None = None
    turn: Annotated[int, Field(ge=0, le=2**53)] = 0
    rough: bool = False


class LiveOutcome(Shape):
    """Whether a point has a stable steady state, and why not."""

    solved: bool
    reason: str | None
    nearest_limit: str | None
    message: str | None


class LiveLimit(Shape):
    """A limit along the speeds; ``use`` is the share of it in use, above 1 where it is broken."""

    name: str
    quantity: str
    words: str
    unit: str
    source: str
    status: str
    margin: float
    margin_is: str
    use: Numbers
    value: Numbers | None
    limit: Numbers


class LiveMap(Shape):
    """The operating line on the compressor's map."""

    flow: Numbers
    pressure_ratio: Numbers


class LiveAnswer(Shape):
    """What a change comes to, SI, one entry a speed; null where there is no steady state."""

    mode: str
    speeds: list[float]
    quantities: dict[str, Numbers]
    units: dict[str, str]
    outcomes: list[LiveOutcome]
    binding: list[str | None]
    limits: list[LiveLimit]
    map: LiveMap
    figures: dict[str, float | None]
    faults: list[FaultModel]
    warnings: list[FaultModel]


@router.post("/live", response_model=None, responses={200: {"answer": LiveAnswer}})
def live(request: Request, asked: LiveAsk, build: BuildName = None) -> Response:
    """The open build with changes laid over it, in milliseconds; the numbers are those of a prediction."""
    from boostwright.report.live_json import live_plain

    desk = request.app.state.desk
    folder = desk.named(build)
    turns = _turns(desk)
    if asked.tab is not None:
        turns.note(asked.tab, asked.turn)
    if not asked.rough:
        desk.bench().prepare(folder, asked.changes, asked.speeds)
    with desk.solving:
        if asked.tab is not None and turns.passed(asked.tab, asked.turn):
            return refused("A newer question of the same page has come.", 409)
        found = desk.bench().answer(folder, asked.changes, asked.speeds, rough=asked.rough)
    return answer(live_plain(found))


@router.post("/predict", response_model=None, responses={200: {"answer": dict[str, Any]}})
def predict(request: Request, asked: ChangedBuild, build: BuildName = None) -> Response:
    """The whole prediction of the open build with changes laid over it, as ``boostwright predict --json`` prints it."""
    from boostwright.report.prediction_json import prediction_json
    from boostwright.tasks.form import settings_of
    from boostwright.tasks.predict import predict as task

    desk = request.app.state.desk
    text = prediction_json(task(desk.named(build), settings=settings_of(asked.changes)))
    response = answer_text(text)
    response.background = BackgroundTask(desk.bench().renew)  # the page is at rest now
    return response


class _Turns:
    """The newest question of each page."""

    def __init__(self) -> None:
        self._newest: dict[str, int] = {}
        self._lock = threading.Lock()

    def note(self, tab: str, turn: int) -> None:
        """A question has come."""
        with self._lock:
            if tab not in self._newest and len(self._newest) >= 100:
                self._newest.pop(next(iter(self._newest)))
            self._newest[tab] = max(turn, self._newest.get(tab, 0))

    def newest(self, tab: str) -> int:
        """The turn of the newest question; -1 where none has come."""
        with self._lock:
            return self._newest.get(tab, -1)

    def passed(self, tab: str, turn: int) -> bool:
        """Whether a newer one has come since."""
        with self._lock:
            return turn < self._newest.get(tab, 0)


def _turns(desk: Any) -> _Turns:
    with desk.lock:
        found: _Turns = desk.kept.setdefault("turns", _Turns())
    return found
