"""Compressor: from the measured speed lines of a card to the C1 surface that the solver reads.

What is done, and why, is told in docs/explain/compressor.md. In short: every point becomes head, loss and
flow per
square or first power of shaft speed; flow is turned into a velocity-like flow that runs away near the flow
ceiling; each
line is normalised from its surge end (0) to its right end (1); at equal coordinate, lines are joined by
straight
chords over speed squared with rounded corners. Below the lowest line nothing but similarity is used.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card
from boostwright.cards.compressor import groups_of_lines
from boostwright.numerics.surfaces import (
    hermite_on_grid,
    monotone_slopes,
    pack_strip_surface,
    rounded_chords,
)
from boostwright.physics.turbo.compressor_similarity import (
    choked_flow_ratio,
    density_ratio_over_wheel,
    isentropic_head,
    pressure_ratio_of_head,
)
from boostwright.physics.turbo.corrected import (
    REFERENCE_PRESSURE,
    REFERENCE_TEMPERATURE,
    referred_flow,
    referred_speed,
)

__all__ = ["CompressorSurface", "SpeedLine", "compressor_surface", "speed_lines", "surface_of_lines"]

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

STEPS = 41
"""Samples of each line from surge to its right end."""
CEILING_MARGIN = (0.002, 0.05)
"""How far, at least and at most, the flow ceiling stands above the largest flow measured, as a share."""
USUAL_STEEPNESS = 0.7
"""Steepness d ln(head)/d ln(flow) at the right end of a line that is not choked yet; own estimate."""
INLET_RADIUS_SHARE = 0.45
"""Mean radius of the inlet throat over the exit radius: usual, own estimate; weak influence."""
WORK_COEFFICIENT = 0.70
"""Work coefficient from which the tip speed is told, wheel known or not; own estimate; weak influence."""
CHOKE_EFFICIENCY = 0.55
"""Efficiency at which a line counts as choked, unless at the flow ceiling before: maps end about here."""
OUTER_SPEED = 1.3
"""Speed, over the highest line, at which extrapolation upwards has come to rest."""
_SOUND = float(np.sqrt(1.4 * 287.05 * REFERENCE_TEMPERATURE))
_ENTHALPY = 1004.675 * REFERENCE_TEMPERATURE


@dataclass(frozen=True)
class SpeedLine:
    """One measured speed line, corrected to 288.15 K and 101 325 Pa, in order of rising flow.

    speed           [rad/s]  of the whole line
    flow            (n,) [kg/s]
    pressure_ratio  (n,) [-] total to total
    efficiency      (n,) [-] isentropic, total to total
    """

    speed: float
    flow: Array
    pressure_ratio: Array
    efficiency: Array


@dataclass(frozen=True)
class CompressorSurface:
    """A compressor for the solver; all corrected to 288.15 K, 101 325 Pa.

    table                   (n,) contiguous; read by ``solve.kernel.compressor`` only
    speed_lowest_measured   [rad/s] lowest speed line
    speed_highest_measured  [rad/s] highest speed line
    speed_limit             [rad/s] limiting speed; the highest line where the card states none
    speed_limit_status      words: where the limiting speed comes from
    wheel_diameter          [m] exit diameter, NaN when not known
    lines                   the measured lines themselves
    """

    table: Array
    speed_lowest_measured: float
    speed_highest_measured: float
    speed_limit: float
    speed_limit_status: str
    wheel_diameter: float
    lines: tuple[SpeedLine, ...]


@dataclass(frozen=True)
class _Row:
    """A line in similarity form: scalars, then head and loss with their slopes on the common coordinate."""

    surge: float
    width: float
    fall: float
    choke: float
    psi: Array
    psi_slope: Array
    loss: Array
    loss_slope: Array


def compressor_surface(card: Card) -> CompressorSurface:
    """The surface of a compressor card.

    card  a card of kind 'compressor', read and checked
    Returns a CompressorSurface. Raises OutOfDomain for lines that cannot be a compressor's (the card's own
    check
    refuses them first).
    """
    lines = speed_lines(card)
    limit, status = lines[-1].speed, "highest speed line of the card"
    diameter = card.si("wheel_diameter") if card.has("wheel_diameter") else float("nan")
    if card.has("speed_limit"):
        limit, status = card.si("speed_limit"), card.values["speed_limit"].status
    elif card.has("tip_speed_limit") and diameter > 0.0:
        limit, status = 2.0 * card.si("tip_speed_limit") / diameter, card.values["tip_speed_limit"].status
    return surface_of_lines(lines, limit, status, diameter)


def speed_lines(card: Card) -> tuple[SpeedLine, ...]:
    """The card's points as lines at the inner reference condition, in order of speed, each in order of flow.

    card  a card of kind 'compressor'
    Each point is moved to the mean speed of its line by similarity (flow with speed, head with speed
    squared).
    Points of equal flow and head are averaged.
    """
    t_ref = card.si("reference_temperature")
    p_ref = card.si("reference_pressure")
    speed = referred_speed(card.columns["corrected_speed"], t_ref, REFERENCE_TEMPERATURE)
    flow = referred_flow(
        card.columns["corrected_flow"], t_ref, p_ref, REFERENCE_TEMPERATURE, REFERENCE_PRESSURE
    )
    groups = groups_of_lines(speed, card.columns.get("line"))
    ratio, efficiency = card.columns["pressure_ratio"], card.columns["efficiency"]
    if card.has("loss_factor"):
        head = isentropic_head(ratio, REFERENCE_TEMPERATURE)
        work = head / efficiency
        head = work - card.si("loss_factor") * (work - head)
        ratio, efficiency = pressure_ratio_of_head(head, REFERENCE_TEMPERATURE), head / work
    return tuple(_line(speed[g], flow[g], ratio[g], efficiency[g]) for g in groups)


def _line(speed: Array, flow: Array, ratio: Array, efficiency: Array) -> SpeedLine:
    mean = float(np.mean(speed))
    head = isentropic_head(ratio, REFERENCE_TEMPERATURE) * (mean / speed) ** 2
    flow = flow * (mean / speed)
    order = np.lexsort((-head, flow))
    flow, head, efficiency = flow[order], head[order], efficiency[order]
    # Equal flows: the same reading twice is averaged. On a vertical choke line the head differs, and the
    # points are
    # set apart by a hair so that the line stays a function of flow.
    hair = 2e-4 * float(flow[-1])
    starts = [0]
    for i in range(1, len(flow)):
        if flow[i] - flow[starts[-1]] > 1e-9 * flow[-1] or abs(head[i] / head[starts[-1]] - 1.0) > 0.02:
            starts.append(i)
    blocks = np.split(np.arange(len(flow)), starts[1:])
    flow = np.array([flow[b].mean() for b in blocks])
    head = np.array([head[b].mean() for b in blocks])
    efficiency = np.array([efficiency[b].mean() for b in blocks])
    for i in range(1, len(flow)):
        flow[i] = max(flow[i], flow[i - 1] + hair * (flow[i] <= flow[i - 1]))
    return SpeedLine(mean, flow, (1.0 + head / _ENTHALPY) ** 3.5, efficiency)


def surface_of_lines(
    lines: Sequence[SpeedLine], speed_limit: float, speed_limit_status: str, wheel_diameter: float
) -> CompressorSurface:
    """The surface through measured lines (at least two, rising speed).

    lines               at 288.15 K and 101 325 Pa
    speed_limit         [rad/s] corrected
    speed_limit_status  words
    wheel_diameter      [m], NaN when not known
    Returns a CompressorSurface.
    """
    q = np.array([line.speed**2 for line in lines])
    head = [isentropic_head(line.pressure_ratio, REFERENCE_TEMPERATURE) / line.speed**2 for line in lines]
    loss = [h * (1.0 / line.efficiency - 1.0) for h, line in zip(head, lines, strict=True)]
    mean_head = float(np.median(np.concatenate(head)))
    mean_work = mean_head + float(np.median(np.concatenate(loss)))
    mach = INLET_RADIUS_SHARE**2 * mean_work / WORK_COEFFICIENT / _SOUND**2

    def ceiling_shape(at: Array) -> Array:
        return np.asarray(choked_flow_ratio(mach * at))

    def density(at: Array) -> Array:
        ratio = density_ratio_over_wheel(mean_head * at, mean_work * at, REFERENCE_TEMPERATURE)
        return np.asarray(np.sqrt(ratio))

    top = _ceiling([float(ceiling_shape(np.array(line.speed**2))) for line in lines], lines, head)
    rows = []
    for line, h, d in zip(lines, head, loss, strict=True):
        at = np.array(line.speed**2)
        ceiling = top * float(ceiling_shape(at))
        x = 2.0 * ceiling * (1.0 - np.sqrt(1.0 - line.flow / ceiling))
        rows.append(_row(x / (float(density(at)) * line.speed), h, d))
    outer = float(q[-1]) * OUTER_SPEED**2
    packed = np.array(
        [
            np.concatenate([[r.surge, r.width, r.fall, r.choke], r.psi, r.psi_slope, r.loss, r.loss_slope])
            for r in rows
        ]
    )
    positions, values, slopes = rounded_chords(q, packed, outer=outer)
    _keep_possible(values, packed[-1])
    table = _pack(positions, values, slopes, density, lambda at: top * ceiling_shape(at))
    table[8], table[9] = _ENTHALPY, positions[-1]
    return CompressorSurface(
        table,
        lines[0].speed,
        lines[-1].speed,
        speed_limit,
        speed_limit_status,
        wheel_diameter,
        tuple(lines),
    )


def _ceiling(shape: Sequence[float], lines: Sequence[SpeedLine], head: Sequence[Array]) -> float:
    """Flow ceiling over its shape, from the line that comes nearest to it.

    Near the ceiling a line steepens with one over the square root of the room left, so how steep the line
    ends tells
    how much room there is. A line that ends no steeper than usual says nothing, and the largest margin is
    taken.
    """
    reach = [float(line.flow[-1]) / s for line, s in zip(lines, shape, strict=True)]
    i = int(np.argmax(reach))
    flow, h = lines[i].flow, head[i]
    steep = -np.log(h[-1] / h[-2]) / np.log(flow[-1] / flow[-2])
    margin = (USUAL_STEEPNESS / max(float(steep), 1e-6)) ** 2
    return reach[i] * (1.0 + float(np.clip(margin, *CEILING_MARGIN)))


def _row(x: Array, head: Array, loss: Array) -> _Row:
    surge, width = float(x[0]), float(x[-1] - x[0])
    z = (x - x[0]) / width
    head = _falling_right_of_peak(z, head)
    grid = np.linspace(0.0, 1.0, STEPS)
    psi, psi_slope = hermite_on_grid(z, head, monotone_slopes(z, head), grid)
    lam, lam_slope = hermite_on_grid(z, loss, monotone_slopes(z, loss), grid)
    # Left end: never falls to the right of nothing, so that the surge flow is the top of its line or the
    # line falls
    # to the left of it; the loss keeps at least half of itself down to zero flow (see FADE in the kernel).
    psi_slope[0] = float(np.clip(psi_slope[0], 0.0, psi[0] * width / surge))
    lam_slope[0] = float(np.clip(lam_slope[0], -8.0 * psi[0] * width / surge, 2.0 * lam[0] * width / surge))
    # Right end: falls, ever faster; the loss stays positive.
    psi_slope[-1] = min(psi_slope[-1], -0.10 * psi[-1])
    fall = max(0.6 * abs(psi_slope[-1]), 0.15 * psi[-1])
    lam_slope[-1] = max(lam_slope[-1], -np.sqrt(2.0 * fall * lam[-1]))
    choke = _choke_coordinate(grid, psi, psi_slope, lam, lam_slope, fall)
    return _Row(surge, width, fall, choke, psi, psi_slope, lam, lam_slope)


def _falling_right_of_peak(z: Array, head: Array) -> Array:
    """Head made falling right of its highest point: neighbours that rise are pooled (isotonic regression)."""
    peak = int(np.argmax(head))
    pools: list[list[float]] = []
    for value in head[peak:]:
        pools.append([float(value), 1.0])
        while len(pools) > 1 and pools[-1][0] >= pools[-2][0]:
            mean, count = pools.pop()
            before = pools[-1]
            before[0] = (before[0] * before[1] + mean * count) / (before[1] + count)
            before[1] += count
    out = head.copy()
    out[peak:] = np.repeat([p[0] for p in pools], [int(p[1]) for p in pools])
    # A hair of slope keeps pooled points from lying level.
    out[peak:] -= 1e-4 * out[peak] * (z[peak:] - z[peak])
    return out


def _choke_coordinate(
    grid: Array, psi: Array, psi_slope: Array, loss: Array, loss_slope: Array, fall: float
) -> float:
    """Coordinate at which the efficiency has come down to CHOKE_EFFICIENCY, on the line or right of it."""
    efficiency = psi / (psi + loss)
    best = int(np.argmax(efficiency))
    low = np.flatnonzero(efficiency[best:] < CHOKE_EFFICIENCY)
    if low.size:
        i = best + int(low[0])
        t = (efficiency[i - 1] - CHOKE_EFFICIENCY) / (efficiency[i - 1] - efficiency[i])
        return float(grid[i - 1] + t * (grid[i] - grid[i - 1]))
    e = CHOKE_EFFICIENCY
    a = fall
    b = e * (psi_slope[-1] + loss_slope[-1]) - psi_slope[-1]
    c = e * (psi[-1] + loss[-1]) - psi[-1]
    return float(1.0 + (-b + np.sqrt(b * b - 4.0 * a * c)) / (2.0 * a))


def _keep_possible(values: Array, top: Array) -> None:
    """Keep the outermost row a compressor: no scalar or field falls below half of the top line's."""
    n = STEPS
    values[-1, :4] = np.maximum(values[-1, :4], 0.5 * top[:4])
    for start in (4, 4 + 2 * n):
        part = slice(start, start + n)
        values[-1, part] = np.maximum(values[-1, part], 0.5 * top[part])


def _pack(positions: Array, values: Array, slopes: Array, density: Curve, ceiling: Curve) -> Array:
    """Table of the kernel: scalars surge, width, density, ceiling, fall, choke; fields head and work."""
    n = STEPS
    step = 1e-4 * positions[-1]

    def slope(of: Curve, at: Array) -> Array:
        low = np.maximum(at - step, 0.0)
        return np.asarray((of(at + step) - of(low)) / (at + step - low))

    k, kc = density(positions), ceiling(positions)
    ks, kcs = slope(density, positions), slope(ceiling, positions)
    scalars = np.column_stack([values[:, 0], values[:, 1], k, kc, values[:, 2], values[:, 3]])
    scalar_slopes = np.column_stack([slopes[:, 0], slopes[:, 1], ks, kcs, slopes[:, 2], slopes[:, 3]])
    scalar_slopes[-1] = 0.0
    fields = np.empty((len(positions), n, 2, 4))
    for source, at in ((values, 0), (slopes, 2)):
        psi, psi_z, loss, loss_z = (source[:, 4 + i * n : 4 + (i + 1) * n] for i in range(4))
        fields[:, :, 0, at] = psi
        fields[:, :, 0, at + 1] = psi_z
        fields[:, :, 1, at] = psi + loss
        fields[:, :, 1, at + 1] = psi_z + loss_z
    return pack_strip_surface(positions, scalars, scalar_slopes, fields)
