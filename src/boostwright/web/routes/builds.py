"""Which builds there are, a new one from an example, and opening one."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import Field
from starlette.responses import Response

from boostwright.web.answers import answer
from boostwright.web.models import FAULTS, Shape, Strict

__all__ = ["Build", "Builds", "NewBuild", "OpenBuild", "builds", "new", "open_build", "router"]

router = APIRouter(prefix="/api/builds", tags=["builds"], responses=FAULTS)

Name = Annotated[
    str, Field(min_length=1, max_length=300, description="A build's folder from the top folder.")
]


class NewBuild(Strict):
    """A build to make."""

    from_: Annotated[
        str | None,
        Field(alias="from", max_length=100, description="Example to copy; null gives a file to fill in."),
    ] = None
    name: Annotated[str, Field(min_length=1, max_length=64, description="Of the new folder.")]


class OpenBuild(Strict):
    """A build to open."""

    name: Name


class Build(Shape):
    """A build there is."""

    name: str


class Builds(Shape):
    """What can be opened, and what can be begun."""

    root: str
    builds: list[Build]
    examples: list[str]
    opened: str | None


@router.get("", response_model=None, responses={200: {"answer": Builds}})
def builds(request: Request) -> Response:
    """Builds below the folder the server was started in, and the examples that can be copied."""
    from boostwright.tasks.builds_here import builds_below
    from boostwright.tasks.new_build import example_names

    desk = request.app.state.desk
    return answer(
        {
            "root": desk.root.name,
            "builds": [{"name": build.name} for build in builds_below(desk.root)],
            "examples": list(example_names()),
            "opened": desk.opened,
        }
    )


@router.post("", response_model=None, responses={200: {"answer": Build}})
def new(request: Request, wanted: NewBuild) -> Response:
    """Make a build in a new folder, from an example or to fill in, and open it."""
    from boostwright.tasks.builds_here import new_build_below

    desk = request.app.state.desk
    with desk.saving:
        made = new_build_below(desk.root, wanted.name, wanted.from_)
    desk.opened = made.name
    return answer({"name": made.name})


@router.post("/open", response_model=None, responses={200: {"answer": Build}})
def open_build(request: Request, wanted: OpenBuild) -> Response:
    """Open a build for pages that name none."""
    desk = request.app.state.desk
    desk.folder(wanted.name)
    desk.opened = wanted.name
    return answer({"name": wanted.name})
