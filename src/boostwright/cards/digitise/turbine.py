"""A turbine's flow curve as read: its flat end is the choked flow, the one number that a card asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.axes import AxesFit
from boostwright.cards.digitise.curve import CurveRead
from boostwright.cards.digitise.lines import along, roughness, smooth_curve, without_repeats
from boostwright.cards.digitise.session import Session, SessionError, axes_of
from boostwright.errors import Fault, UnitError
from boostwright.units import to_si

__all__ = ["TurbineReading", "read_turbine"]

Array = NDArray[np.float64]

_END = 0.15
"""Last share of the expansion ratios of a curve that is looked at for flatness."""
_FLAT = 0.02
"""Rise of flow over that share below which the end counts as flat."""
_READING = 0.01
"""Least half width of the band, as a share: what a picture can be read to."""


@dataclass(frozen=True)
class TurbineReading:
    """A flow curve.

    axes         as found
    curves       as read, x expansion ratio and y flow in the axis' unit
    flow_kind    'swallowing' or 'mass_flow'
    choked_flow  in the axis' unit
    band         from, to, in the axis' unit
    warnings     what is asked about
    """

    axes: AxesFit
    curves: tuple[CurveRead, ...]
    flow_kind: str
    choked_flow: float
    band: tuple[float, float]
    warnings: tuple[Fault, ...]


def read_turbine(session: Session) -> TurbineReading:
    """The flow curve of a reading.

    session  of a turbine; x expansion ratio, y corrected flow
    Returns a TurbineReading: choked flow is the largest flow that each curve ends with, the middle of them where there
    are several (speeds of one housing). Raises SessionError (AxesError among them) with every fault.
    """
    faults: list[Fault] = []
    kind = _flow_kind(session, faults)
    if session.x.unit not in ("", "-", "1"):
        faults.append(Fault(session.name, "x.unit", session.x.unit, "an expansion ratio has no unit."))
    lines = session.of_role("line")
    if not lines:
        faults.append(
            Fault(session.name, "strokes", "", "there is no flow curve yet.", "", "Click or trace it.")
        )
    for i, stroke in lines:
        if len(without_repeats(stroke.points)) < 3:
            faults.append(Fault(session.name, f"curve {i}", "", "needs three points at least."))
    if faults:
        raise SessionError(faults)
    axes = axes_of(session)
    curves, ends, warnings = [], [], []
    for i, stroke in lines:
        points = without_repeats(stroke.points)
        dense = smooth_curve(points)[0]
        if stroke.traced and len(points) > 4:
            length = along(dense)
            wanted = np.linspace(0.0, length[-1], 30)
            points = np.column_stack([np.interp(wanted, length, dense[:, k]) for k in (0, 1)])
        values = axes.values(points)
        order = np.argsort(values[:, 0], kind="stable")
        values, points = values[order], points[order]
        curves.append(CurveRead(i, stroke.value, points, values[:, 0], values[:, 1], roughness(points)))
        if values[0, 0] < 0.999:
            message = f"curve {i} begins at an expansion ratio of {values[0, 0]:.3g}, below 1."
            warnings.append(_asked(session, message, "Are the marks of the x axis right?"))
        end, rise = _end_of(axes.values(dense))
        ends.append(end * (1.0 + max(rise, 0.0)) if rise > _FLAT else end)
        if rise > _FLAT:
            message = (
                f"curve {i} still rises by {100 * rise:.1f} % over its last stretch: it is not choked yet."
            )
            remedy = "The choked flow is then a lower bound; its band was widened upward."
            warnings.append(_asked(session, message, remedy))
    middle = float(np.median([c.y.max() for c in curves]))
    low = min(float(c.y.max()) for c in curves)
    high = max(ends)
    spread = (min(low, middle * (1.0 - _READING)), max(high, middle * (1.0 + _READING)))
    return TurbineReading(axes, tuple(curves), kind, middle, spread, tuple(warnings))


def _end_of(values: Array) -> tuple[float, float]:
    """Flow at the end of a curve, and its rise over the last stretch as a share."""
    order = np.argsort(values[:, 0], kind="stable")
    x, y = values[order, 0], values[order, 1]
    before = float(np.interp(x[-1] - _END * (x[-1] - x[0]), x, y))
    return float(y[-1]), float(y[-1] / before - 1.0)


def _flow_kind(session: Session, faults: list[Fault]) -> str:
    unit = session.y.unit
    if not unit:
        allowed = "kg/s*sqrt(K)/kPa and its like, or a mass flow with its reference condition"
        faults.append(Fault(session.name, "y.unit", "", "has no unit.", allowed))
        return ""
    for kind in ("swallowing", "mass_flow"):
        try:
            to_si(1.0, kind, unit)
        except UnitError:
            continue
        if kind == "mass_flow":
            faults += [
                Fault(session.name, key, "", "is not given; a corrected mass flow means nothing without it.",
                      "as printed on the picture")
                for key in ("reference_pressure", "reference_temperature")
                if not session.fact(key)
            ]  # fmt: skip
        return kind
    faults.append(
        Fault(
            session.name,
            "y.unit",
            unit,
            "is no unit of a turbine's flow.",
            "kg/s, lb/min, kg/s*sqrt(K)/kPa ...",
        )
    )
    return ""


def _asked(session: Session, message: str, remedy: str) -> Fault:
    return Fault(session.name, "", "", message, "", remedy, severity="warning")
