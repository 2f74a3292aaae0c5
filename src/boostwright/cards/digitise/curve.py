"""An x-y curve as read: values over an axis in their units, as text for the build, and how rough it is.

The known torque or power curve of an engine and a dyno sheet are such curves whose axes are known, and of which more
is asked: where it was measured, and by which standard it was corrected.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.axes import AxesFit
from boostwright.cards.digitise.lines import along, roughness, smooth_curve, without_repeats
from boostwright.cards.digitise.session import Axis, Session, SessionError, axes_of
from boostwright.errors import Fault, UnitError
from boostwright.units import to_si

__all__ = ["MOST", "CurveRead", "CurveReading", "curve_text", "read_curves"]

Array = NDArray[np.float64]

MOST = 40
"""Points of a traced curve that are kept."""
_AIR = ("as-measured", "sae-j1349", "iso-1585", "din-70020")


@dataclass(frozen=True)
class CurveRead:
    """One curve.

    stroke  number of the stroke, counted from 1
    label   what was written beside it
    pixels  (n, 2) the points, in order of the x axis
    x, y    (n,) in the axes' units
    rough   (n,) [pixels] how far each point lies off what its neighbours make; nan at the ends
    """

    stroke: int
    label: str
    pixels: Array
    x: Array
    y: Array
    rough: Array


@dataclass(frozen=True)
class CurveReading:
    """The curves of a picture.

    axes      as found
    x, y      what the axes are
    kinds     kinds of quantity of both
    curves    as read
    warnings  what is asked about
    """

    axes: AxesFit
    x: Axis
    y: Axis
    kinds: tuple[str, str]
    curves: tuple[CurveRead, ...]
    warnings: tuple[Fault, ...]


def read_curves(session: Session) -> CurveReading:
    """The curves of a reading.

    session  of an x-y curve, a known curve or a dyno sheet
    Returns a CurveReading. Raises SessionError (AxesError among them) with every fault.
    """
    faults: list[Fault] = []
    engine = session.what in ("known-curve", "dyno-sheet")
    kinds = (_kind(session, session.x, "x", faults), _kind(session, session.y, "y", faults))
    if engine:
        faults += _engine_faults(session, kinds)
    lines = session.of_role("line")
    if not lines:
        faults.append(Fault(session.name, "strokes", "", "there is no curve yet.", "", "Click or trace one."))
    if engine and len(lines) > 1:
        message = f"there are {len(lines)} curves, and one is wanted."
        remedy = "Keep the curve of one pull; of torque and power the one whose axis was marked."
        faults.append(Fault(session.name, "strokes", "", message, "", remedy))
    for i, stroke in lines:
        if len(without_repeats(stroke.points)) < 2:
            faults.append(Fault(session.name, f"curve {i}", "", "needs two points at least."))
    if faults:
        raise SessionError(faults)
    axes = axes_of(session)
    curves, warnings = [], []
    for i, stroke in lines:
        pixels, doubts = _in_order(session, i, axes)
        values = axes.values(pixels)
        curves.append(CurveRead(i, stroke.value, pixels, values[:, 0], values[:, 1], roughness(pixels)))
        warnings += doubts
    return CurveReading(axes, session.x, session.y, kinds, tuple(curves), tuple(warnings))


def _kind(session: Session, axis: Axis, name: str, faults: list[Fault]) -> str:
    """Kind of quantity along an axis."""
    unit = "" if axis.unit in ("-", "1") else axis.unit
    where = f"{session.name}, axes"
    if not axis.of:
        message = "is not said."
        faults.append(
            Fault(where, f"{name}.of", "", message, "a kind of quantity, as rotational_speed or torque")
        )
        return ""
    try:
        to_si(1.0, axis.of, unit)
    except UnitError as error:
        message = "has no unit." if not unit else f"{error}."
        faults.append(
            Fault(where, f"{name}.unit", axis.unit, message, f"a unit of {axis.of.replace('_', ' ')}")
        )
    return axis.of


def _engine_faults(session: Session, kinds: tuple[str, str]) -> list[Fault]:
    """What a torque or power curve must say of itself."""
    faults = []
    where = session.name
    if kinds[0] and kinds[0] != "rotational_speed":
        faults.append(Fault(where, "x.of", kinds[0], "is not engine speed.", "rotational_speed"))
    if kinds[1] and kinds[1] not in ("torque", "power"):
        faults.append(Fault(where, "y.of", kinds[1], "is neither torque nor power.", "torque or power"))
    at = session.fact("known_curve_at")
    if at not in ("crank", "wheel"):
        message = "does not say where it was measured: at the wheels it reads 10 to 20 % less."
        faults.append(Fault(where, "known_curve_at", at, message, "crank or wheel"))
    air = session.fact("known_curve_air")
    if air not in _AIR:
        message = "does not say which air it is stated for."
        allowed = "as-measured, or the standard it was corrected by: " + ", ".join(_AIR[1:])
        faults.append(
            Fault(where, "known_curve_air", air, message, allowed, "It stands on the sheet mostly.")
        )
    if air == "as-measured":
        for key in ("known_curve_pressure", "known_curve_temperature"):
            if not session.fact(key):
                message = "is needed for a curve as measured."
                faults.append(
                    Fault(where, key, "", message, "what a barometer or thermometer showed that day")
                )
    return faults


def _in_order(session: Session, number: int, axes: AxesFit) -> tuple[Array, list[Fault]]:
    """The points of a curve in order of the x axis; a traced one at even steps; doubts where it turns back."""
    stroke = session.strokes[number - 1]
    points = without_repeats(stroke.points)
    if stroke.traced and len(points) > 4:
        curve = smooth_curve(points)[0]
        length = along(curve)
        wanted = np.linspace(0.0, length[-1], int(min(MOST, max(8, length[-1] / 12.0))))
        points = np.column_stack([np.interp(wanted, length, curve[:, i]) for i in (0, 1)])
    x = axes.values(points)[:, 0]
    if x[0] > x[-1]:
        points, x = points[::-1], x[::-1]
    doubts = []
    back = np.flatnonzero(np.diff(x) <= 0.0)
    if back.size:
        message = f"curve {number} turns back at point {int(back[0]) + 2}; its points were put in order."
        remedy = "Is a point out of place, or was another line followed?"
        doubts.append(Fault(session.name, "", "", message, "", remedy, severity="warning"))
        x, kept = np.unique(x, return_index=True)
        points = points[kept]
    rough = roughness(points)
    slips = np.flatnonzero(np.abs(np.nan_to_num(rough)) > 3.0)
    if slips.size and not stroke.traced:
        worst = int(slips[np.argmax(np.abs(rough[slips]))])
        message = (
            f"point {worst + 1} of curve {number} lies {abs(rough[worst]):.1f} pixels off its neighbours."
        )
        remedy = "Was it a slip? Drag it, or add points beside it."
        doubts.append(Fault(session.name, "", "", message, "", remedy, severity="warning"))
    return points, doubts


def curve_text(
    reading: CurveReading, curve: CurveRead, axis: str, basis: str = "", axis_basis: str = ""
) -> str:
    """The curve as a value of build.toml.

    axis        key of the list of places: speed for engine speed, else what the parameter's own axis is called
    basis       what the values are counted from; empty for nothing
    axis_basis  what the places are counted from; empty for nothing
    """

    def listed(values: Array) -> str:
        step = float(np.ptp(values)) / 4000.0 if len(values) > 1 else 0.0
        digits = max(0, math.ceil(-math.log10(step))) if step > 0.0 else 6
        return ", ".join(f"{value:.{digits}f}" for value in values)

    parts = [f"{axis} = [{listed(curve.x)}]", f'unit = "{reading.x.unit}"', f"value = [{listed(curve.y)}]"]
    if axis_basis:
        parts.insert(2, f'basis = "{axis_basis}"')
    if reading.y.unit not in ("", "-", "1"):
        parts.append(f'value_unit = "{reading.y.unit}"')
    if basis:
        parts.append(f'value_basis = "{basis}"')
    return "{ " + ", ".join(parts) + " }"
