"""Where one record lies on another to a part of a sample: least squares, with the standard error of what it finds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

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
    for _ in range(12):
        x, slope, bend = fast.at(time + offset + drift * (time - middle))
        good = np.isfinite(x)
        if np.count_nonzero(good) < _FEWEST:
            return None
        fit = _linear_part(x, value, good, task.relation)
        moved = _step(fit, time - middle, slope, bend, good, wanted)
        limit = max(task.period, width)
        offset += float(np.clip(moved[0], -limit, limit))
        drift += float(moved[1]) if wanted else 0.0
        if abs(moved[0]) < 1e-5 * task.period:
            break
    jacobian, hessian = _matrices(fit, time - middle, slope, bend, good, wanted)
    covariance, independent = _covariance(jacobian, hessian, fit.residual[good])
    if not covariance[0, 0] > 0.0:
        return None
    variance = float(np.var(value[good]))
    steepness = abs(fit.scale) * float(np.sqrt(np.mean(slope[good] ** 2)))
    return Fit(
        offset,
        float(np.sqrt(covariance[0, 0])),
        drift,
        float(np.sqrt(covariance[1, 1])) if wanted else 0.0,
        middle,
        common,
        task.period,
        float(np.mean(fit.residual[good] ** 2)) / max(variance, 1e-300),
        independent,
        _happenings(value[good], x[good]),
        float(np.sqrt(variance)) / max(steepness, 1e-300),
        width,
        1.0 / fit.scale if fit.scale else float("nan"),
    )


@dataclass(frozen=True, eq=False)
class _Linear:
    """value = level + scale x + residual; columns of what may move beside time."""

    columns: list[Array]
    scale: float
    residual: Array


def _linear_part(x: Array, value: Array, good: NDArray[np.bool_], relation: str) -> _Linear:
    u, v = x[good], value[good]
    if relation == "same":
        return _Linear([], 1.0, np.where(good, value - x, 0.0))
    if relation == "proportional":
        scale = float(u @ v) / max(float(u @ u), 1e-300)
        return _Linear([x], scale, np.where(good, value - scale * x, 0.0))
    du = u - u.mean()
    scale = float(du @ v) / max(float(du @ du), 1e-300)
    level = float(v.mean() - scale * u.mean())
    return _Linear([x - u.mean(), np.ones_like(x)], scale, np.where(good, value - level - scale * x, 0.0))


def _left_over(task: _Task, fast: Smooth, shift: float) -> float:
    """Mean square of what a shift leaves over; NaN where too little lies on the other."""
    x = fast.at(task.time + shift)[0]
    good = np.isfinite(x)
    if np.count_nonzero(good) < _FEWEST:
        return float("nan")
    fit = _linear_part(x, task.value, good, task.relation)
    return float(np.mean(fit.residual[good] ** 2))


def _matrices(
    fit: _Linear, since: Array, slope: Array, bend: Array, good: NDArray[np.bool_], drift: bool
) -> tuple[Array, Array]:
    """Jacobian (m, k) and curvature (k, k) of half the sum of squares.

    The curvature keeps the part with the second derivative: the slopes of noise add to the squares of the first ones
    and that part takes it away again, so that noise does not count as something to hold on to.
    """
    s = fit.scale * slope[good]
    times = [np.ones_like(s), since[good]] if drift else [np.ones_like(s)]
    jacobian = np.stack([*(s * t for t in times), *(c[good] for c in fit.columns)], axis=1)
    curvature = jacobian.T @ jacobian
    weight = fit.residual[good] * fit.scale * bend[good]
    for i, one in enumerate(times):
        for k, other in enumerate(times):
            curvature[i, k] -= float(np.sum(weight * one * other))
    return jacobian, curvature


def _step(
    fit: _Linear, since: Array, slope: Array, bend: Array, good: NDArray[np.bool_], drift: bool
) -> Array:
    """Newton's step; Gauss's where the curvature points the wrong way."""
    jacobian, curvature = _matrices(fit, since, slope, bend, good, drift)
    size = np.sqrt(np.maximum(np.sum(jacobian**2, axis=0), 1e-300))
    gradient = jacobian.T @ fit.residual[good] / size
    scaled = curvature / np.outer(size, size)
    if np.linalg.eigvalsh(scaled)[0] < 1e-3:
        scaled = jacobian.T @ jacobian / np.outer(size, size) + 1e-9 * np.eye(size.size)
    return np.asarray(np.linalg.lstsq(scaled, gradient, rcond=None)[0] / size)


def _happenings(one: Array, other: Array) -> float:
    """How many independent samples two records that hang together in themselves are worth when they are correlated.

    n / (1 + 2 sum of the products of their autocorrelations), Source: Bartlett, M.S. (1935), J. R. Stat. Soc. 98, 536,
    from memory.
    """
    n = one.size
    size = 1 << int(np.ceil(np.log2(2 * n)))
    rho = []
    for record in (one, other):
        spectrum = np.abs(np.fft.rfft(record - record.mean(), size)) ** 2
        together = np.fft.irfft(spectrum, size)[:n]
        rho.append(together / max(float(together[0]), 1e-300))
    return n / max(1.0 + 2.0 * float(np.sum(rho[0][1:] * rho[1][1:])), 1.0)


def _covariance(jacobian: Array, curvature: Array, residual: Array) -> tuple[Array, float]:
    """Covariance of the parameters with errors that hang together in time, and how many samples tell something new.

    Source: Newey, W.K., West, K.D. (1987), Econometrica 55, 703: sums of lagged products under a triangle; its width by
    how far the residuals hang together.
    """
    n, k = jacobian.shape
    scale = np.sqrt(np.maximum(np.sum(jacobian**2, axis=0), 1e-300))
    bread = curvature / np.outer(scale, scale)
    if np.linalg.eigvalsh(bread)[0] < 1e-3:
        return np.full((k, k), np.nan), 0.0
    bread = np.asarray(np.linalg.inv(bread), dtype=np.float64)
    size = 1 << int(np.ceil(np.log2(2 * n)))
    spectrum = np.abs(np.fft.rfft(residual, size)) ** 2
    together = np.fft.irfft(spectrum, size)[: max(n // 4, 2)]
    rho = together / max(together[0], 1e-300)
    first = int(np.argmax(rho < 0.05)) if (rho < 0.05).any() else rho.size - 1
    lags = int(min(max(3 * first, 4, round(n ** (1.0 / 3.0))), n // 4))
    moment = jacobian / scale * residual[:, None]
    meat = moment.T @ moment
    for lag in range(1, lags + 1):
        part = moment[lag:].T @ moment[:-lag]
        meat += (1.0 - lag / (lags + 1.0)) * (part + part.T)
    independent = n / max(1.0 + 2.0 * float(np.sum(rho[1 : first + 1])), 1.0)
    few = independent / max(independent - k, 1.0)
    plain = bread * float(residual @ residual) / max(n - k, 1)
    made = bread @ meat @ bread
    covariance = few * np.where(np.eye(k) > 0, np.maximum(made, plain), made)
    return covariance / np.outer(scale, scale), independent
