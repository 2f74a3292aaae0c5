"""``boostwright predict``: what an engine, a turbo, a housing, a gate and an exhaust do together."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from boostwright.cli.common import Settings, build_folder, output_width
from boostwright.cli.exit_codes import ExitCode
from boostwright.cli.outputs import Outputs, say_compiling

if TYPE_CHECKING:
    from boostwright.solve.operating_point import Prediction
    from boostwright.tasks.bands_result import BandedPrediction

__all__ = ["Mode", "predict"]

_BLAS = "scipy.linalg.cython_blas"


class Mode(StrEnum):
    """How boost is controlled in a prediction."""

    GATE_SHUT = "gate-shut"
    SPRING = "spring"
    TARGET = "target"
    GATE_OPEN = "gate-open"
    NO_TURBO = "no-turbo"


_Build = Annotated[Path, typer.Argument(metavar="BUILD", help="Folder of the build.", show_default=False)]
_Mode = Annotated[
    Mode | None,
    typer.Option(
        help=(
            "How boost is controlled: gate held shut, spring alone, target held, gate fully open (the lowest "
            "boost the system can hold), or the turbo taken out. Default: what the build says."
        ),
        show_default=False,
    ),
]
_Speeds = Annotated[
    str | None,
    typer.Option(
        metavar="SPEEDS",
        help=(
            'Engine speeds with their unit: "2000:6500:250 rpm" (from, to, step) or "2000, 2500, 4000 rpm". '
            "Default: what the build says."
        ),
        show_default=False,
    ),
]
_Bands = Annotated[
    bool,
    typer.Option(
        "--bands",
        help=(
            "Draw every value that carries a band, every default nobody confirmed and the models' own doubts, and "
            "answer with bands: what holds 90 % of the samples, and what makes it uncertain."
        ),
    ),
]
_Samples = Annotated[
    int | None,
    typer.Option(metavar="N", help="How many samples --bands draws. Default: 1000.", show_default=False),
]
_Seed = Annotated[
    int | None,
    typer.Option(
        metavar="S",
        help="Seed of the draws of --bands: the same one gives the same samples. Default: 1.",
        show_default=False,
    ),
]
_Propagation = Annotated[
    bool,
    typer.Option(
        "--propagation",
        help="Beside --bands, show standard deviations by the law of propagation: how far from linear is it?",
    ),
]
_Csv = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE", help="Write every quantity as CSV, with a row of units.", show_default=False
    ),
]
_Plot = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER", help="Draw the plots as PNG and SVG into this folder.", show_default=False
    ),
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


def predict(
    build: _Build,
    mode: _Mode = None,
    settings: Settings = None,
    speeds: _Speeds = None,
    csv: _Csv = None,
    plot: _Plot = None,
    json: _Json = None,
    bands: _Bands = False,
    samples: _Samples = None,
    seed: _Seed = None,
    propagation: _Propagation = False,
) -> None:
    """Predict what the parts of a build do together.

    Torque, power, boost, pressures, temperatures and margins over engine speed.

    Every point has a stable steady state or a reason why there is none.

    Exit code 0: answered; 2: the build
    or an option cannot be used; 3: not one point has a steady state; 4: an error inside the program.
    """
    from boostwright.cli.speeds import parse_speeds

    if not bands and (samples is not None or seed is not None or propagation):
        raise typer.BadParameter("--samples, --seed and --propagation belong to --bands: write that too.")
    speeds_si = None if speeds is None else parse_speeds(speeds)
    outputs = Outputs(csv, plot, json)

    from boostwright.tasks import predict as task

    say_compiling(task.needs_compiling())
    given: dict[str, Any] = {
        "mode": None if mode is None else mode.value,
        "settings": tuple(settings or ()),
        "speeds": speeds_si,
    }
    banded = None
    if bands:
        from boostwright.tasks.uncertainty import predict_bands

        given |= {"samples": 1000 if samples is None else samples, "seed": 1 if seed is None else seed}
        banded = predict_bands(build_folder(build), **given, propagate=propagation)
        prediction = banded.prediction
    else:
        with _no_search_for_blas():
            prediction = task.predict(build_folder(build), **given)
    for warning in prediction.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    _write(prediction, banded, outputs)
    if not prediction.solved.any():
        print("boostwright: not one point has a steady state; the reasons stand above.", file=sys.stderr)
        raise typer.Exit(ExitCode.NOTHING_SOLVED)


@contextmanager
def _no_search_for_blas() -> Iterator[None]:
    """Keep the compiler from importing a linear-algebra library when it loads its first function.

    It looks there for matrix products, which no kernel of ours has, and the import takes a tenth of the whole run.
    A name that stands as None in ``sys.modules`` is a module that cannot be imported; the compiler takes that as
    "none installed". Only here, where the process belongs to us; a kernel that needs a matrix product would refuse
    to compile, loudly.
    """
    if _BLAS in sys.modules:
        yield
        return
    sys.modules[_BLAS] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        del sys.modules[_BLAS]


def _write(prediction: Prediction, banded: BandedPrediction | None, outputs: Outputs) -> None:
    from boostwright.report.prediction_text import prediction_text

    def pictures(folder: Path, option: str) -> list[Path]:
        from boostwright.report.prediction_figures import write_prediction_figures

        bands = None if banded is None else banded.bands
        return write_prediction_figures(prediction, folder, option, bands)

    text = prediction_text(prediction, output_width())
    if banded is not None:
        from boostwright.report.bands_text import bands_text

        text += "\n" + bands_text(banded, output_width())
    outputs.write(
        text, lambda: _json_text(prediction, banded), lambda: _csv_text(prediction, banded), pictures
    )


def _json_text(prediction: Prediction, banded: BandedPrediction | None) -> str:
    if banded is not None:
        from boostwright.report.bands_json import bands_json

        return bands_json(banded)
    from boostwright.report.prediction_json import prediction_json

    return prediction_json(prediction)


def _csv_text(prediction: Prediction, banded: BandedPrediction | None) -> str:
    if banded is not None:
        from boostwright.report.bands_csv import bands_csv

        return bands_csv(banded)
    from boostwright.report.prediction_csv import prediction_csv

    return prediction_csv(prediction)
