"""``boostwright new``: a build folder to start from."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["Example", "new"]


class Example(StrEnum):
    """The invented cars that come with the program."""

    HILL_CLIMB_ESTATE = "hill-climb-estate"
    TRANSVERSE_THREE = "transverse-three"


def new(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER", help="Folder to make; it must not hold a build yet.", show_default=False
        ),
    ],
    example: Annotated[
        Example | None,
        typer.Option(help="Start from an invented car in place of an empty template.", show_default=False),
    ] = None,
) -> None:
    """Make a build folder to start from.

    It holds a commented build.toml: every key with its unit, what it is and what is allowed.

    Exit code 0: made; 2: the folder cannot be used, and nothing in it was touched.
    """
    from boostwright.tasks.new_build import new_build

    made = new_build(folder, example=None if example is None else example.value)
    quoted = f'"{folder}"' if " " in str(folder) else str(folder)
    print("Made " + ", ".join(str(made.folder / file) for file in made.files) + ".")
    if example is None:
        print("Fill it in: every key says its unit and what it is. Then:")
    print(f"  boostwright check {quoted}\n  boostwright predict {quoted}")
