"""What every command on a log asks for: the log, and what its columns are where it is a file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["LogArgument", "MapOption", "UnitOption"]

LogArgument = Annotated[
    Path,
    typer.Argument(
        metavar="LOG",
        help="Folder of an imported log, its name in the build, a build with one log, or a file.",
        show_default=False,
    ),
]
UnitOption = Annotated[
    list[str] | None,
    typer.Option(
        "--unit",
        metavar="COLUMN=UNIT",
        show_default=False,
        help='For a file: its unit and basis, as with import: "MAP=kPa absolute".',
    ),
]
MapOption = Annotated[
    list[str] | None,
    typer.Option(
        "--map",
        metavar="COLUMN=CHANNEL",
        show_default=False,
        help="For a file: what a column is, as with import.",
    ),
]
