"""``boostwright check``: everything that is wrong or doubtful in a build, in one go."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.exit_codes import ExitCode
from boostwright.cli.places import build_folder

__all__ = ["check"]


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def check(
    build: Annotated[Path, typer.Argument(metavar="BUILD", help="Folder of the build.", show_default=False)],
) -> None:
    """List every fault and every doubtful value of a build.

    Each with its line, what is allowed and what would mend it.

    Exit code 0: no fault (there may be warnings); 2: at least one fault. Nothing is changed.
    """
    from boostwright.tasks.check_build import check as check_build

    found = check_build(build_folder(build))
    faults = [fault for fault in found if fault.severity == "error"]
    warnings = [fault for fault in found if fault.severity != "error"]
    for kind, entries in (("fault", faults), ("warning", warnings)):
        for entry in entries:
            print(f"{kind}: {entry}", file=sys.stderr)
    sys.stderr.flush()
    print(f"{build}: {_counted(len(faults), 'fault')}, {_counted(len(warnings), 'warning')}.")
    if faults:
        raise typer.Exit(ExitCode.BAD_INPUT)
