"""``boostwright derive``: what follows from the channels of a log, with formula and band."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from boostwright.cli.common import output_width
from boostwright.cli.log_options import LogArgument, MapOption, UnitOption

if TYPE_CHECKING:
    from boostwright.tasks.derive import DeriveResult

__all__ = ["derive"]

_Build = Annotated[
    Path | None,
    typer.Option(
        "--build",
        metavar="BUILD",
        show_default=False,
        help="Folder of the build: its engine, maps, bores and model. Default: the build round the log.",
    ),
]
_Part = Annotated[
    int, typer.Option(metavar="N", help="Which part of the log. 0: the longest.", show_default=False)
]
_Pressure = Annotated[
    str | None,
    typer.Option(
        "--barometer",
        metavar="PRESSURE",
        show_default=False,
        help='Air pressure at the place, "98.3 kPa", in place of what log or build say. No QNH.',
    ),
]
_Temperature = Annotated[
    str | None,
    typer.Option(
        "--air-temperature",
        metavar="TEMPERATURE",
        show_default=False,
        help='Temperature of the air outside, "21 degC", in place of what log or build say.',
    ),
]
_Humidity = Annotated[
    float | None,
    typer.Option(metavar="SHARE", help="Relative humidity, 0 to 1.", show_default=False, min=0.0, max=1.0),
]
_Slope = Annotated[
    str | None,
    typer.Option(
        "--slope",
        metavar="SLOPE",
        show_default=False,
        help='Slope of the road, "6 %" uphill, for torque from the acceleration of the car. Default: from the logged '
        "altitude, else level.",
    ),
]
_Load = Annotated[
    str,
    typer.Option(
        metavar="KIND",
        show_default=False,
        help="What the engine pulls, for torque from acceleration: road, or roller without a brake. Default: what the "
        "log shows (full throttle in several gears, a speed by satellite: road), else the build's dyno.kind.",
    ),
]
_Correction = Annotated[
    str,
    typer.Option(
        metavar="RULE",
        show_default=False,
        help="Correct power by sae-j1349, iso-1585 or din-70020; raw figures stay first. Default: the build's.",
    ),
]
_Bands = Annotated[
    bool, typer.Option("--bands/--no-bands", help="Whether the prediction in the plots carries its band.")
]
_To = Annotated[
    Path | None,
    typer.Option(
        "--to",
        metavar="FOLDER",
        show_default=False,
        help="Write Parquet and JSON into FOLDER/derived. Default: the folder of an imported log.",
    ),
]
_Csv = Annotated[
    Path | None,
    typer.Option(metavar="FOLDER", help="Write CSV, one file a time base, into FOLDER.", show_default=False),
]
_Json = Annotated[
    str | None,
    typer.Option(metavar="FILE", help='Write JSON; "-" writes it to standard output.', show_default=False),
]
_Plot = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER",
        show_default=False,
        help="Draw strips over time, pulls over engine speed with the prediction, and the map, as PNG and SVG.",
    ),
]


def derive(
    log: LogArgument,
    build: _Build = None,
    part: _Part = 0,
    map: MapOption = None,
    unit: UnitOption = None,
    barometer: _Pressure = None,
    air_temperature: _Temperature = None,
    humidity: _Humidity = None,
    slope: _Slope = None,
    load: _Load = "",
    correction: _Correction = "",
    bands: _Bands = True,
    to: _To = None,
    csv: _Csv = None,
    json: _Json = None,
    plot: _Plot = None,
) -> None:
    """Work out what follows from the channels of a log.

    Boost, air flow by every route, the compressor's point and its margins, turbine, gate, cooler, torque, power: each
    with its formula, its band and what it was worked out from. What cannot be worked out says what it needs.

    Exit code 0: answered; 2: the log, the build or an option cannot be used.
    """
    from boostwright.cli.outputs import Outputs, say_compiling, say_search_compiling

    outputs = Outputs(None, plot, json)
    from boostwright.report.files import check_output_folder, write_whole
    from boostwright.report.log_derived_json import derived_json
    from boostwright.report.log_derived_text import derived_text
    from boostwright.tasks.derive import DeriveRequest, keep
    from boostwright.tasks.derive import derive as task
    from boostwright.tasks.import_log import ImportOptions
    from boostwright.tasks.log_place import open_log_place
    from boostwright.tasks.predict import needs_compiling

    for place, option in ((csv, "--csv"), (to, "--to")):
        if place is not None:
            check_output_folder(place, option)
    pressure = _quantity(barometer, "pressure", "--barometer")
    temperature = _quantity(air_temperature, "temperature", "--air-temperature")
    told = ImportOptions(maps=tuple(map or ()), units=tuple(unit or ()))
    opened = open_log_place(log, build, told, part)
    if opened.build is not None:
        say_compiling(needs_compiling())
    say_search_compiling()
    uphill = _quantity(slope, "dimensionless", "--slope")
    request = DeriveRequest(
        pressure, temperature, humidity, uphill, load, correction, bands and plot is not None
    )
    result = task(opened, request)
    text = derived_json(result)
    folder = to if to is not None else (opened.folder if opened.kept else None)
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
        written = keep(result, folder, {"derived.json": text})
        print(f"Written: {len(written)} files in {written[0].parent}", file=sys.stderr)
    outputs.write(
        derived_text(result, output_width()), lambda: text, lambda: "", lambda f, o: _pictures(result, f, o)
    )
    if csv is not None:
        from boostwright.report.log_derived_csv import derived_csv

        for name, content in derived_csv(result):
            write_whole(csv / name, content, "--csv")
        print(f"Written: CSV in {csv}", file=sys.stderr)


def _quantity(text: str | None, kind: str, option: str) -> float | None:
    """A stated pressure (absolute), temperature or slope in SI. Raises UnitError."""
    if text is None:
        return None
    from boostwright.units import parse_quantity

    found = parse_quantity(text, kind, key=option)
    if found.basis == "gauge":
        raise typer.BadParameter("--barometer is an absolute pressure.")
    return found.value_si


def _pictures(result: DeriveResult, folder: Path, option: str) -> list[Path]:
    from boostwright.report.log_figures import write_log_figures

    return write_log_figures(result, folder, option)
