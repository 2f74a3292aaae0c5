"""``boostwright check``: everything that is wrong or doubtful in a build, in one go."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import Settings, build_folder, output_width
from boostwright.cli.exit_codes import ExitCode

__all__ = ["check"]


def check(
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="Folder of the build.", show_default=False)],
    settings: Settings = None,
) -> None:
    """List every fault and every doubtful value of a build.

    Each with its line, what is allowed and what would mend it.

    Exit code 0: no fault (there may be warnings); 2: at least one fault. Nothing is changed.
    """
    from boostwright.report.check_text import check_text
    from boostwright.tasks.check_build import check as check_build

    result = check_build(build_folder(build), tuple(settings or ()))
    for kind, found in (("fault", result.faults), ("warning", result.warnings)):
        for entry in found:
            print(f"{kind}: {entry}", file=sys.stderr)
    sys.stderr.flush()
    print(check_text(result, output_width()), end="")
    if not result.sound:
        raise typer.Exit(ExitCode.BAD_INPUT)
