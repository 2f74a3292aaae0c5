"""``boostwright simulate``: a log as instruments would have written it of a run that is known; invented data."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import Settings, build_folder, output_width

__all__ = ["simulate"]

_Build = Annotated[
    Path, typer.Argument(metavar="BUILD", help="Folder of the build, or its build.toml.", show_default=False)
]
_To = Annotated[
    Path,
    typer.Option(
        "--to", metavar="FOLDER", help="Where the files go. Default: made-logs in the folder you are in."
    ),
]
_Scenario = Annotated[
    str, typer.Option("--scenario", metavar="NAME", help="one-pull, dyno-day, road or hill-climb.")
]
_Instruments = Annotated[
    list[str] | None,
    typer.Option(
        "--instruments",
        metavar="NAME|FILE",
        show_default=False,
        help="standalone, port, dyno, hobby, or a TOML file of your own instruments. Default: standalone. Given "
        "several times, all log the same run, and each has its name in those of its files.",
    ),
]
_Faults = Annotated[
    list[str] | None,
    typer.Option(
        "--fault",
        metavar="FAULT",
        show_default=False,
        help='Put a fault in: "offset pressure_im by=4kPa", "stuck pressure_em_static at=60s". May be given several '
        "times; --list-faults names them all.",
    ),
]
_Seed = Annotated[int, typer.Option("--seed", metavar="NUMBER", help="The same seed makes the same bytes.")]
_Truth = Annotated[
    str,
    typer.Option("--truth", metavar="NAME", help="model, or second: a truth that the model does not know."),
]
_Write = Annotated[
    str,
    typer.Option(
        "--write",
        metavar="HABIT",
        show_default=False,
        help="How the file is written: comma, plain, semicolon, tab, clock, one-value-a-row, mdf.",
    ),
]
_List = Annotated[bool, typer.Option("--list-faults", help="Say which faults there are, and stop.")]
_Json = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help='Write what was made as JSON; "-" writes it to standard output.',
        show_default=False,
    ),
]


def simulate(
    build: _Build,
    to: _To = Path("made-logs"),
    scenario: _Scenario = "dyno-day",
    instruments: _Instruments = None,
    fault: _Faults = None,
    seed: _Seed = 1,
    truth: _Truth = "model",
    write: _Write = "",
    list_faults: _List = False,
    json: _Json = None,
    set: Settings = None,
) -> None:
    """Simulate a run of a build, and write what instruments would have logged of it.

    The run goes through the transient model; instruments, loggers and clocks make of it what they would of a real one,
    with the faults that are asked for. The truth lies beside the logs. Everything is invented data, and each file says
    so.

    Exit code 0: written; 2: the build, an option or the place to write to cannot be used.
    """
    from boostwright.cli.outputs import Outputs, say_compiling
    from boostwright.report.files import check_output_folder
    from boostwright.report.simulate_json import simulate_json
    from boostwright.report.simulate_text import faults_text, simulate_text
    from boostwright.tasks.predict import needs_compiling
    from boostwright.tasks.simulate import SimulateRequest, check_request, shared_faults, simulate_many
    from boostwright.tasks.simulate_write import write_simulated

    if list_faults:
        print(faults_text(output_width()), end="")
        return
    outputs = Outputs(None, None, json)
    check_output_folder(to, "--to")
    kits = list(dict.fromkeys(instruments or ["standalone"]))
    if json is not None and len(kits) > 1:
        raise typer.BadParameter("--json tells of one list of instruments: leave it out, or give one.")
    requests = [
        SimulateRequest(
            scenario,
            kit,
            tuple(fault or ()),
            seed,
            truth,
            write,
            settings=tuple(set or ()),
            kit_in_name=len(kits) > 1,
        )
        for kit in kits
    ]
    for request in requests:
        check_request(request)
    folder = build_folder(build)
    if len(requests) > 1:
        requests = list(shared_faults(folder, requests))
    say_compiling(needs_compiling())
    for made in simulate_many(folder, requests):
        written = write_simulated(made, to)
        text = simulate_text(made, written, output_width())
        outputs.write(text, partial(simulate_json, made, written), lambda: "", lambda _f, _o: [])
