"""A compressor map as read: speed lines with efficiency at each point, and how well everything fits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.axes import AxesFit
from boostwright.cards.digitise.between import held_between
from boostwright.cards.digitise.compressor_faults import line_doubts, stroke_faults, surge_doubts
from boostwright.cards.digitise.efficiency import EfficiencyFit, fit_efficiency
from boostwright.cards.digitise.family import Net
from boostwright.cards.digitise.hand import miss_across
from boostwright.cards.digitise.lines import (
    along,
    crossings,
    reaching,
    roughness,
    smooth_curve,
    without_repeats,
)
from boostwright.cards.digitise.session import Session, SessionError, axes_of
from boostwright.errors import Fault, UnitError
from boostwright.units import QuantityError, convert, parse_quantity, to_si

__all__ = ["CompressorReading", "IslandRead", "LineRead", "read_compressor"]

Array = NDArray[np.float64]

_GAS_CONSTANT = 287.05
_REACH, _ON = 3.0, 8.0
"""Pixels that a line, and a contour, may end short of what it ends at; contours meet lines at small angles."""
MOST_ON_A_LINE = 24
"""A traced line is thinned to so many points."""


@dataclass(frozen=True)
class LineRead:
    """One speed line.

    stroke      number of the stroke, counted from 1
    speed       [rad/s] corrected, at the map's reference
    pixels      (n, 2) the points, from surge to the right end
    flow        (n,) [kg/s] corrected, at the map's reference
    ratio       (n,) [-]
    efficiency  (n,) [-]
    known       n words: 'read' between two contours, 'top' inside the innermost one, 'extrapolated' beyond the last
    per_pixel   (n,) [-] efficiency that a pixel is worth there
    rough       (n,) [pixels] how far each point lies off what its neighbours make; nan at the ends
    """

    stroke: int
    speed: float
    pixels: Array
    flow: Array
    ratio: Array
    efficiency: Array
    known: tuple[str, ...]
    per_pixel: Array
    rough: Array


@dataclass(frozen=True)
class IslandRead:
    """One contour: stroke, its efficiency, and the surface less that at each of its points (nan off the lines' net)."""

    stroke: int
    value: float
    pixels: Array
    residuals: Array


@dataclass(frozen=True)
class CompressorReading:
    """The whole map.

    axes         as found
    lines        in order of speed
    islands      as given
    efficiency   the fitted surface
    flow_unit    unit in which the flow is written into the card
    warnings     what is asked about
    """

    axes: AxesFit
    lines: tuple[LineRead, ...]
    islands: tuple[IslandRead, ...]
    efficiency: EfficiencyFit
    flow_unit: str
    warnings: tuple[Fault, ...]

    @property
    def columns(self) -> Mapping[str, Array]:
        """The table of the card, in SI."""
        counts = [len(line.flow) for line in self.lines]
        return {
            "corrected_speed": np.repeat([line.speed for line in self.lines], counts),
            "corrected_flow": np.concatenate([line.flow for line in self.lines]),
            "pressure_ratio": np.concatenate([line.ratio for line in self.lines]),
            "efficiency": np.concatenate([line.efficiency for line in self.lines]),
        }

    @property
    def island_rms(self) -> float:
        """Root mean square [-] of the islands' residuals."""
        every = np.concatenate([island.residuals for island in self.islands])
        every = every[np.isfinite(every)]
        return float(np.sqrt(np.mean(every**2))) if every.size else math.nan

    @property
    def extrapolated(self) -> int:
        """Points whose efficiency lies beyond the last contour."""
        return sum(word == "extrapolated" for line in self.lines for word in line.known)


def read_compressor(session: Session) -> CompressorReading:
    """The map of a reading.

    session  of a compressor, with axes, at least two speed lines, and islands
    Returns a CompressorReading. Raises SessionError (AxesError among them) with every fault.
    """
    faults = stroke_faults(session)
    flow_unit, flow_factor, swapped = _flow_axis(session, faults)
    speeds = {i: _speed(session, i, s.value, faults) for i, s in session.of_role("line")}
    levels = {i: _share(session, i, s.value, faults) for i, s in session.of_role("island")}
    if faults:
        raise SessionError(faults)
    axes = axes_of(session)
    curves = _ordered(session, axes, swapped)
    order = sorted(curves, key=lambda i: speeds[i])
    _too_close(session, order, speeds)
    dense = {i: smooth_curve(curves[i]) for i in order}
    net = Net(axes, [speeds[i] for i in order], [dense[i][0] for i in order], swapped)
    islands = {i: without_repeats(s.points, s.closed) for i, s in session.of_role("island")}
    closed = {i: s.closed for i, s in session.of_role("island")}
    met = _where_they_cross(net, order, dense, islands, closed, levels)
    own = [_points_of(curves[i], dense[i], session.strokes[i - 1].traced) for i in order]
    shares = [net.share_on(dense[i][0], numbers) for i, (_, numbers) in zip(order, own, strict=True)]
    fit = _fitted(session, net, (shares, [pixels for pixels, _ in own]), (islands, levels), met)
    lines = []
    for k, i in enumerate(order):
        pixels, share, level = own[k][0], shares[k], float(net.levels[k])
        values = net.values(pixels)
        ends = (met[k][0][0], met[k][-1][0]) if met[k] else (0.0, 1.0)
        efficiency = held_between(share, fit.on_line(share, level, *ends), met[k], list(levels.values()))
        flow, worth, known = values[:, 0] * flow_factor, fit.per_pixel(share, level), _known(share, met[k])
        rough = roughness(pixels)
        lines.append(LineRead(i, speeds[i], pixels, flow, values[:, 1], efficiency, known, worth, rough))
    at, read = 0, []
    for i, points in islands.items():
        read.append(IslandRead(i, levels[i], points, fit.residuals[at : at + len(points)]))
        at += len(points)
    warnings = [*line_doubts(session, lines, read), *surge_doubts(session, axes, lines, dense, swapped)]
    return CompressorReading(axes, tuple(lines), tuple(read), fit, flow_unit, tuple(warnings))


def _fitted(
    session: Session,
    net: Net,
    lines: tuple[list[Array], list[Array]],
    islands: tuple[Mapping[int, Array], Mapping[int, float]],
    met: list[list[tuple[float, float]]],
) -> EfficiencyFit:
    """The surface through all contours; they are places and values by stroke."""
    places, levels = islands
    crossed = [(share, net.levels[k], value) for k, found in enumerate(met) for share, value in found]
    crossing = np.array(crossed, dtype=float).reshape(-1, 3)
    contours = (
        np.vstack(list(places.values())),
        np.concatenate([np.full(len(p), levels[i]) for i, p in places.items()]),
    )
    line, island = (miss_across([s for _, s in session.of_role(role)]) for role in ("line", "island"))
    try:
        return fit_efficiency(net, lines, contours, (crossing[:, :2], crossing[:, 2]), (line, island))
    except ValueError as error:
        message = "no island lies over the speed lines."
        remedy = "Look whether the islands belong to this map, and whether the lines lie where they should."
        raise SessionError([Fault(session.name, "islands", "", message, "", remedy)]) from error


def _flow_axis(session: Session, faults: list[Fault]) -> tuple[str, float, bool]:
    """Unit the card gets, factor from the axis' unit to kg/s, and whether flow is along the y axis."""
    swapped = session.x.of == "pressure_ratio" or session.y.of == "corrected_flow"
    flow, ratio = (session.y, session.x) if swapped else (session.x, session.y)
    where = f"{session.name}, axes"
    if ratio.unit not in ("", "-", "1"):
        message = f'has the unit "{ratio.unit}"; pressure ratio has none.'
        faults.append(Fault(where, "pressure_ratio", "", message, "pressure ratio, total to total"))
    if not flow.unit:
        message = "has no unit."
        allowed = "kg/s, g/s, kg/h, lb/min, m3/s, m3/h, CFM ... as printed on the map"
        faults.append(Fault(where, "corrected_flow", "", message, allowed))
        return "kg/s", 1.0, swapped
    try:
        return flow.unit, to_si(1.0, "mass_flow", flow.unit), swapped
    except UnitError as error:
        reason = error
    try:
        volume = to_si(1.0, "volume_flow", flow.unit)
    except UnitError:
        faults.append(Fault(where, "corrected_flow", flow.unit, f"{reason}.", "a mass flow or a volume flow"))
        return "kg/s", 1.0, swapped
    pressure = _si(session, "reference_pressure", "pressure")
    temperature = _si(session, "reference_temperature", "temperature")
    density = pressure / (_GAS_CONSTANT * temperature)  # a missing reference is a fault of its own
    return "kg/s", volume * density if math.isfinite(density) else 1.0, swapped


def _si(session: Session, key: str, kind: str) -> float:
    try:
        return parse_quantity(session.fact(key), kind).value_si
    except QuantityError:
        return math.nan


def _speed(session: Session, number: int, text: str, faults: list[Fault]) -> float:
    """Corrected speed [rad/s] of a line, from shaft speed or tip speed."""
    where, key = session.name, f"line {number}"
    try:
        return parse_quantity(text, "rotational_speed", place=where, key=key).value_si
    except QuantityError as error:
        first = error.fault
    try:
        tip = parse_quantity(text, "velocity").value_si
    except QuantityError:
        faults.append(first)
        return math.nan
    diameter = _si(session, "wheel_diameter", "length")
    if not diameter > 0.0:
        message = "is a tip speed, and the wheel's diameter is not given."
        faults.append(Fault(where, key, text, message, "", "Give wheel_diameter (exit), or a shaft speed."))
        return math.nan
    return 2.0 * tip / diameter


def _share(session: Session, number: int, text: str, faults: list[Fault]) -> float:
    """Efficiency of a contour [-]."""
    where, key = session.name, f"island {number}"
    try:
        value = parse_quantity(text, "dimensionless", place=where, key=key).value_si
    except QuantityError as error:
        faults.append(error.fault)
        return math.nan
    if not 0.05 <= value <= 0.95:
        remedy = f'Write "{text} %" if it is in percent.' if 5.0 <= value <= 95.0 else ""
        message = "is no efficiency of a compressor."
        faults.append(Fault(where, key, text, message, "0.05 to 0.95, or 5 to 95 %", remedy))
    return value


def _ordered(session: Session, axes: AxesFit, swapped: bool) -> dict[int, Array]:
    """The speed lines, each from its surge end on: the end of smaller flow."""
    out = {}
    for i, stroke in session.of_role("line"):
        points = without_repeats(stroke.points)
        flow = axes.values(points)[:, 1 if swapped else 0]
        out[i] = points if flow[0] <= flow[-1] else points[::-1]
    return out


def _too_close(session: Session, order: list[int], speeds: Mapping[int, float]) -> None:
    """Two lines of one speed cannot be told apart."""
    for a, b in pairwise(order):
        if speeds[b] < 1.015 * speeds[a]:
            rpm = convert(speeds[a], "rotational_speed", "rpm")
            message = f"lines {a} and {b} have almost the same speed, {rpm:.0f} rpm."
            remedy = "Correct one of them, or put their points into one line."
            raise SessionError([Fault(session.name, f"line {b}", "", message, "", remedy)])


def _where_they_cross(
    net: Net,
    order: list[int],
    dense: Mapping[int, tuple[Array, Array]],
    islands: Mapping[int, Array],
    closed: Mapping[int, bool],
    levels: Mapping[int, float],
) -> list[list[tuple[float, float]]]:
    """For each line: share along it and efficiency wherever a contour crosses it, in order along it."""
    contours = {i: smooth_curve(p, closed[i])[0] for i, p in islands.items() if len(p) > 1}
    contours = {i: contour if closed[i] else reaching(contour, _ON) for i, contour in contours.items()}
    out = []
    for i in order:
        curve = dense[i][0]
        longer = reaching(curve, _REACH)
        length = along(curve)[-1]
        shares = (along(longer) - _REACH) / length
        places = [
            (float(share), levels[j])
            for j, contour in contours.items()
            for share in np.interp(crossings(longer, contour), np.arange(len(longer)), shares)
        ]
        out.append(sorted(places))
    return out


def _points_of(points: Array, dense: tuple[Array, Array], traced: bool) -> tuple[Array, Array]:
    """The points of a line for the card, and their places on its dense polyline; a traced line at even steps."""
    curve, numbers = dense
    if not traced or len(points) <= 4:
        return points, np.searchsorted(numbers, np.arange(len(points)) - 1e-9).astype(float)
    length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(curve, axis=0).T))])
    count = int(min(MOST_ON_A_LINE, max(8, length[-1] / 15.0)))
    wanted = np.linspace(0.0, length[-1], count)
    places = np.interp(wanted, length, np.arange(len(curve)))
    return np.column_stack([np.interp(wanted, length, curve[:, i]) for i in (0, 1)]), places


def _known(share: Array, met: list[tuple[float, float]]) -> tuple[str, ...]:
    """How the efficiency of each point is known."""
    if not met:
        return ("extrapolated",) * len(share)
    places = np.array([place for place, _ in met])
    values = np.array([value for _, value in met])
    words = []
    for s in share:
        if s < places[0] - 0.01 or s > places[-1] + 0.01:
            words.append("extrapolated")
            continue
        i = int(np.clip(np.searchsorted(places, s) - 1, 0, max(len(places) - 2, 0)))
        inner = len(places) > 1 and values[i] == values[i + 1] and values[i] >= values.max() - 1e-12
        words.append("top" if inner else "read")
    return tuple(words)
