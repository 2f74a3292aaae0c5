"""``boostwright plan``: the most torque inside every limit, and what to buy next."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

from boostwright.cli.common import Settings, build_folder, output_width
from boostwright.cli.exit_codes import ExitCode
from boostwright.cli.outputs import Outputs, say_compiling

if TYPE_CHECKING:
    from boostwright.tasks.plan_result import Plan

__all__ = ["plan"]

_Build = Annotated[Path, typer.Argument(metavar="BUILD", help="Folder of the build.", show_default=False)]
_Speeds = Annotated[
    str | None,
    typer.Option(
        metavar="SPEEDS",
        help=(
            'Breakpoints of the table with their unit: "2000:6500:500 rpm" (from, to, step) or "2000, 3000 rpm". '
            "Default: the engine speeds of the build."
        ),
        show_default=False,
    ),
]
_Samples = Annotated[
    int | None,
    typer.Option(
        min=0,
        max=100000,
        help="Days drawn from what is not known of the build; 0 draws none. Default: what the build says, 1000.",
        show_default=False,
    ),
]
_Seed = Annotated[
    int | None,
    typer.Option(
        min=0,
        max=2147483647,
        help="Where the draw begins. Default: what the build says, 1.",
        show_default=False,
    ),
]
_Csv = Annotated[
    Path | None,
    typer.Option(metavar="FILE", help="Write the table as CSV, with a row of units.", show_default=False),
]
_Plot = Annotated[
    Path | None,
    typer.Option(metavar="FOLDER", help="Draw the plan as PNG and SVG into this folder.", show_default=False),
]
_Json = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help=(
            'Write everything as JSON in SI units; "-" writes it to standard output and all else to standard '
            "error."
        ),
        show_default=False,
    ),
]
_Sheets = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER",
        help=(
            "Write the sheets as PDF and JSON into this folder: order sheet, go / no-go, dyno card, pocket card; "
            '"-" prints them as text.'
        ),
        show_default=False,
    ),
]


def plan(
    build: _Build,
    settings: Settings = None,
    speeds: _Speeds = None,
    samples: _Samples = None,
    seed: _Seed = None,
    csv: _Csv = None,
    plot: _Plot = None,
    json: _Json = None,
    sheets: _Sheets = None,
) -> None:
    """Plan the boost of a build: the most torque inside every limit.

    A boost target over engine speed that keeps every limit on every day of [plan], the spring under it, what binds
    where, and what a part would bring.

    Exit code 0: answered; 2: the build
    or an option cannot be used; 3: no boost is inside the limits at any speed; 4: an error inside the program.
    """
    from boostwright.cli.speeds import parse_speeds
    from boostwright.report.files import check_output_folder

    speeds_si = None if speeds is None else parse_speeds(speeds)
    outputs = Outputs(csv, plot, json)
    if sheets is not None and not _on_screen(sheets):
        check_output_folder(sheets, "--sheets")

    from boostwright.tasks.plan import plan as task
    from boostwright.tasks.predict import needs_compiling

    say_compiling(needs_compiling())
    found = task(
        build_folder(build), settings=tuple(settings or ()), speeds=speeds_si, samples=samples, seed=seed
    )
    for warning in found.prediction.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    _write(found, outputs)
    if sheets is not None:
        _write_sheets(found, build_folder(build), sheets, sys.stderr if json == "-" else sys.stdout)
    if not found.answered:
        print(
            "boostwright: no boost is inside the limits at any speed; see above what binds.", file=sys.stderr
        )
        raise typer.Exit(ExitCode.NOTHING_SOLVED)


def _write(found: Plan, outputs: Outputs) -> None:
    from boostwright.report.plan_csv import plan_csv
    from boostwright.report.plan_json import plan_json
    from boostwright.report.plan_text import plan_text

    def pictures(folder: Path, option: str) -> list[Path]:
        from boostwright.report.plan_figures import write_plan_figures

        return write_plan_figures(found, folder, option)

    text = plan_text(found, output_width())
    outputs.write(text, lambda: plan_json(found), lambda: plan_csv(found), pictures)


def _on_screen(folder: Path) -> bool:
    """Whether the sheets are to be printed, not written."""
    return str(folder) == "-"


def _write_sheets(found: Plan, build: Path, folder: Path, people: TextIO) -> None:
    from boostwright.tasks.plan_sheets import sheets_of_plan

    made = sheets_of_plan(build, found)
    if _on_screen(folder):
        from boostwright.report.sheets.write import sheets_text

        print(f"\n{sheets_text(made, output_width())}", end="", file=people)
        return
    from boostwright.report.sheets.write import write_sheets

    written = write_sheets(made, folder, "--sheets")
    print(f"Written: {len(written)} files in {folder}", file=sys.stderr)
