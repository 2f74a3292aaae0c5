"""Where one record lies on another to a part of a sample: least squares, with the standard error of what it finds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.clock_least import (
    covariance,
    happenings,
    linear_part,
    matrices,
    newton_step,
)
from boostwright.logs.timebase.clock_search import Smooth, smoothed
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["DRIFT_FROM", "Fit", "place_clock"]

Array = NDArray[np.float64]

DRIFT_FROM = 300.0
"""Length in common [s] from which a difference in pace is looked for."""
_FEWEST = 12  # samples
_WIDTHS = (0.2, 0.4, 0.75, 1.5, 3.0, 6.0, 12.0, 24.0)  # of the smoothing, in periods of the slower record
_FINEST = 0.75  # of the faster record's period: below it what is smoothed is its straight lines
_STRETCHES = 15.0  # widths that the common stretch must hold
_POINTS = 2_000_000
_MOST = 60_000  # samples of the slower record that are used; more would sharpen what is sharp already
_SEARCHED = 4000  # samples that the search over shifts looks at
_CHOSEN = 1.15  # the smallest of several standard errors is a little too small: by this in 300 made pairs, own estimate


@dataclass(frozen=True)
class Fit:
    """A record placed on another; fields as in ``ClockOffset``.

    independent  samples of the slower record that tell something new
    happenings   of the records where they overlap, as many as independent samples would be
    width        [s]  over which the records keep their likeness to themselves
    bell         [s]  standard deviation of the smoothing of the faster one
    """

    offset: float
    standard_error: float
    drift: float
    drift_error: float
    middle: float
    common: float
    period: float
    unexplained: float
    independent: float
    happenings: float
    width: float
    bell: float
    scale: float


@dataclass(frozen=True, eq=False)
class _Task:
    """Samples of the slower record, and what is asked of them."""

    time: Array
    value: Array
    relation: str
    drift: bool | None
    period: float


def place_clock(
    first: Sampling,
    second: Sampling,
    relation: str,
    shift: float,
    drift: bool | None,
    bell: float | None = None,
) -> Fit | None:
    """The second record on the first, near a shift [s] of its times; None where too little is in common.

    The faster record is smoothed by a bell and read at the samples of the slower one, which stay as they are. Slopes
    decide where a record lies, and a narrow bell leaves those of the noise: of several widths that with the smallest
    standard error is taken, or ``bell`` [s] where it is given.
    """
    slow_is_second = second.period >= first.period
    slow, fast = (second, first) if slow_is_second else (first, second)
    start = shift if slow_is_second else -shift
    every = -(-slow.time.size // _MOST)
    task = _Task(slow.time[::every], slow.value[::every], relation, drift, slow.period)
    length = min(first.time[-1] - first.time[0], second.time[-1] - second.time[0])
    step = min(fast.period / 2.0, slow.period / 8.0)
    step = max(step, float(fast.time[-1] - fast.time[0]) / _POINTS)
    best: Fit | None = None
    widths = [share * slow.period for share in _WIDTHS if share * slow.period >= _FINEST * fast.period]
    for width in widths if bell is None else [bell]:
        if best is not None and _STRETCHES * width > length:
            break
        found = _fitted(task, smoothed(fast, step, width), start, width)
        if found is not None and (best is None or found.standard_error < best.standard_error):
            best = found
    if best is None:
        return None
    stamps = first.stamp_error**2 + second.stamp_error**2
    best = replace(
        best,
        standard_error=float(np.sqrt((_CHOSEN * best.standard_error) ** 2 + stamps)),
        drift_error=_CHOSEN * best.drift_error,
    )
    if slow_is_second:
        return best
    return replace(
        best,
        offset=-best.offset,
        middle=best.middle + best.offset,
        drift=-best.drift / (1.0 + best.drift),
        scale=1.0 / best.scale if best.scale else float("nan"),
    )


def _fitted(task: _Task, fast: Smooth, start: float, width: float) -> Fit | None:
    """Offset, drift, scale and level by Newton's steps from the best of a row of shifts."""
    reach = 3.0 * max(task.period, width)
    shifts = start + np.arange(-reach, reach + 1e-9, max(task.period, width) / 8.0)
    every = max(task.time.size // _SEARCHED, 1)
    thin = replace(task, time=task.time[::every], value=task.value[::every])
    left = [_left_over(thin, fast, float(s)) for s in shifts]
    if not np.isfinite(left).any():
        return None
    offset, drift = float(shifts[int(np.nanargmin(left))]), 0.0
    there = np.isfinite(fast.at(task.time + offset)[0])
    if np.count_nonzero(there) < _FEWEST:
        return None
    time, value = task.time[there], task.value[there]
    middle, common = float(time.mean()), float(time[-1] - time[0])
    wanted = common >= DRIFT_FROM if task.drift is None else task.drift
    limit = max(task.period, width)
    for _ in range(12):
        x, slope, bend = fast.at(time + offset + drift * (time - middle))
        good = np.isfinite(x)
        if np.count_nonzero(good) < _FEWEST:
            return None
        doubt = fast.doubt_at((time + offset + drift * (time - middle))[good])
        fit = linear_part(x[good], value[good], doubt, task.relation)
        times = [np.ones_like(doubt), (time - middle)[good]] if wanted else [np.ones_like(doubt)]
        jacobian, curvature = matrices(fit, times, slope[good], bend[good], [])
        moved = newton_step(fit, jacobian, curvature)
        offset += float(np.clip(moved[0], -limit, limit))
        drift += float(moved[1]) if wanted else 0.0
        if abs(moved[0]) < 1e-5 * task.period:
            break
    spread, independent = covariance(fit, jacobian, curvature)
    if not spread[0, 0] > 0.0:
        return None
    variance = float(np.var(value[good]))
    weights = float(fit.weight.sum())
    steepness = abs(fit.scale) * float(np.sqrt(fit.weight @ slope[good] ** 2 / weights))
    return Fit(
        offset,
        float(np.sqrt(spread[0, 0])),
        drift,
        float(np.sqrt(spread[1, 1])) if wanted else 0.0,
        middle,
        common,
        task.period,
        float(fit.weight @ fit.residual**2) / weights / max(variance, 1e-300),
        independent,
        happenings(value[good], x[good]),
        float(np.sqrt(variance)) / max(steepness, 1e-300),
        width,
        1.0 / fit.scale if fit.scale else float("nan"),
    )


def _left_over(task: _Task, fast: Smooth, shift: float) -> float:
    """Mean square of what a shift leaves over; NaN where too little lies on the other."""
    x = fast.at(task.time + shift)[0]
    good = np.isfinite(x)
    if np.count_nonzero(good) < _FEWEST:
        return float("nan")
    fit = linear_part(x[good], task.value[good], fast.doubt_at((task.time + shift)[good]), task.relation)
    return float(fit.weight @ fit.residual**2 / fit.weight.sum())
