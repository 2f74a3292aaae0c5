"""``boostwright sensors``: which sensors of a log are not to be trusted, most certain first."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import output_width
from boostwright.cli.log_options import LogArgument, MapOption, UnitOption

__all__ = ["sensors"]

_BuildOption = Annotated[
    Path | None,
    typer.Option(
        "--build",
        metavar="BUILD",
        show_default=False,
        help="Build that holds the log, or whose engine, map and sensor errors are to be used.",
    ),
]
_Part = Annotated[
    int, typer.Option(min=0, metavar="N", help="Part of the log, where it has several; 0: all of them.")
]
_Json = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help='Write it all as JSON in SI; "-" writes it to standard output.',
        show_default=False,
    ),
]


def sensors(
    log: LogArgument,
    build: _BuildOption = None,
    part: _Part = 0,
    map: MapOption = None,
    unit: UnitOption = None,
    json: _Json = None,
) -> None:
    """List the sensors of a log that are not to be trusted, most certain first.

    Each with how sure it is, where in the log, the numbers it stands on, why that cannot be, what else could cause it
    and what to check; and a second list of the checks that could not be made, with what is missing for them.

    Exit code 0: checked, with or without faults; 2: the log or an option cannot be used.
    """
    from boostwright.cli.outputs import Outputs, say_search_compiling

    outputs = Outputs(None, None, json)
    from boostwright.report.sensors_json import sensors_json
    from boostwright.report.sensors_text import sensors_text
    from boostwright.tasks.check_sensors import check_sensors
    from boostwright.tasks.import_log import ImportOptions
    from boostwright.tasks.log_place import open_log_place

    place = open_log_place(log, build, ImportOptions(maps=tuple(map or ()), units=tuple(unit or ())))
    say_search_compiling()
    checked = check_sensors(place, part)
    outputs.write(
        sensors_text(checked, output_width()), lambda: sensors_json(checked), lambda: "", lambda _f, _o: []
    )
