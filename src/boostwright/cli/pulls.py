"""``boostwright pulls``: the pulls of a log, and why every other stretch is none."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import output_width
from boostwright.cli.log_options import LogArgument, MapOption, UnitOption

__all__ = ["pulls"]

_BuildOption = Annotated[
    Path | None,
    typer.Option(
        "--build",
        metavar="BUILD",
        show_default=False,
        help="Build that holds the log, or whose gear ratios and barometer are to be used.",
    ),
]
_Part = Annotated[
    int, typer.Option(min=0, metavar="N", help="Part of the log, where it has several; 0: all of them.")
]
_Rule = Annotated[
    list[str] | None,
    typer.Option(
        "--rule",
        metavar="NAME=VALUE",
        show_default=False,
        help='Change a bound of the search: "least_rise=1000 rpm". May be given several times.',
    ),
]
_Csv = Annotated[
    Path | None,
    typer.Option(metavar="FILE", help="Write pulls and what was not taken as CSV.", show_default=False),
]
_Json = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help='Write it all as JSON in SI; "-" writes it to standard output.',
        show_default=False,
    ),
]


def pulls(
    log: LogArgument,
    build: _BuildOption = None,
    part: _Part = 0,
    rule: _Rule = None,
    map: MapOption = None,
    unit: UnitOption = None,
    csv: _Csv = None,
    json: _Json = None,
) -> None:
    """Find the pulls of a log: full throttle, rising speed, one gear.

    Each with its start, end, gear, ramp, how warm all was when it began, and the highest readings; and for every
    stretch that nearly is a pull the reason why it is none.

    Exit code 0: looked through, there may be no pull; 2: the log or an option cannot be used.
    """
    from boostwright.cli.outputs import Outputs, say_search_compiling

    outputs = Outputs(csv, None, json)
    from boostwright.report.pulls_csv import pulls_csv
    from boostwright.report.pulls_json import pulls_json
    from boostwright.report.pulls_text import pulls_text
    from boostwright.tasks.find_pulls import changed_rules, find_pulls
    from boostwright.tasks.import_log import ImportOptions
    from boostwright.tasks.log_place import open_log_place

    rules = changed_rules(rule or [])
    place = open_log_place(log, build, ImportOptions(maps=tuple(map or ()), units=tuple(unit or ())))
    say_search_compiling()
    found = find_pulls(place, rules, part)
    outputs.write(
        pulls_text(found, output_width()),
        lambda: pulls_json(found),
        lambda: pulls_csv(found),
        lambda _f, _o: [],
    )
