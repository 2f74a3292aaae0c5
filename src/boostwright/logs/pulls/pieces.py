"""Rises of engine speed in one go and in one gear, and what is before and behind each."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.gear import Gear, Gears, gear_at
from boostwright.logs.pulls.grid import GAP, LOG_ENDS, WINDOW, Grid
from boostwright.logs.pulls.motion import Motion, bridged, middle, runs
from boostwright.logs.pulls.rules import RPM, PullRules
from boostwright.logs.pulls.throttle import FullThrottle

__all__ = ["Piece", "Scene", "between_samples", "ends_of", "pieces_of"]

_Bools = NDArray[np.bool_]
_END_SHARE = 0.1
"""Ends where the slope is below this share of its median over the rise are trimmed."""
_BEFORE = {WINDOW: "throttle-opened", GAP: "data-gap", LOG_ENDS: "log-ends"}
_BEHIND = {WINDOW: "lifted", GAP: "data-gap", LOG_ENDS: "log-ends"}
_SLOW = 0.2
_AFTER = 0.6
_TOP_SHARE = 0.965
_FLARE = 1.6
_FLARE_TIME = 1.2
_SHORTEST = 0.15


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


@dataclass(frozen=True)
class Piece:
    """A rise in one go and one gear: cells a to b (behind the last), and what is before and behind it.

    gear  None where no road speed tells; ratio: median of its logarithm; spread: of the same
    off   largest share by which engine speed ran ahead of road speed beside it, where that ended it
    low, high [rad/s]  engine speed at its ends, by the cells within it
    """

    a: int
    b: int
    began: str
    ended: str
    gear: Gear | None = None
    ratio: float = float("nan")
    spread: float = float("nan")
    off: float = 0.0
    low: float = 0.0
    high: float = 0.0

    @property
    def rise(self) -> float:
        """By how much engine speed rises in it [rad/s]."""
        return self.high - self.low

    def time(self, scene: Scene) -> tuple[float, float]:
        """Stamps of its first and last true sample [s]."""
        grid = scene.grid
        stamps = grid.samples.time
        return float(stamps[grid.first[self.a]]), float(stamps[grid.behind[self.b - 1] - 1])

    def samples(self, scene: Scene) -> int:
        """True samples of engine speed in it."""
        return int(scene.grid.behind[self.b - 1] - scene.grid.first[self.a])


def pieces_of(scene: Scene, mask: _Bools, least: float) -> list[Piece]:
    """The rises within a condition, trimmed, cut where the ratio leaves the gear, and told what ends them.

    least  [rad/s] rises of less are passed over
    """
    pieces = []
    spans = runs(mask, scene.grid.chunks)
    level = scene.motion.level
    if least > 0 and spans.size:
        spans = spans[level[np.minimum(spans[:, 1], level.size - 1)] - level[spans[:, 0]] >= 0.9 * least]
    for a, b in spans:
        a, b = _trimmed(scene, mask, int(a), int(b))
        if b - a >= 2:
            pieces += _in_one_gear(scene, a, b)
    return [_without_flare(scene, _with_ends(scene, piece)) for piece in pieces]


def _trimmed(scene: Scene, mask: _Bools, a: int, b: int) -> tuple[int, int]:
    """Without ends that hardly rise; on slow samples out to the last one before the turn."""
    slope = scene.motion.slope[a:b]
    least = _END_SHARE * middle(slope)
    if not (slope[0] >= least and slope[-1] >= least):
        steep = np.flatnonzero(slope >= least)
        if not steep.size:
            return a, a
        a, b = a + int(steep[0]), a + int(steep[-1]) + 1
    if scene.grid.step >= _SLOW:
        a, b = _to_the_turn(scene, a, b)
    return a, b


def _to_the_turn(scene: Scene, a: int, b: int) -> tuple[int, int]:
    """One cell more at each end where speed rises to it much as within: slopes of slow samples miss the last one."""
    time, speed, full = scene.grid.time, scene.grid.speed, scene.full.full
    border = scene.grid.chunks.ravel()
    if b - a < 2:
        return a, b
    least = 0.4 * middle(np.diff(speed[a:b]) / np.diff(time[a:b]))

    def rises(k: int) -> bool:
        return bool(speed[k] - speed[k - 1] > least * (time[k] - time[k - 1]))

    if b not in border and full[b] == full[b - 1] and rises(b):
        b += 1
    if a not in border and full[a - 1] == full[a] and rises(a):
        a -= 1
    return a, b


def _in_one_gear(scene: Scene, a: int, b: int) -> list[Piece]:
    """The rise cut where the ratio is off its gear for more than a moment."""
    ratio = scene.gears.log_ratio[a:b]
    tolerance = scene.rules.ratio_tolerance + scene.gears.tolerance[a:b]
    complete = math.isfinite(float(ratio.sum()))
    some = np.isfinite(ratio)
    known = ratio if complete else ratio[some]
    if not known.size:
        return [Piece(a, b, "", "")]
    usual = _usual_ratio(scene, known, float(tolerance[tolerance.size // 2]))
    off = np.abs(ratio - usual) > tolerance  # False where the ratio is not known
    if not off.any():
        return [_piece(scene, a, b, "", "", known, 0.0, usual)]
    on = bridged(~off, scene.grid.time[a:b], max(_SHORTEST, 1.2 * scene.grid.step))
    found = []
    spans = runs(on)
    for i, (x, y) in enumerate(spans):
        if y - x < 2:
            continue
        before = ratio[spans[i - 1][1] if i else 0 : x]
        behind = ratio[y : spans[i + 1][0] if i + 1 < len(spans) else on.size]
        ahead = max(
            (float(np.nanmax(s) - usual) for s in (before, behind) if np.isfinite(s).any()), default=0.0
        )
        part = ratio[x:y][some[x:y]]
        began, ended = "wheel-slip" if x > 0 else "", "wheel-slip" if y < on.size else ""
        found.append(_piece(scene, a + int(x), a + int(y), began, ended, part, ahead))
    return found


def _piece(
    scene: Scene,
    a: int,
    b: int,
    began: str,
    ended: str,
    ratio: NDArray[np.float64],
    ahead: float,
    centre: float | None = None,
) -> Piece:
    """A rise with its gear, from the known ratios in it and, where that is known, their middle."""
    if not ratio.size:
        return Piece(a, b, began, ended)
    centre = middle(ratio) if centre is None else centre
    gear = gear_at(scene.gears, centre, scene.rules.ratio_tolerance)
    mean = float(ratio.sum()) / ratio.size
    spread = math.sqrt(max(0.0, float(np.dot(ratio, ratio)) / ratio.size - mean * mean))
    return Piece(a, b, began, ended, gear, centre, spread, ahead)


def _usual_ratio(scene: Scene, ratio: NDArray[np.float64], tolerance: float) -> float:
    """The ratio most of the rise has: its median where nearly all is there, else of the gear with most of it."""
    best = middle(ratio)
    most = int(np.count_nonzero(np.abs(ratio - best) < tolerance))
    if most > 0.9 * ratio.size:
        return best
    for gear in scene.gears.gears:
        centre = math.log(gear.ratio)
        count = int(np.count_nonzero(np.abs(ratio - centre) < tolerance))
        if count > 1.1 * most:
            best, most = centre, count
    near = ratio[np.abs(ratio - best) < tolerance]
    return middle(near) if near.size else best


def _with_ends(scene: Scene, piece: Piece) -> Piece:
    home = int(np.searchsorted(scene.grid.chunks[:, 0], piece.a, side="right")) - 1
    began, ended = (
        piece.began or _what_began(scene, piece, home),
        piece.ended or _what_ended(scene, piece, home),
    )
    low, high = ends_of(scene.grid.speed, piece.a, piece.b)
    return Piece(piece.a, piece.b, began, ended, piece.gear, piece.ratio, piece.spread, piece.off, low, high)


def ends_of(speed: NDArray[np.float64], a: int, b: int) -> tuple[float, float]:
    """Speed at the ends of a rise: the means of some cells within it, led on to the first and the last one."""
    some = min(4, (b - a) // 3)
    if some < 2:
        return float(speed[a]), float(speed[b - 1])
    low, high = float(speed[a : a + some].sum()) / some, float(speed[b - some : b].sum()) / some
    lead = (high - low) / (b - a - some) * 0.5 * (some - 1)
    return low - lead, high + lead


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


def _without_flare(scene: Scene, piece: Piece) -> Piece:
    """Cut where the rise runs away before it falls back at full throttle: wheels spin, and no road speed tells."""
    grid, slope = scene.grid, scene.motion.slope
    if math.isfinite(piece.ratio) or piece.ended not in ("speed-falls", "gear-change"):
        return piece
    late = max(piece.a, piece.b - max(2, round(_FLARE_TIME / grid.step)))
    early = slope[piece.a : late]
    if early.size < 3:
        return piece
    usual = middle(early[-max(3, round(1.5 / grid.step)) :])
    runs_away = np.flatnonzero(slope[late : piece.b] > _FLARE * usual)
    if not runs_away.size or float(np.max(slope[late : piece.b])) < 1.25 * _FLARE * usual:
        return piece
    b = late + int(runs_away[0])
    if b - piece.a < 2:
        return piece
    low, high = ends_of(scene.grid.speed, piece.a, b)
    return replace(piece, b=b, ended="wheel-slip", low=low, high=high)


def _what_began(scene: Scene, piece: Piece, home: int) -> str:
    """What is just before a rise."""
    a, grid, full = piece.a, scene.grid, scene.full.full
    chunk = grid.chunks[home]
    if a <= chunk[0] + 1:
        return _BEFORE[int(grid.borders[home, 0])]
    k = max(int(chunk[0]), a - max(1, round(0.3 / grid.step)))
    if not full[k:a].all():
        return "throttle-opened"
    if scene.cut[k:a].any():
        return "fuel-cut"
    before = scene.motion.slope[k:a]
    return "speed-falls" if before.min() < -_flat(scene) else "speed-held"


def _flat(scene: Scene) -> float:
    return max(60 * RPM, 4.0 * scene.motion.error)


def _what_ended(scene: Scene, piece: Piece, home: int) -> str:
    """What is just behind a rise; codes of REASONS."""
    b, grid, full, level = piece.b, scene.grid, scene.full.full, scene.motion.level
    chunk = grid.chunks[home]
    if b >= chunk[1] - 1:
        return _BEHIND[int(grid.borders[home, 1])]
    near = min(int(chunk[1]), b + max(2, round(_AFTER / grid.step)))
    far = min(int(chunk[1]), b + max(3, round(2.5 / grid.step)))
    if _shifted(scene, piece, b, far):
        return "gear-change"
    soon = min(near, b + max(1, round(0.3 / grid.step)))
    if scene.full.full[piece.a] and not full[b:soon].all():
        return "lifted"
    if scene.cut[max(piece.a, b - 2) : near].any():
        return "limiter" if level[b - 1] > _TOP_SHARE * scene.top else "fuel-cut"
    drop = float(level[b - 1] - level[b:near].min())
    if level[b - 1] > _TOP_SHARE * scene.top and drop < 0.08 * level[b - 1] and full[b:near].all():
        return "limiter"
    if (
        drop < max(40 * RPM, 4.0 * scene.motion.noise)
        and abs(level[near - 1] - level[b - 1]) < 0.03 * level[b - 1]
    ):
        return "speed-held"
    ahead = scene.gears.log_ratio[b - max(2, round(0.3 / grid.step)) : near]
    if np.isfinite(piece.ratio) and np.isfinite(ahead).any():
        off = float(np.nanmax(ahead) - piece.ratio)
        if off > scene.rules.ratio_tolerance + float(np.nanmedian(scene.gears.tolerance[b - 1 : near])):
            return "wheel-slip"
    if not full[b:near].all() and scene.full.full[piece.a]:
        return "lifted"
    return "speed-falls" if scene.full.full[piece.a] else "throttle-not-full"


def _shifted(scene: Scene, piece: Piece, b: int, far: int) -> bool:
    """True where another gear is in soon after: by the ratio, or without one by a fall and a new rise."""
    level, slope, grid = scene.motion.level, scene.motion.slope, scene.grid
    lowest = b + int(np.argmin(level[b:far]))
    if level[lowest] > 0.92 * level[b - 1]:
        return False
    ratio = scene.gears.log_ratio[b:far]
    if np.isfinite(piece.ratio) and np.isfinite(ratio).any():
        steady = ratio[np.isfinite(ratio)]
        last = middle(steady[-max(1, round(0.5 / grid.step)) :])
        return last < piece.ratio - 0.08 and gear_at(scene.gears, last, 0.05) is not None
    again = slope[lowest:far]
    return bool(again.max() > scene.rules.slowest_ramp) and bool(scene.full.full[lowest:far].any())
