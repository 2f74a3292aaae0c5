"""``boostwright whatif``: other parts and other numbers, many at a time, ranked and laid side by side."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from boostwright.cli.common import Settings, build_folder, output_width
from boostwright.cli.exit_codes import ExitCode
from boostwright.cli.outputs import Outputs, say_compiling

if TYPE_CHECKING:
    from boostwright.tasks.whatif import Asked
    from boostwright.tasks.whatif_result import WhatIf

__all__ = ["whatif"]

_Build = Annotated[Path, typer.Argument(metavar="BUILD", help="Folder of the build.", show_default=False)]
_Vary = Annotated[
    list[str] | None,
    typer.Option(
        metavar="KEY=VALUES",
        help=(
            'Values of a key: "wastegate.valve_diameter=38, 44, 50 mm", or from, to and how many: '
            '"turbine.choked_flow=0.022:0.032:6 kg/s*sqrt(K)/kPa". Keys joined by & take the same value. Every '
            "combination is run."
        ),
        show_default=False,
    ),
]
_Card = Annotated[
    list[str] | None,
    typer.Option(
        metavar="KIND=NAMES", help='Part cards to try: "compressor=NAME, NAME".', show_default=False
    ),
]
_From = Annotated[
    Path | None,
    typer.Option(
        "--from",
        metavar="FILE",
        help=(
            "File of choices and cases with prices. Default: whatif.toml in the build's folder, else the parts of "
            "[plan]."
        ),
        show_default=False,
    ),
]
_One = Annotated[
    bool,
    typer.Option(
        "--one-at-a-time",
        help=(
            "Move each key by itself to its low and its high end, for the tornado. A key alone takes its band; "
            '"KEY=+- 10 %" or "KEY=LOW, HIGH UNIT" says the ends.'
        ),
    ),
]
_Rank = Annotated[
    str | None,
    typer.Option(
        metavar="FIGURE", help="Figure of merit to rank by. Default: mean_torque.", show_default=False
    ),
]
_Between = Annotated[
    str | None,
    typer.Option(metavar="SPEEDS", help='Speeds of the torque area: "2500 to 6000 rpm".', show_default=False),
]
_Floor = Annotated[
    str | None,
    typer.Option(
        metavar="PRESSURE",
        help='Boost that must be held at every speed: "150 kPa absolute". Default: the lowest boost target.',
        show_default=False,
    ),
]
_Compare = Annotated[
    str | None,
    typer.Option(
        metavar="CASES",
        help='Two to five cases to lay side by side, by number; 0 is the build: "0, 4, 7".',
        show_default=False,
    ),
]
_Speeds = Annotated[
    str | None,
    typer.Option(
        metavar="SPEEDS", help='Engine speeds: "2000:6500:250 rpm" (from, to, step).', show_default=False
    ),
]
_Top = Annotated[int, typer.Option(metavar="N", help="Rows of the ranked table.", min=1)]
_Resume = Annotated[bool, typer.Option("--resume", help="Go on with a long run that was stopped.")]
_Anew = Annotated[bool, typer.Option("--anew", help="Begin such a run again.")]
_Json = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help='Write everything as JSON in SI units; "-" is standard output.',
        show_default=False,
    ),
]
_Csv = Annotated[
    Path | None, typer.Option(metavar="FILE", help="Write every case as CSV.", show_default=False)
]
_Plot = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER", help="Draw tornado, side by side and map as PNG and SVG.", show_default=False
    ),
]


def whatif(
    build: _Build,
    vary: _Vary = None,
    card: _Card = None,
    file: _From = None,
    one_at_a_time: _One = False,
    rank_by: _Rank = None,
    between: _Between = None,
    creep_floor: _Floor = None,
    compare: _Compare = None,
    settings: Settings = None,
    speeds: _Speeds = None,
    top: _Top = 20,
    resume: _Resume = False,
    anew: _Anew = False,
    json: _Json = None,
    csv: _Csv = None,
    plot: _Plot = None,
) -> None:
    """Try other parts or other numbers on a build, many at a time.

    A ranked table, what each key does by itself, cases side by side, and the cheapest part that cures a trouble.

    A long run keeps its results in the folder whatif of the build; stop it with Ctrl-C and go on with --resume.

    Exit code 0: answered; 2: the build or an option cannot be used; 3: not one case can be; 4: an error inside the
    program; 130: stopped.
    """
    from boostwright.cli.speeds import parse_speeds

    speeds_si = None if speeds is None else parse_speeds(speeds)
    outputs = Outputs(csv, plot, json)

    from boostwright.tasks import whatif as task

    asked = task.Asked(
        vary=tuple(vary or ()),
        cards=tuple(card or ()),
        file=file,
        one_at_a_time=one_at_a_time,
        rank_by=rank_by or "",
        between=between or "",
        creep_floor=creep_floor or "",
        compare=tuple(compare.split(",")) if compare else (),
        speeds=speeds_si,
        resume=resume,
        anew=anew,
    )
    found = _run(build_folder(build), asked, tuple(settings or ()))
    _write(found, outputs, top)
    if not any(row.number for row in found.possible):
        print("boostwright: not one case can be; the reasons stand above.", file=sys.stderr)
        raise typer.Exit(ExitCode.NOTHING_SOLVED)


def _run(folder: Path, asked: Asked, settings: tuple[str, ...]) -> WhatIf:
    """The what-if, with a line that tells how far it is; stopped from the keyboard it says how to go on."""
    from boostwright.tasks import whatif as task

    say_compiling(task.needs_compiling())
    progress = _Progress()
    try:
        return task.whatif(folder, asked, settings=settings, progress=progress)
    except KeyboardInterrupt:
        words = f"Stopped at {progress.done} of {progress.count} cases."
        if progress.done:
            words += " They are kept; go on with --resume."
        print(f"\n{words}", file=sys.stderr)
        raise typer.Exit(130) from None
    finally:
        progress.end()


class _Progress:
    """A line on standard error that tells how far a long run is."""

    def __init__(self) -> None:
        """Nothing done yet."""
        self.done = self.count = 0
        self._open = False

    def __call__(self, done: int, count: int) -> None:
        """So many cases of so many; a run of one batch says nothing."""
        first = self.count == 0
        self.done, self.count = done, count
        if first and done == count:
            return
        end = "" if sys.stderr.isatty() else "\n"
        start = "\r" if sys.stderr.isatty() else ""
        print(f"{start}{done} of {count} cases", end=end, file=sys.stderr, flush=True)
        self._open = sys.stderr.isatty()

    def end(self) -> None:
        """Leave the line."""
        if self._open:
            print(file=sys.stderr)
            self._open = False


def _write(found: WhatIf, outputs: Outputs, top: int) -> None:
    from boostwright.report.whatif_csv import whatif_csv
    from boostwright.report.whatif_json import whatif_json
    from boostwright.report.whatif_text import whatif_text

    def pictures(folder: Path, option: str) -> list[Path]:
        from boostwright.report.whatif_figures import write_whatif_figures

        return write_whatif_figures(found, folder, option)

    text = whatif_text(found, output_width(), top)
    outputs.write(text, lambda: whatif_json(found), lambda: whatif_csv(found), pictures)
