"""``boostwright import``: logs of any habit into a build, each column proposed as a channel or asked about."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from boostwright.cli.common import BUILD_FILE, build_folder, output_width
from boostwright.cli.exit_codes import ExitCode

__all__ = ["import_logs"]

_Files = Annotated[
    list[Path],
    typer.Argument(
        metavar="FILE...", help="Logs: delimited text of any habit, or ASAM MDF 3 or 4.", show_default=False
    ),
]
_BuildOption = Annotated[
    Path | None,
    typer.Option(
        "--build",
        metavar="BUILD",
        show_default=False,
        help="Folder of the build the logs belong to. Default: the folder you are in, where it is a build.",
    ),
]
_To = Annotated[
    Path | None,
    typer.Option(
        "--to",
        metavar="FOLDER",
        help="Keep the logs in this folder instead of in a build.",
        show_default=False,
    ),
]
_Map = Annotated[
    list[str] | None,
    typer.Option(
        "--map",
        metavar="COLUMN=CHANNEL",
        show_default=False,
        help='Say what a column is: "MAP=pressure_im", or "Spare 1=none". May be given several times.',
    ),
]
_Unit = Annotated[
    list[str] | None,
    typer.Option(
        "--unit",
        metavar="COLUMN=UNIT",
        show_default=False,
        help='Say its unit and basis: "MAP=kPa absolute"; "temperature=degC" for all that are asked about.',
    ),
]
_Answers = Annotated[
    Path | None,
    typer.Option("--answers", metavar="FILE", help="The same from a TOML file.", show_default=False),
]
_Dbc = Annotated[
    list[Path] | None,
    typer.Option(
        "--dbc", metavar="FILE", help="DBC file for raw CAN frames in an MDF file.", show_default=False
    ),
]
_Encoding = Annotated[
    str | None,
    typer.Option(metavar="NAME", help="Encoding of a text, where it is taken wrongly.", show_default=False),
]
_Separator = Annotated[
    str, typer.Option(metavar="SIGN", help='Sign between fields: "," ";" tab bar blank.', show_default=False)
]
_Decimal = Annotated[str, typer.Option(metavar="SIGN", help='Decimal mark: "." or ",".', show_default=False)]
_TimeUnit = Annotated[
    str, typer.Option(metavar="UNIT", help="Unit of the time: s, ms, us, min or h.", show_default=False)
]
_Rate = Annotated[
    float | None,
    typer.Option(metavar="HZ", help="Rows a second, for a log without a time.", show_default=False),
]
_Again = Annotated[bool, typer.Option("--again", help="Read a file anew that was imported before.")]
_Json = Annotated[
    str | None,
    typer.Option(
        metavar="FILE", help='Write it all as JSON; "-" writes it to standard output.', show_default=False
    ),
]
_SIGNS = {
    "tab": "\t",
    "\\t": "\t",
    "bar": "|",
    "blank": " ",
    "blanks": " ",
    "comma": ",",
    "semicolon": ";",
    "point": ".",
}


def import_logs(
    files: _Files,
    build: _BuildOption = None,
    to: _To = None,
    map: _Map = None,
    unit: _Unit = None,
    answers: _Answers = None,
    dbc: _Dbc = None,
    encoding: _Encoding = None,
    separator: _Separator = "",
    decimal: _Decimal = "",
    time_unit: _TimeUnit = "",
    rate: _Rate = None,
    again: _Again = False,
    json: _Json = None,
) -> None:
    """Import logs into a build, or into a folder.

    The file is kept as it came, with its hash; its columns are stored beside it, and each is proposed as a channel with
    its unit, or asked about. Nothing is asked at the keyboard: give answers with --map, --unit or --answers, now or by
    importing the same file again.

    Exit code 0: imported, questions may be open; 2: a file or an option cannot be used, the other files are in.
    """
    from boostwright.cli.outputs import Outputs

    said = _text_options(separator, decimal, time_unit, rate)
    outputs = Outputs(None, None, json)
    from boostwright.report.import_json import import_json
    from boostwright.report.import_text import import_text
    from boostwright.tasks.import_log import ImportOptions, TextOptions, logs_folder
    from boostwright.tasks.import_log import import_logs as task

    if build is not None and to is not None:
        raise typer.BadParameter("--build and --to exclude each other: say one of them.")
    folder = to
    if folder is None:
        folder = logs_folder(build_folder(build if build is not None else _here()))
    text = TextOptions(encoding=encoding, **said)
    options = ImportOptions(text, tuple(dbc or ()), tuple(map or ()), tuple(unit or ()), answers, again)
    result = task(files, folder, options)
    outputs.write(
        import_text(result, output_width()), lambda: import_json(result), lambda: "", lambda _f, _o: []
    )
    for failed in result.failed:
        for fault in failed.faults:
            print(f"boostwright: {fault}", file=sys.stderr)
    for log in result.logs:
        for fault in log.faults:
            print(f"boostwright: {fault}", file=sys.stderr)
    if result.failed or any(log.faults for log in result.logs):
        raise typer.Exit(ExitCode.BAD_INPUT)


def _here() -> Path:
    """The folder we are in, where it is a build."""
    if not Path(BUILD_FILE).is_file():
        raise typer.BadParameter("say where the logs go: --build BUILD, or --to FOLDER.")
    return Path()


def _text_options(separator: str, decimal: str, time_unit: str, rate: float | None) -> dict[str, Any]:
    """The options on how a text is written; refuses what cannot be."""
    separator = _SIGNS.get(separator, separator)
    decimal = _SIGNS.get(decimal, decimal)
    if separator not in ("", ",", ";", "\t", "|", " "):
        raise typer.BadParameter("--separator is one of: comma, semicolon, tab, bar, blank.")
    if decimal not in ("", ".", ","):
        raise typer.BadParameter("--decimal is one of: point, comma.")
    if time_unit not in ("", "s", "ms", "us", "min", "h"):
        raise typer.BadParameter("--time-unit is one of: s, ms, us, min, h.")
    if rate is not None and not 0 < rate < 1e6:
        raise typer.BadParameter("--rate is rows a second, above 0.")
    return {"separator": separator, "decimal": decimal, "time_unit": time_unit, "rate": rate}
