"""The pictures of a prediction: which quantities stand on which plot, and writing them as PNG and SVG.

Importing this module imports the plotting library; it is imported only when pictures were asked for.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.cylinders_apart import cylinder_values
from boostwright.report.display import in_shown_unit, shown, shown_number
from boostwright.report.figures.limit_strip import Span, spans_of
from boostwright.report.figures.map_plot import MapPicture, MarkedPoint, draw_map_picture
from boostwright.report.figures.speed_plot import Curve, Level, Panel, SpeedPicture, draw_speed_picture
from boostwright.report.figures.style import drawing_style
from boostwright.report.files import make_output_folder, write_whole
from boostwright.report.rod_pictures import rod_panels
from boostwright.report.sweep import limit_labels, shown_values, speed_text
from boostwright.solve.operating_point import Prediction
from boostwright.tasks.bands_result import BandValues

__all__ = ["map_picture", "prediction_figures", "speed_pictures", "write_prediction_figures"]

_SPEED_LABEL = "engine speed, rpm"
_DOTS_AN_INCH = 150
_POWER_PANELS = (("torque", "torque at the crankshaft, Nm"), ("power", "power at the crankshaft, kW"))
_BESIDE = (
    ("corrected", "at the crankshaft, in the reference atmosphere"),
    ("wheel", "at the wheels, raw"),
)


def _curve(prediction: Prediction, name: str, label: str) -> Curve:
    return Curve(label, shown_values(prediction, name), quantity=name)


def _levels(prediction: Prediction, name: str) -> tuple[Level, ...]:
    """The limit on one quantity, where it is the same at every speed."""
    levels = []
    for limit in prediction.limits:
        if limit.quantity != name or not np.isfinite(limit.limit).any():
            continue
        how = shown(limit.quantity, limit.unit)
        values = in_shown_unit(limit.limit[np.isfinite(limit.limit)], how)
        if np.ptp(values) < 1e-9 * max(1.0, abs(float(values[0]))):
            number = shown_number(float(values[0]), how)
            text = f"limit: {limit.words} {number} {how.unit}".rstrip()
            levels.append(Level(text, float(values[0])))
    return tuple(levels)


def speed_pictures(prediction: Prediction) -> list[SpeedPicture]:
    """Every plot against engine speed, in the order in which one would look at them."""
    speeds = in_shown_unit(prediction.speeds, shown("engine_speed", "rad/s"))
    spans: tuple[Span, ...] = tuple(spans_of(speeds, limit_labels(prediction)))

    def picture(name: str, title: str, *panels: Panel) -> SpeedPicture:
        heading = f"{title}: {prediction.name}, mode {prediction.mode}"
        return SpeedPicture(name, heading, _SPEED_LABEL, speeds, panels, spans)

    def one(name: str, vertical: str, floor: float | None = None) -> Panel:
        return Panel(vertical, (_curve(prediction, name, "predicted"),), _levels(prediction, name), floor)

    return [
        picture(
            "torque-and-power",
            "Torque and power",
            *(_with_figures_beside(prediction, name, one(name, words, 0.0)) for name, words in _POWER_PANELS),
        ),
        picture(
            "pressures",
            "Boost, exhaust-manifold and downpipe pressure",
            one("boost", "boost (intake manifold\nabove the air outside), kPa gauge", 0.0),
            Panel(
                "total pressure, kPa absolute",
                (
                    _curve(prediction, "pressure_em", "exhaust manifold"),
                    _curve(prediction, "pressure_im", "intake manifold"),
                    _curve(prediction, "pressure_4", "downpipe"),
                ),
            ),
        ),
        picture(
            "wastegate",
            "Wastegate",
            one("gate_lift", "lift of the valve, mm", 0.0),
            one("gate_flow_share", "share of the exhaust gas\nthrough the gate, % of mass flow", 0.0),
        ),
        picture(
            "drive-pressure-ratio",
            "Drive-pressure ratio",
            Panel(
                "drive-pressure ratio, exhaust manifold\nover intake manifold, totals, absolute",
                (_curve(prediction, "drive_pressure_ratio", "predicted"),),
                (*_levels(prediction, "drive_pressure_ratio"), Level("exhaust and intake equal", 1.0)),
            ),
        ),
        *(
            picture("fuel-system", "Fuel system", *(one(name, words, 0.0) for name, words in panels))
            for panels in (_fuel_panels(prediction),)
            if panels
        ),
        *(picture("rods", "Connecting rods", *panels) for panels in (rod_panels(prediction),) if panels),
        *(picture(*drawn) for drawn in _cylinder_pictures(prediction)),
    ]


def _cylinder_pictures(prediction: Prediction) -> list[tuple[str, str, Panel, Panel, Panel]]:
    """Reading, lambda and knock of each cylinder, three to a picture, since a panel holds three curves."""
    if prediction.cylinders is None or not prediction.cylinders.quantities:
        return []
    words = {
        "egt_reading": "EGT reading in the runner, degC",
        "lambda": "lambda",
        "knock_integral": "knock integral, 1 is the limit",
    }
    found = []
    for first in range(0, len(prediction.cylinders.air_share), 3):
        numbers = range(first, min(first + 3, len(prediction.cylinders.air_share)))
        panels = [
            Panel(
                text, tuple(Curve(f"cylinder {k + 1}", cylinder_values(prediction, name, k)) for k in numbers)
            )
            for name, text in words.items()
        ]
        to = f"{numbers[0] + 1}" if len(numbers) == 1 else f"{numbers[0] + 1} to {numbers[-1] + 1}"
        name = f"cylinders-{to.replace(' to ', '-')}"
        found.append(
            (name, f"Cylinder{'s' if len(numbers) > 1 else ''} {to}", panels[0], panels[1], panels[2])
        )
    return found


def _with_figures_beside(prediction: Prediction, name: str, panel: Panel) -> Panel:
    """The raw curve first, then what the build asks for beside it; the words at the axis hold for the raw one."""
    beside = [(f"{name}_{key}", words) for key, words in _BESIDE if f"{name}_{key}" in prediction.quantities]
    if not beside:
        return panel
    raw = replace(panel.curves[0], label="at the crankshaft, raw")
    curves = (raw, *(_curve(prediction, key, words) for key, words in beside))
    vertical = panel.vertical.replace(" at the crankshaft", "")
    return replace(panel, vertical=vertical, curves=curves)


def _fuel_panels(prediction: Prediction) -> list[tuple[str, str]]:
    """Duty of the injectors and margin of the pump, where the build describes them."""
    words = {
        "injector_duty": "duty of the injectors,\n% of the time at hand",
        "pump_margin": "flow margin of the fuel pump,\n% of its flow",
    }
    return [(name, text) for name, text in words.items() if np.isfinite(shown_values(prediction, name)).any()]


def _least(prediction: Prediction, name: str, words: str, marker: str) -> list[MarkedPoint]:
    margin = shown_values(prediction, name)
    usable = np.isfinite(margin) & np.isfinite(shown_values(prediction, "corrected_flow"))
    if not usable.any():
        return []
    index = int(np.flatnonzero(usable)[np.argmin(margin[usable])])
    how = shown(name, "")
    text = f"least {words} margin: {margin[index]:.0f} {how.label} at {speed_text(prediction, index)} rpm"
    return [MarkedPoint(index, marker, text)]


def _grouped(value: float) -> str:
    """A speed in steps of ten, thousands apart: ``142 350``."""
    return f"{round(value, -1):,.0f}".replace(",", " ")


def _with_status(prediction: Prediction, name: str) -> str:
    """The name of a card with the status its choice carries, which has to stand wherever its data are shown."""
    status = next(
        (choice.status for choice in prediction.choices if choice.name == name and choice.status), ""
    )
    return f"{name} ({status})" if status else name


def _choke_ends(flow: NDArray[np.float64], ratio: NDArray[np.float64]) -> list[tuple[int, int]]:
    """Row and column of the last point of each speed line that has one."""
    ends = []
    for row in range(flow.shape[0]):
        finite = np.flatnonzero(np.isfinite(flow[row]) & np.isfinite(ratio[row]))
        if len(finite):
            ends.append((row, int(finite[-1])))
    return ends


def map_picture(prediction: Prediction) -> MapPicture | None:
    """The operating line on the compressor map; None where the prediction carries no map."""
    card = prediction.compressor_map
    if card is None:
        return None
    how = shown("corrected_flow", "kg/s")
    rpm = in_shown_unit(card.speeds_corrected, shown("corrected_speed", "rad/s"))
    flow = in_shown_unit(card.flow.ravel(), how).reshape(card.flow.shape)
    ends = _choke_ends(flow, card.pressure_ratio)
    return MapPicture(
        name="compressor-map",
        title=f"Operating line on the compressor map: {prediction.name}, mode {prediction.mode}",
        horizontal=f"corrected air flow, {how.unit} (at {card.reference})",
        vertical="pressure ratio, total to total, absolute",
        line_labels=tuple(_grouped(float(value)) for value in rpm),
        line_measured=tuple(
            bool(np.isclose(card.measured_speed, speed, rtol=1e-6).any()) for speed in card.speeds_corrected
        ),
        flow=flow,
        pressure_ratio=card.pressure_ratio,
        efficiency=card.efficiency,
        surge_flow=in_shown_unit(card.surge_flow, how),
        surge_pressure_ratio=card.surge_pressure_ratio,
        choke_flow=np.array([flow[end] for end in ends]),
        choke_pressure_ratio=np.array([card.pressure_ratio[end] for end in ends]),
        measured_flow=in_shown_unit(card.measured_flow, how),
        measured_pressure_ratio=card.measured_pressure_ratio,
        point_flow=shown_values(prediction, "corrected_flow"),
        point_pressure_ratio=shown_values(prediction, "compressor_pressure_ratio"),
        point_labels=tuple(speed_text(prediction, point) for point in range(len(prediction.speeds))),
        marked=(
            *_least(prediction, "surge_margin", "surge", "<"),
            *_least(prediction, "choke_margin", "choke", ">"),
        ),
        notes=(
            *((f"Map: {_with_status(prediction, card.name)}",) if card.name else ()),
            "At the line ends: corrected shaft speed, rpm. Bands: isentropic efficiency, total to total.",
        ),
    )


Bands = Mapping[str, BandValues]
"""Band of each quantity along the speeds, SI."""


def _shaded(picture: SpeedPicture, bands: Bands) -> SpeedPicture:
    """The picture with the band of every curve that has one behind it."""

    def banded(curve: Curve) -> Curve:
        band = bands.get(curve.quantity)
        if band is None:
            return curve
        how = shown(curve.quantity, band.unit)
        return replace(curve, low=in_shown_unit(band.low, how), high=in_shown_unit(band.high, how))

    panels = tuple(
        replace(panel, curves=tuple(banded(curve) for curve in panel.curves)) for panel in picture.panels
    )
    return replace(picture, panels=panels, title=f"{picture.title}; shaded: 5 to 95 % of the samples")


def prediction_figures(prediction: Prediction, bands: Bands | None = None) -> Iterator[tuple[str, Figure]]:
    """Every picture with its name, one after the other so that only one is held at a time.

    bands  what is shaded behind the curves; None shades nothing
    """
    for picture in speed_pictures(prediction):
        shown_picture = picture if bands is None else _shaded(picture, bands)
        yield picture.name, draw_speed_picture(shown_picture)
    on_map = map_picture(prediction)
    if on_map is not None:
        yield on_map.name, draw_map_picture(on_map)


def write_prediction_figures(
    prediction: Prediction, folder: Path, option: str, bands: Bands | None = None
) -> list[Path]:
    """Write every picture as PNG and SVG into ``folder``, which is made where it is missing.

    Returns the files in the order written. Raises OutputError naming ``option`` where the system refuses.
    """
    make_output_folder(folder, option)
    written = []
    with drawing_style():
        for name, figure in prediction_figures(prediction, bands):
            for ending, metadata in (("png", {"Software": None}), ("svg", {"Date": None})):
                content = io.BytesIO()
                figure.savefig(content, format=ending, dpi=_DOTS_AN_INCH, metadata=metadata)
                path = folder / f"{name}.{ending}"
                write_whole(path, content.getvalue(), option)
                written.append(path)
    return written
