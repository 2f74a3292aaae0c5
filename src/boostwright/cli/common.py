"""What several commands share: where a build is, keys changed for one run, how wide the output may be."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["BUILD_FILE", "Settings", "build_folder", "output_width"]

BUILD_FILE = "build.toml"
_WIDTH_OF_A_FILE = 200

Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        help=(
            'Change one key of the build for this run only: "wastegate.spring_rating=0.8 bar gauge". May '
            "be given several times."
        ),
        show_default=False,
    ),
]
"""The option ``--set``, the same for every command that reads a build."""


def build_folder(named: Path) -> Path:
    """The folder of a build, also where its ``build.toml`` was named; it need not exist."""
    return named.parent if named.name == BUILD_FILE and not named.is_dir() else named


def output_width() -> int:
    """Characters on a line: those of the terminal, or plenty where a file or another program reads along."""
    if sys.stdout.isatty() or "COLUMNS" in os.environ:
        return shutil.get_terminal_size().columns
    return _WIDTH_OF_A_FILE
