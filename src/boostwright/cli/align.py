"""``boostwright align``: how the channels of a log were sampled and put in time, and the clock of a second file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import output_width
from boostwright.cli.log_options import LogArgument

__all__ = ["align"]

_Other = Annotated[
    Path | None,
    typer.Argument(
        metavar="[SECOND]",
        help="A second log of the same run on another clock, such as the dyno's: folder, name or file.",
        show_default=False,
    ),
]
_BuildOption = Annotated[
    Path | None,
    typer.Option(
        "--build",
        metavar="BUILD",
        show_default=False,
        help="Build that holds the log, or whose engine and probes are to be used.",
    ),
]
_Part = Annotated[
    int, typer.Option(min=0, metavar="N", help="Part of the log, where it has several; 0: the longest.")
]
_Quantity = Annotated[
    str | None,
    typer.Option(
        metavar="CHANNEL[=CHANNEL]",
        show_default=False,
        help='Compare this quantity only: "engine_speed", or "boost=torque" for two names.',
    ),
]
_Near = Annotated[
    float | None,
    typer.Option(
        metavar="SECONDS",
        show_default=False,
        help="About what is to be added to the second file's time, where several shifts fit.",
    ),
]
_Within = Annotated[float, typer.Option(min=0.0, metavar="SECONDS", help="How far --near may be off.")]
_Lag = Annotated[
    float | None,
    typer.Option(
        metavar="SECONDS",
        show_default=False,
        help="How much later the second file's instrument shows things than the log's, if you know it (0: no later); "
        "without it that is looked for.",
    ),
]
_Json = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help='Write it all as JSON in SI; "-" writes it to standard output.',
        show_default=False,
    ),
]


def align(
    log: LogArgument,
    second: _Other = None,
    build: _BuildOption = None,
    part: _Part = 0,
    quantity: _Quantity = None,
    near: _Near = None,
    within: _Within = 10.0,
    lag: _Lag = None,
    json: _Json = None,
) -> None:
    """Say how each channel of a log was sampled and put it in time; with a second file, find how its clock stands.

    A channel that the logger asks now and then stays as slow as it is. The lag of an exhaust probe is undone where the
    log can carry it, else bounded; lambda is put back to when its mixture was drawn in. The offset of a second file is
    found by a quantity that both have, with its uncertainty, and kept in the log's folder. Where it is not told to half
    a sample of the slower file only a bound is given, which is not kept.

    Exit code 0: answered; 2: a log or an option cannot be used; 3: no offset of the second file could be told, or only
    a bound, with the reasons.
    """
    from boostwright.cli.exit_codes import ExitCode
    from boostwright.cli.outputs import Outputs

    outputs = Outputs(None, None, json)
    from boostwright.report.align_json import align_json
    from boostwright.report.align_text import align_text, clocks_text
    from boostwright.tasks.align_log import align_clocks, align_log
    from boostwright.tasks.log_place import open_log_place

    place = open_log_place(log, build, part=part)
    aligned = align_log(place)
    text = align_text(aligned, output_width())
    clocks = None
    if second is not None:
        first, _, other = (quantity or "").partition("=")
        clocks = align_clocks(
            place,
            open_log_place(second, build),
            near=None if near is None else (near, within),
            quantity=(first, other or first) if first else None,
            lag=lag,
        )
        text += "\n" + clocks_text(clocks, output_width())
    outputs.write(text, lambda: align_json(aligned, clocks), lambda: "", lambda _f, _o: [])
    if clocks is not None and clocks.best is None:
        raise typer.Exit(ExitCode.NOTHING_SOLVED)
