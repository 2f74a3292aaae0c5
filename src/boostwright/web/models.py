"""What requests may hold, bounded, and the shapes that many answers share."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Header
from pydantic import BaseModel, ConfigDict, Field, StringConstraints

__all__ = ["FAULTS", "BuildName", "ChangedBuild", "Changes", "FaultModel", "Faults", "Shape", "Strict"]

Key = Annotated[str, StringConstraints(max_length=120, pattern=r"^[^=\s]+$")]
Text = Annotated[str, StringConstraints(max_length=20_000)]

Changes = Annotated[
    dict[Key, Text | None],
    Field(
        max_length=500,
        description="Dotted key -> text as it would stand in build.toml without the quotes; null takes the key out.",
        examples=[{"turbine.choked_flow": "0.027 kg/s*sqrt(K)/kPa"}],
    ),
]

BuildName = Annotated[
    str | None,
    Header(
        alias="X-Build",
        max_length=300,
        description="Name of the build that is meant, per cent encoded; without it, the one that was opened last.",
    ),
]


class Strict(BaseModel):
    """A body of a request: nothing it does not know, no number that is none."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)


class ChangedBuild(Strict):
    """A build with changes laid over it."""

    changes: Changes = Field(default_factory=dict)


class Shape(BaseModel):
    """The shape of an answer, for the description of the interface; nothing is made of it before that is asked for."""

    model_config = ConfigDict(defer_build=True)


class FaultModel(Shape):
    """One thing wrong."""

    file: str
    line: int
    key: str
    value: str
    message: str
    allowed: str
    remedy: str
    severity: str = "error"


class Faults(Shape):
    """Why a request was refused."""

    faults: list[FaultModel]


FAULTS: dict[int | str, dict[str, Any]] = {
    "4XX": {"answer": Faults, "description": "Refused, with the reasons."},
}
"""What every route may answer besides. ``answer`` names the shape of an answer, here and in every route."""
