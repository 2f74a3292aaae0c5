"""Speed lines in similarity form: what the surface joins from line to line.

Head, loss and flow are taken per square or first power of shaft speed (the wheel's diameter drops out). Flow
is made a velocity-like flow first: through a throat, mass flow saturates while velocity, and with it loss, goes
on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor_lines import SpeedLine
from boostwright.numerics.surfaces import hermite_on_grid, limited_slopes, monotone_slopes
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
ROOM = (0.0002, 0.10)
"""Bounds between which the room of a line below its flow ceiling is looked for, as a share of its flow."""
UNFELT_ROOM = 0.05
"""Room given to a line that shows no choking: no more flow than this is promised beyond what was measured."""
DENSITY_EXPONENT = (0.75, 0.50)
"""Flow of similar points goes with this power of the density ratio over the wheel, below the lowest line and above it:
0 if the inlet ruled, 1 if the outlet did. Own estimate; between lines it hardly matters, for the ends of the measured
lines show the shift themselves (studies/compressor_interpolation)."""
FELT = 0.05
"""Room below which a line is taken to show choking."""
LAST_STRETCH = (0.85, 0.97)
"""Shares of the largest flow between which the last stretch of a line must begin to be judged: wide enough to ride
over scatter, narrow enough to tell a bend from a curve."""
INLET_RADIUS_SHARE = 0.45
"""Mean radius of the inlet throat over the exit radius: usual, own estimate; weak influence."""
WORK_COEFFICIENT = 0.70
"""Work coefficient from which the tip speed is told, wheel known or not; own estimate; weak influence."""
CHOKE_EFFICIENCY = 0.55
"""Efficiency at which a line counts as choked, unless at the flow ceiling before: maps end about here."""
_SOUND = float(np.sqrt(1.4 * 287.05 * REFERENCE_TEMPERATURE))


@dataclass(frozen=True)
class Similarity:
    """What the lines of one machine share.

    lowest                [rad2/s2] speed squared of the lowest line
    mean_head, mean_work  [J s2/(kg rad2)] medians over all points, per square of shaft speed
    ceilings              (lines,) [kg/s] flow ceiling at each line over ``ceiling_shape`` at its speed
    felt                  (lines,) whether the line itself shows choking
    """

    lowest: float
    mean_head: float
    mean_work: float
    ceilings: Array
    felt: NDArray[np.bool_]

    def ceiling_shape(self, q: Array) -> Array:
        """Growth [-] of the flow ceiling with speed squared [rad2/s2]: a throat that turns with the wheel."""
        return _ceiling_shape(q, self.mean_work)

    def density(self, q: Array) -> Array:
        """Density that the flow of a line goes with, over inlet density [-], by speed squared [rad2/s2].

        Its slope jumps at the lowest line; the surface rounds that corner as all others.
        """
        below, above = DENSITY_EXPONENT
        lowest = self._whole(np.array(self.lowest))
        ratio = self._whole(q) / lowest
        return np.asarray(lowest**above * np.where(q < self.lowest, ratio**below, ratio**above))

    def _whole(self, q: Array) -> Array:
        ratio = density_ratio_over_wheel(self.mean_head * q, self.mean_work * q, REFERENCE_TEMPERATURE)
        return np.asarray(ratio)


@dataclass(frozen=True)
class Row:
    """One line on the common coordinate, 0 at its surge end and 1 at its right end.

    surge, width           velocity-like flow over speed and density [kg/rad] at the surge end; from there to the right
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
    Flow ceilings: a line that shows choking has its own (see ``_room``). The others take that of the lines that do,
    by the shape, and where none does the one that comes nearest sets it for all.
    """
    heads = [_head(line) for line in lines]
    losses = [h * (1.0 / line.efficiency - 1.0) for h, line in zip(heads, lines, strict=True)]
    mean_head = float(np.median(np.concatenate(heads)))
    mean_work = mean_head + float(np.median(np.concatenate(losses)))
    q = np.array([line.speed**2 for line in lines])
    room = np.array([_room(line.flow, h) for line, h in zip(lines, heads, strict=True)])
    reach = np.array([line.flow[-1] for line in lines]) / _ceiling_shape(q, mean_work)
    felt = room < FELT
    own = reach * (1.0 + np.where(felt, room, UNFELT_ROOM))
    if not np.any(felt):
        return Similarity(float(q[0]), mean_head, mean_work, np.full(q.size, own.max()), felt)
    shared = np.interp(q, q[felt], own[felt])
    return Similarity(float(q[0]), mean_head, mean_work, np.where(felt, own, np.maximum(shared, own)), felt)


def _room(flow: Array, head: Array) -> float:
    """How far the flow ceiling stands above the right end of a line, as a share of its flow.

    Right of its top, head falls much like a parabola over the velocity in the throat. Near the ceiling velocity runs
    away from flow, so the same parabola stands upright over flow. The room is what makes the last stretch of the line
    lie on the parabola through its top and its end, once flow is made velocity; a line that bends no more than the
    parabola over its own flow shows no choking, and the largest room is given.
    """
    low, high = ROOM
    top = int(np.argmax(head))
    before = int(np.searchsorted(flow, LAST_STRETCH[1] * flow[-1], side="right")) - 1
    if before <= top or flow[before] < LAST_STRETCH[0] * flow[-1]:
        return high
    share = float((head[top] - head[before]) / (head[top] - head[-1]))
    for _ in range(40):
        room = float(np.sqrt(low * high))
        v = 1.0 - np.sqrt(1.0 - flow[[top, before, -1]] / (flow[-1] * (1.0 + room)))
        if share < ((v[1] - v[0]) / (v[2] - v[0])) ** 2:
            high = room
        else:
            low = room
    return room


def rows_of_lines(lines: Sequence[SpeedLine], shared: Similarity) -> list[Row]:
    """Each line on the common coordinate.

    lines   at 288.15 K and 101 325 Pa
    shared  from ``similarity_of_lines``
    """
    rows = []
    for line, scale in zip(lines, shared.ceilings, strict=True):
        q = np.array(line.speed**2)
        ceiling = float(scale * shared.ceiling_shape(q))
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
    psi_slope, lam_slope = limited_slopes(grid, psi, psi_slope), limited_slopes(grid, lam, lam_slope)
    # Left end: where head would go on rising to the left the surge end is made the top; where it falls it does so
    # by no more than a quarter down to zero flow, and the loss keeps half of itself (see FADE in the kernel).
    psi_slope[0] = float(np.clip(psi_slope[0], 0.0, psi[0] * width / surge))
    lam_slope[0] = float(np.clip(lam_slope[0], -8.0 * psi[0] * width / surge, 2.0 * lam[0] * width / surge))
    # Right end: head falls, ever faster; the loss stays above half of what it is.
    steepest = min(3.0 * (psi[-1] - psi[-2]) / (grid[-1] - grid[-2]), 0.0)
    psi_slope[-1] = min(psi_slope[-1], max(-0.10 * psi[-1], steepest))
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
