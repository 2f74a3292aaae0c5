"""How fast a channel rises, how noisy it is, and where a condition holds in one go."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.pulls.grid import Grid
from boostwright.logs.pulls.grid_kernel import fill_level, fill_slopes, steeper
from boostwright.logs.pulls.rules import RPM
from boostwright.numerics.stretches import fill_holes

__all__ = ["Motion", "bridged", "middle", "motion_of", "noise_of", "runs", "slope_along"]

_Floats = NDArray[np.float64]
_WINDOW = 0.6
"""Time over which a slope is taken [s] where noise allows; its ends stay within a tenth of a second of a kink."""
_WIDEST = 2.0
_DIP = 0.15
_STEEP = 4.5
_GOOD_SLOPE = 7 * RPM
"""Error of the slope that is aimed at [rad/s2], below the slowest ramp."""


class Motion:
    """Engine speed as it moves.

    slope  (n,) [rad/s2]  by a straight line through the cells round each, as wide as noise asks for; a steep rise that
                          the short line shows beside a kink stands by the short line
    near   (n,) [rad/s2]  by a short line, for what happens in a moment; near_error: its scatter
    level  (n,) [rad/s]   mean of the cells round each, for differences of speed
    noise  [rad/s]        scatter of a cell
    error  [rad/s2]       scatter of the slope
    half, near_half       cells to each side that the lines are laid through
    """

    def __init__(self, grid: Grid, noise: float) -> None:
        """From the engine speed on a grid and the scatter of its cells."""
        self.noise = noise
        self.half = max(1, round(0.5 * _WINDOW / grid.step))
        widest = max(1, round(0.5 * _WIDEST / grid.step))
        while self.half < widest and self._error(grid, self.half) > _GOOD_SLOPE:
            self.half += 1
        self.near_half = max(1, round(_DIP / grid.step))
        self.error, self.near_error = self._error(grid, self.half), self._error(grid, self.near_half)
        self.slope = slope_along(grid.time, grid.speed, self.half, grid.chunks)
        self.near = slope_along(grid.time, grid.speed, self.near_half, grid.chunks)
        if self.half > 2 * self.near_half:
            steeper(self.slope, self.near, _STEEP * self.near_error)
        self.level = _level(grid.speed, min(2, self.half) if grid.step < 0.2 else 0, grid.chunks)

    def _error(self, grid: Grid, half: int) -> float:
        """Scatter of a slope through ``2 half + 1`` cells."""
        return self.noise / (grid.step * math.sqrt(half * (half + 1) * (2 * half + 1) / 3.0))


def motion_of(grid: Grid, noise: float) -> Motion:
    """The motion of the engine speed on a grid, with the scatter of its cells."""
    return Motion(grid, noise)


def noise_of(value: _Floats, many: float) -> float:
    """Scatter of the mean of ``many`` samples, by second differences of the samples, half of which are smaller."""
    every = max(1, value.size // 3000)
    second = np.abs(value[:-2:every] - 2.0 * value[1:-1:every] + value[2::every])
    return float(1.4826 * np.median(second) / math.sqrt(6.0 * max(1.0, many))) if second.size else 0.0


def slope_along(time: _Floats, value: _Floats, half: int, chunks: NDArray[np.intp]) -> _Floats:
    """Slope through ``2 half + 1`` points round each, never across the border of a chunk.

    With weights k = -half ... half it is sum(k y) / sum(k t), exact on a straight line whatever the stamps.
    """
    out = np.empty(value.size)
    fill_slopes(time, value, half, chunks, np.empty((2, 512)), out)
    return out


def _level(value: _Floats, half: int, chunks: NDArray[np.intp]) -> _Floats:
    if half == 0 or value.size <= 2 * half:
        return value
    out = np.empty(value.size)
    fill_level(value, half, chunks, out)
    return out


def runs(mask: NDArray[np.bool_], chunks: NDArray[np.intp] | None = None) -> NDArray[np.intp]:
    """(m, 2) first and behind the last index of each stretch where a condition holds, none across a chunk's border.

    chunks  (k, 2) or None for one chunk; none is empty
    """
    if not mask.size:
        return np.zeros((0, 2), dtype=np.intp)
    changes = mask[1:] != mask[:-1]
    if chunks is not None:
        changes[chunks[1:, 0] - 1] = True
    edge = np.flatnonzero(changes) + 1
    begins, ends = np.concatenate(([0], edge)), np.concatenate((edge, [mask.size]))
    held = mask[begins]
    return np.stack((begins[held], ends[held]), axis=1).astype(np.intp)


def middle(values: _Floats, share: float = 0.5) -> float:
    """The value with a share of the others below it, of a small array without NaN; far faster than a quantile."""
    k = min(values.size - 1, int(share * values.size))
    return float(np.partition(values, k)[k])


def bridged(mask: NDArray[np.bool_], time: _Floats, longest: float) -> NDArray[np.bool_]:
    """The condition with holes of up to ``longest`` seconds filled; the ends are no holes."""
    out = mask.copy()
    fill_holes(out, np.ascontiguousarray(time), 0, out.size, longest)
    return out
