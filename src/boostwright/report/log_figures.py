"""The pictures of a log: strips over time, pulls over engine speed beside the prediction, points on the map.

Importing this module imports the plotting library; it is imported only when pictures were asked for.
"""

from __future__ import annotations

import io
import textwrap
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.display import Shown, in_shown_unit, shown
from boostwright.report.figures.log_overlay import Overlay, OverlayPanel, OverlayPicture, draw_overlay
from boostwright.report.figures.log_points import LoggedPoints, draw_points_on_map
from boostwright.report.figures.log_strips import Strip, StripLine, StripPicture, draw_strips
from boostwright.report.figures.style import drawing_style
from boostwright.report.files import make_output_folder, write_whole
from boostwright.report.log_shown import how_shown, values_shown
from boostwright.report.prediction_figures import map_picture
from boostwright.tasks.derive import Derived, DeriveResult, is_vague, told_rows, within

__all__ = ["log_figures", "overlay_picture", "strip_picture", "write_log_figures"]

Array = NDArray[np.float64]

_DOTS_AN_INCH = 150
_NOTE = "Predicted: {}, mode {}, steady state in the air of that day."
_STRIPS: tuple[tuple[str, ...], ...] = (
    ("boost",),
    ("pressure_em", "pressure_im", "pressure_4"),
    ("mass_flow_air_meter", "mass_flow_air_speed_density", "mass_flow_air_fuel"),
    ("compressor_pressure_ratio",),
    ("corrected_speed", "corrected_speed_map"),
    ("surge_margin", "choke_margin", "speed_margin"),
    ("drive_pressure_ratio", "turbine_expansion_ratio"),
    ("gate_flow_share",),
    ("cooler_effectiveness",),
    ("lambda", "lambda_corrected"),
    ("egt_reading_spread",),
    ("torque",),
)
_PANELS = (
    "boost",
    "torque",
    "mass_flow_air",
    "compressor_pressure_ratio",
    "corrected_speed",
    "drive_pressure_ratio",
    "lambda",
    "temperature_em",
    "temperature_2",
    "compressor_efficiency",
    "cooler_effectiveness",
    "gate_flow_share",
    "volumetric_efficiency",
    "power",
)
_MEASURED_BY = {"temperature_2": "temperature_2", "temperature_em": "egt_reading"}
"""What a panel takes to be drawn: without the probe it would show what was assumed."""
_BY_PULLS = (
    "compressor_pressure_ratio",
    "surge_margin",
    "drive_pressure_ratio",
    "gate_flow_share",
    "cooler_effectiveness",
    "lambda",
    "torque",
)
"""Strips whose axis is that of the pulls: in overrun they run to where nothing is to be read."""
_SHORT = {
    "corrected_speed": "corrected speed",
    "corrected_speed_map": "corrected speed by the map",
    "gate_flow_share": "share of the gas through the gate",
    "lambda": "lambda as read",
    "temperature_em": "exhaust gas ahead of the turbine",
    "egt_reading_spread": "EGT, hottest less coldest",
    "compressor_efficiency": "compressor efficiency",
    "cooler_effectiveness": "cooler effectiveness",
}
"""Words for an axis where a quantity's own are too long to stand beside it."""
_FEWEST = 4  # rows of a pull that make a line
_MOST_POINTS = 60  # of a pull on the map
_WIDEST = 26  # characters of an axis label on a line


def strip_picture(result: DeriveResult) -> StripPicture | None:
    """What a log gives over time; None where it gives none of it."""
    strips = [_speed_strip(*result.engine_speed)] if result.engine_speed is not None else []
    for names in _STRIPS:
        found = [result.worked.made[name] for name in names if _drawn(result, name)]
        if found:
            lines = tuple(_line(one) for one in found)
            strips.append(Strip(_axis(found), lines, names[0] in _BY_PULLS))
    title = f"{result.place.name}: derived from the log; shaded: 90 % bands; grey: pulls"
    derived = len(strips) > (result.engine_speed is not None)
    return StripPicture("strips", title, tuple(strips), result.stretches) if derived else None


def _speed_strip(time: Array, speed: Array) -> Strip:
    """Engine speed, by which all the others are found."""
    rpm = _rpm(speed)
    return Strip("engine speed, rpm", (StripLine("engine speed", time, rpm, rpm, rpm),))


def _drawn(result: DeriveResult, name: str) -> bool:
    """True for a quantity that was worked out and is not too vague to be drawn."""
    figure = result.figures.get(name)
    return name in result.worked.made and not (figure is not None and is_vague(name, figure))


def _words(one: Derived) -> str:
    return _SHORT.get(one.quantity.name, one.quantity.words)


def _axis(found: list[Derived]) -> str:
    how = how_shown(found[0])
    words = _words(found[0]) if len(found) == 1 else _common([one.quantity.name for one in found])
    return _label(words, how)


def _label(words: str, how: Shown) -> str:
    """Words and unit in lines that fit beside a panel."""
    text = words if how.label == "-" else f"{words}, {how.label}"
    return "\n".join(textwrap.wrap(text, _WIDEST))


def _common(names: list[str]) -> str:
    """What several lines have in common, in words."""
    known = {
        "pressure_em": "total pressure",
        "pressure_im": "total pressure",
        "mass_flow_air_meter": "air flow",
        "mass_flow_air_speed_density": "air flow",
        "mass_flow_air_fuel": "air flow",
        "corrected_speed": "corrected speed",
        "surge_margin": "margin",
        "drive_pressure_ratio": "ratio of totals",
        "lambda": "lambda",
    }
    return next((known[name] for name in names if name in known), names[0].replace("_", " "))


def _line(one: Derived) -> StripLine:
    how = how_shown(one)
    result = one.result.only(told_rows(one))
    low, high = values_shown(result.low, how), values_shown(result.high, how)
    return StripLine(_words(one), one.time, values_shown(result.value, how), low, high)


def overlay_picture(result: DeriveResult) -> OverlayPicture | None:
    """The pulls over engine speed, and the prediction in the air of that day; None without a pull."""
    speed = result.engine_speed
    if not result.pulls or speed is None:
        return None
    panels = []
    for name in _PANELS:
        if not _drawn(result, name):
            continue
        derived = result.worked.made[name]
        if not any(one.startswith(_MEASURED_BY.get(name, "")) for one in derived.inputs or ("",)):
            continue  # assumed, or the model's own
        curves = [*_predicted(result, name), *_pulls(result, derived, *speed)]
        if any(not curve.predicted for curve in curves):
            panels.append(OverlayPanel(_label(_words(derived), how_shown(derived)), tuple(curves)))
    if not panels:
        return None
    title = f"{result.place.name}: pulls over engine speed; shaded: 90 % bands"
    notes: tuple[str, ...] = ()
    if result.prediction is not None:
        notes = (_NOTE.format(result.prediction.name, result.prediction.mode),)
    return OverlayPicture("over-speed", title, "engine speed, rpm", tuple(panels), notes)


def _rpm(speed: Array) -> Array:
    return in_shown_unit(speed, shown("engine_speed", "rad/s"))


def _pulls(result: DeriveResult, derived: Derived, time: Array, speed: Array) -> Iterator[Overlay]:
    how = how_shown(derived)
    for number, (begin, end) in enumerate(result.stretches, 1):
        rows = within(derived.time, [(begin, end)], derived.period) & told_rows(derived)
        if rows.sum() < _FEWEST:
            continue
        at = np.interp(derived.time[rows], time, speed)
        value, low, high = (
            values_shown(values[rows], how)
            for values in (derived.result.value, derived.result.low, derived.result.high)
        )
        gear = result.pulls[number - 1].gear
        label = f"pull {number}" + (f", gear {gear}" if gear else "")
        yield Overlay(label, _rpm(at), value, low, high)


def _predicted(result: DeriveResult, name: str) -> Iterator[Overlay]:
    prediction = result.prediction
    if prediction is None or name not in prediction.quantities:
        return
    found = prediction.quantities[name]
    how = shown(name, found.unit)
    value = values_shown(found.values, how)
    band = result.bands.get(name)
    low = values_shown(band.low, how) if band is not None else value
    high = values_shown(band.high, how) if band is not None else value
    yield Overlay("predicted", _rpm(prediction.speeds), value, low, high, predicted=True)


def _points(result: DeriveResult) -> tuple[LoggedPoints, ...]:
    """The compressor's points of each pull; of the whole log where no pull was found."""
    flow, ratio = (result.worked.made.get(name) for name in ("corrected_flow", "compressor_pressure_ratio"))
    speed = result.engine_speed
    if flow is None or ratio is None or speed is None:
        return ()
    how = shown("corrected_flow", "kg/s")
    found = []
    stretches = [(one,) for one in result.stretches]
    for number, stretch in enumerate(stretches or [()], 1):
        rows = np.flatnonzero(within(flow.time, stretch, flow.period) & np.isfinite(flow.result.value))
        rows = rows[:: max(1, rows.size // _MOST_POINTS)]
        if not rows.size:
            continue
        time = flow.time[rows]
        found.append(
            LoggedPoints(
                f"pull {number}, logged" if result.stretches else "logged",
                values_shown(flow.result.value[rows], how),
                np.interp(time, ratio.time, ratio.result.value),
                values_shown((flow.result.high - flow.result.value)[rows], how),
                np.interp(time, ratio.time, ratio.result.high - ratio.result.value),
                _rpm(np.interp(time, *speed)),
            )
        )
    return tuple(found)


def log_figures(result: DeriveResult) -> Iterator[tuple[str, Figure]]:
    """Every picture with its name, one after the other."""
    strips = strip_picture(result)
    if strips is not None:
        yield strips.name, draw_strips(strips)
    overlay = overlay_picture(result)
    if overlay is not None:
        yield overlay.name, draw_overlay(overlay)
    points = _points(result)
    if result.prediction is not None and points:
        picture = map_picture(result.prediction)
        if picture is not None:
            title = f"{result.place.name}: points on the compressor map, bars: 90 % bands"
            notes = (*picture.notes, _NOTE.format(result.prediction.name, result.prediction.mode))
            named = replace(picture, title=title, notes=notes)
            yield "on-the-map", draw_points_on_map(named, points, "engine speed, rpm")


def write_log_figures(result: DeriveResult, folder: Path, option: str) -> list[Path]:
    """Write every picture as PNG and SVG into ``folder``, which is made where it is missing.

    Returns the files in the order written. Raises OutputError naming ``option`` where the system refuses.
    """
    make_output_folder(folder, option)
    written = []
    with drawing_style():
        for name, figure in log_figures(result):
            for ending, metadata in (("png", {"Software": None}), ("svg", {"Date": None})):
                content = io.BytesIO()
                figure.savefig(content, format=ending, dpi=_DOTS_AN_INCH, metadata=metadata)
                path = folder / f"{name}.{ending}"
                write_whole(path, content.getvalue(), option)
                written.append(path)
    return written
