"""Rises of engine speed in one go and in one gear, and what is before and behind each."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.gear import Gear, Gears, gear_at
from boostwright.logs.pulls.beside_kernel import CODES, ROW, described
from boostwright.logs.pulls.grid import Grid
from boostwright.logs.pulls.motion import Motion
from boostwright.logs.pulls.rise_kernel import SPAN, rises
from boostwright.logs.pulls.rules import PullRules
from boostwright.logs.pulls.throttle import FullThrottle

__all__ = ["Piece", "Scene", "between_samples", "pieces_of"]

_Bools = NDArray[np.bool_]
_SLOW = 0.2
_SOON, _AFTER, _LATER = 0.3, 0.6, 2.5
_STEADY = 0.5
_FLARE_TIME, _BEFORE_FLARE = 1.2, 1.5
_NEAR_GEAR = 0.05


@dataclass(frozen=True, eq=False)
class Scene:
    """All that a rise is judged by.

    top     [rad/s]  highest engine speed that is kept for a moment
    road    (n,) [m/s]  road, roller or wheel speed, NaN where unknown; None where there is none
    cut     (n,)     the injectors are off while the engine turns; all False where no channel tells
    """

    grid: Grid
    motion: Motion
    gears: Gears
    full: FullThrottle
    rules: PullRules
    top: float
    cut: _Bools
    road: NDArray[np.float64] | None = None

    @property
    def cells(self) -> tuple[NDArray[np.float64], ...]:
        """All by cells that the kernel wants, in its order."""
        grid, motion, gears = self.grid, self.motion, self.gears
        road = gears.tolerance if self.road is None else self.road  # without a road speed all of it is NaN
        return grid.time, grid.speed, motion.slope, motion.level, gears.log_ratio, gears.tolerance, road


class Piece(NamedTuple):
    """A rise in one go and one gear: cells a to b (behind the last), and what is before and behind it.

    gear  None where no road speed tells; ratio: median of its logarithm; spread: of the same
    off   largest share by which engine speed ran ahead of road speed beside it, where that ended it
    low, high  [rad/s] engine speed at its ends, by the cells within it
    start, end [s]     stamps of its first and last true sample
    samples    true samples of engine speed in it
    fastest_road [m/s] highest road speed in it; NaN where that is not known throughout
    slope, squares     [rad/s2], [s2]  of the straight line through it by least squares, and the sum of squares of its
                       stamps about their mean; NaN at less than full throttle, as what follows
    slowest, fastest   [rad/s2]  slope in its slowest and its fastest tenth
    """

    a: int
    b: int
    began: str
    ended: str
    gear: Gear | None
    ratio: float
    spread: float
    off: float
    low: float
    high: float
    start: float
    end: float
    samples: int
    fastest_road: float
    slope: float
    squares: float
    slowest: float
    fastest: float

    @property
    def rise(self) -> float:
        """By how much engine speed rises in it [rad/s]."""
        return self.high - self.low

    @property
    def ramp(self) -> float:
        """The same over its time [rad/s2]."""
        return self.rise / max(self.end - self.start, 1e-6)


def pieces_of(scene: Scene, rising: _Bools, *, full: bool, least: float) -> list[Piece]:
    """The rises at full throttle or at less, trimmed, cut where the ratio leaves the gear, and told what ends them.

    rising (n,)    where engine speed rises
    least  [rad/s] rises of less are passed over
    """
    grid, size, room = scene.grid, scene.grid.time.size, 2048
    what = (scene.cells, scene.full.full, scene.cut)
    bounds, reaches, work = _bounds(scene), _reaches(scene.gears), np.empty(size + 1)
    while True:
        spans = np.empty((room, SPAN))
        on = np.empty(size, dtype=np.bool_)
        count = rises(*what, rising, full, least, bounds, reaches, grid.chunks, on, work, spans)
        if count >= 0:
            break
        room = max(4 * room, size)
    rows = np.empty((count, ROW))
    described(*what, full, bounds, reaches, grid.chunks, grid.borders, work, spans[:count], rows)
    return _pieces(rows, scene)


def _pieces(rows: NDArray[np.float64], scene: Scene) -> list[Piece]:
    """Rows of the kernel with their gears, stamps and samples."""
    grid = scene.grid
    first, behind = grid.first[rows[:, 0].astype(np.intp)], grid.behind[rows[:, 1].astype(np.intp) - 1]
    starts, ends = grid.samples.time[first].tolist(), grid.samples.time[behind - 1].tolist()
    pieces: list[Piece] = []
    stamps_and_samples = (starts, ends, (behind - first).tolist())
    for a, b, before, after, ratio, spread, off, low, high, *line, known, start, end, samples in zip(
        *rows.T.tolist(), *stamps_and_samples, strict=True
    ):
        gear = gear_at(scene.gears, ratio, scene.rules.ratio_tolerance) if known else None
        cells = (int(a), int(b), CODES[int(before)], CODES[int(after)], gear)
        pieces.append(Piece._make((*cells, ratio, spread, off, low, high, start, end, samples, *line)))
    return pieces


def _bounds(scene: Scene) -> NDArray[np.float64]:
    """The bounds of the kernel, in its order."""
    step, motion, rules = scene.grid.step, scene.motion, scene.rules
    cells = (
        max(1, round(_SOON / step)),
        max(2, round(_SOON / step)),
        max(2, round(_AFTER / step)),
        max(3, round(_LATER / step)),
        max(1, round(_STEADY / step)),
        max(2, round(_FLARE_TIME / step)),
        max(3, round(_BEFORE_FLARE / step)),
        motion.half,
    )
    numbers = (step, motion.error, motion.noise, scene.top, rules.ratio_tolerance, rules.slowest_ramp)
    return np.array([*numbers, step >= _SLOW, *cells], dtype=np.float64)


def _reaches(gears: Gears) -> NDArray[np.float64]:
    """(2, g) logarithm of the ratio of each gear, and how near one is that is meant soon after a rise."""
    reach = gears.reach(_NEAR_GEAR)
    rows = [(math.log(g.ratio), _NEAR_GEAR if g.strange else reach) for g in gears.gears]
    return np.array(rows, dtype=np.float64).reshape(-1, 2).T.copy()


def between_samples(grid: Grid, piece: Piece) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where a rise of slow samples begins and ends between two of them: (time, speed) of both ends.

    Its line led back meets the speed of the sample before; led on, it meets the line of the fall behind.
    """
    time, speed, a, b = grid.time, grid.speed, piece.a, piece.b
    home = int(np.searchsorted(grid.chunks[:, 0], a, side="right")) - 1
    first, last = (float(time[a]), float(speed[a])), (float(time[b - 1]), float(speed[b - 1]))
    rise = float(speed[a + 1] - speed[a]) / float(time[a + 1] - time[a])
    if a > grid.chunks[home, 0] and rise > 0:
        back = min(max(0.0, float(speed[a] - speed[a - 1]) / rise), float(time[a] - time[a - 1]))
        first = (first[0] - back, first[1] - rise * back)
    rise = float(speed[b - 1] - speed[b - 2]) / float(time[b - 1] - time[b - 2])
    if b < grid.chunks[home, 1] and rise > 0:
        step = float(time[b] - time[b - 1])
        fall = 0.0
        if b + 1 < grid.chunks[home, 1]:
            fall = min(0.0, float(speed[b + 1] - speed[b]) / float(time[b + 1] - time[b]))
        on = min(max(0.0, (float(speed[b] - speed[b - 1]) - fall * step) / (rise - fall)), step)
        last = (last[0] + on, last[1] + rise * on)
    return first, last
