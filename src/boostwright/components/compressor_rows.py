"""Speed lines in similarity form: what the surface joins from line to line.

Head, loss and flow are taken per square or first power of shaft speed (the wheel's diameter drops out). Flow
is made
a velocity-like flow first: through a throat, mass flow saturates while velocity, and with it loss, goes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor_lines import SpeedLine
from boostwright.numerics.surfaces import hermite_on_grid, monotone_slopes
from boostwright.physics.turbo.compressor_similarity import (
    choked_flow_ratio,
    density_ratio_over_wheel,
    isentropic_head,
)
from boostwright.physics.turbo.corrected import REFERENCE_TEMPERATURE

__all__ = ["STEPS", "Row", "Similarity", "rows_of_lines", "similarity_of_lines"]

Array = NDArray[np.float64]

STEPS = 41
"""Samples of each line from surge to its right end."""
CEILING_MARGIN = (0.0005, 0.05)
"""How far, at least and at most, the flow ceiling stands above the largest flow measured, as a share."""
USUAL_STEEPNESS = 0.7
"""Steepness d ln(head)/d ln(flow) at the right end of a line that is not choked yet; own estimate."""
INLET_RADIUS_SHARE = 0.45
"""Mean radius of the inlet throat over the exit radius: usual, own estimate; weak influence."""
WORK_COEFFICIENT = 0.70
"""Work coefficient from which the tip speed is told, wheel known or not; own estimate; weak influence."""
CHOKE_EFFICIENCY = 0.55
"""Efficiency at which a line counts as choked, unless at the flow ceiling before: maps end about here."""
_SOUND = float(np.sqrt(1.4 * 287.05 * REFERENCE_TEMPERATURE))


@dataclass(frozen=True)
class Similarity:
    """What all lines of one machine share.

    mean_head, mean_work  [J s2/(kg rad2)] medians over all points, per square of shaft speed
    ceiling_scale         [kg/s] flow ceiling over the choked-flow ratio of its speed
    room                  0 when the map shows choking, 1 when it shows none: how little the ceiling is known
    """

    mean_head: float
    mean_work: float
    ceiling_scale: float
    room: float

    def ceiling(self, q: Array) -> Array:
        """Flow [kg/s] no point can exceed, by speed squared [rad2/s2]: a throat that turns with the wheel."""
        return self.ceiling_scale * _ceiling_shape(q, self.mean_work)

    def density(self, q: Array) -> Array:
        """Mean density in the wheel over inlet density [-] by speed squared: root of the whole density ratio."""
        ratio = density_ratio_over_wheel(self.mean_head * q, self.mean_work * q, REFERENCE_TEMPERATURE)
        return np.asarray(np.sqrt(ratio))


@dataclass(frozen=True)
class Row:
    """One line on the common coordinate, 0 at its surge end and 1 at its right end.

    surge, width           velocity-like flow over speed and density [kg/rad] at the surge end; from there to
    the right
    fall                   curvature of the head to the right of the end
    choke                  coordinate at which the line chokes
    head, loss             (STEPS,) per square of speed, and their slopes over the coordinate
    """

    surge: float
    width: float
    fall: float
    choke: float
    head: Array
    head_slope: Array
    loss: Array
    loss_slope: Array


def _ceiling_shape(q: Array, mean_work: float) -> Array:
    mach_squared = INLET_RADIUS_SHARE**2 * mean_work / WORK_COEFFICIENT / _SOUND**2 * q
    return np.asarray(choked_flow_ratio(mach_squared))


def similarity_of_lines(lines: Sequence[SpeedLine]) -> Similarity:
    """Shared measures of a machine's lines.

    lines  at 288.15 K and 101 325 Pa, at least two
    The flow ceiling is set from the line that comes nearest to it. Near the ceiling a line steepens with one
    over
    the square root of the room left, so how steep it ends tells how much room there is: as much as makes the
    head
    fall with the velocity-like flow as steeply as is usual. A line that ends no steeper than usual says
    nothing, and
    the largest margin is taken.
    """
    heads = [_head(line) for line in lines]
    losses = [h * (1.0 / line.efficiency - 1.0) for h, line in zip(heads, lines, strict=True)]
    mean_head = float(np.median(np.concatenate(heads)))
    mean_work = mean_head + float(np.median(np.concatenate(losses)))
    shape = _ceiling_shape(np.array([line.speed**2 for line in lines]), mean_work)
    reach = np.array([line.flow[-1] for line in lines]) / shape
    i = int(np.argmax(reach))
    drop = -float(np.log(heads[i][-1] / heads[i][-2]))
    last_but_one = float(lines[i].flow[-2] / lines[i].flow[-1])
    low, high = CEILING_MARGIN
    for _ in range(40):
        margin = float(np.sqrt(low * high))
        end, before = (1.0 - np.sqrt(1.0 - y / (1.0 + margin)) for y in (1.0, last_but_one))
        if drop > USUAL_STEEPNESS * np.log(end / before):
            high = margin
        else:
            low = margin
    room = float(np.log(margin / CEILING_MARGIN[0]) / np.log(CEILING_MARGIN[1] / CEILING_MARGIN[0]))
    return Similarity(mean_head, mean_work, float(reach[i]) * (1.0 + margin), room)


def rows_of_lines(lines: Sequence[SpeedLine], shared: Similarity) -> list[Row]:
    """Each line on the common coordinate.

    lines   at 288.15 K and 101 325 Pa
    shared  from ``similarity_of_lines``
    """
    rows = []
    for line in lines:
        q = np.array(line.speed**2)
        ceiling = float(shared.ceiling(q))
        velocity = 2.0 * ceiling * (1.0 - np.sqrt(1.0 - line.flow / ceiling))
        head = _head(line)
        rows.append(
            _row(
                velocity / (float(shared.density(q)) * line.speed), head, head * (1.0 / line.efficiency - 1.0)
            )
        )
    return rows


def _head(line: SpeedLine) -> Array:
    return np.asarray(isentropic_head(line.pressure_ratio, REFERENCE_TEMPERATURE) / line.speed**2)


def _row(x: Array, head: Array, loss: Array) -> Row:
    surge, width = float(x[0]), float(x[-1] - x[0])
    z = (x - x[0]) / width
    head = _falling_right_of_peak(z, head)
    grid = np.linspace(0.0, 1.0, STEPS)
    psi, psi_slope = hermite_on_grid(z, head, monotone_slopes(z, head), grid)
    lam, lam_slope = hermite_on_grid(z, loss, monotone_slopes(z, loss), grid)
    # Left end: where head would go on rising to the left the surge end is made the top; where it falls it
    # does so by
    # no more than a quarter down to zero flow, and the loss keeps half of itself (see FADE in the kernel).
    psi_slope[0] = float(np.clip(psi_slope[0], 0.0, psi[0] * width / surge))
    lam_slope[0] = float(np.clip(lam_slope[0], -8.0 * psi[0] * width / surge, 2.0 * lam[0] * width / surge))
    # Right end: head falls, ever faster; the loss stays above half of what it is.
    psi_slope[-1] = min(psi_slope[-1], -0.10 * psi[-1])
    fall = max(0.6 * abs(psi_slope[-1]), 0.15 * psi[-1])
    lam_slope[-1] = max(lam_slope[-1], -np.sqrt(2.0 * fall * lam[-1]))
    choke = _choke_coordinate(grid, psi, psi_slope, lam, lam_slope, fall)
    return Row(surge, width, fall, choke, psi, psi_slope, lam, lam_slope)


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
    if low.size and low[0] > 0:
        i = best + int(low[0])
        t = (efficiency[i - 1] - CHOKE_EFFICIENCY) / (efficiency[i - 1] - efficiency[i])
        return float(grid[i - 1] + t * (grid[i] - grid[i - 1]))
    e = CHOKE_EFFICIENCY
    a = fall
    b = e * (psi_slope[-1] + loss_slope[-1]) - psi_slope[-1]
    c = e * (psi[-1] + loss[-1]) - psi[-1]
    if c >= 0.0:  # a machine that never reaches that efficiency: its right end counts
        return 1.0
    return float(1.0 + (-b + np.sqrt(b * b - 4.0 * a * c)) / (2.0 * a))
