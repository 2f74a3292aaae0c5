"""Part cards that a build can name."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from starlette.responses import Response

from boostwright.web.answers import answer
from boostwright.web.models import FAULTS, BuildName, Shape

__all__ = ["CardEntry", "cards", "router"]

router = APIRouter(prefix="/api/cards", tags=["cards"], responses=FAULTS)


class CardEntry(Shape):
    """A card; ``where`` is ``build`` or ``library``, ``fault`` says why it cannot be used."""

    name: str
    title: str
    status: str
    source: str
    licence: str
    where: str
    fault: str


@router.get("/{kind}", response_model=None, responses={200: {"answer": list[CardEntry]}})
def cards(request: Request, kind: Annotated[str, Path(max_length=40)], build: BuildName = None) -> Response:
    """Cards of a kind (compressor, fuel, material, pipe, sensor, turbine, wastegate): the build's own first."""
    from dataclasses import asdict

    from boostwright.tasks.cards_here import cards_here

    desk = request.app.state.desk
    folder = desk.named(build) if build is not None or desk.opened is not None else None
    return answer([asdict(card) for card in cards_here(kind, folder)])
