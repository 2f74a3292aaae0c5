"""Where two clocks may agree: how much of one record the other explains, for every shift of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.sampling import Sampling

__all__ = ["RELATIONS", "Candidate", "Smooth", "candidates", "smoothed"]

Array = NDArray[np.float64]

RELATIONS: Mapping[str, str] = {
    "same": "both records are of one quantity in one unit",
    "proportional": "one is a multiple of the other, as a roller's speed is of a wheel's",
    "similar": "one rises and falls with the other, as torque does with boost",
}
"""How two records hang together; the weaker it is, the less tells their shifts apart."""

_MOST = 1 << 17  # points of a record in the search
_OVERLAP = 0.5  # of the shorter record that must lie on the other
_LIVELY = 0.1  # of a record's own variance that its part on the other must have
_REACH = 4.0  # widths of the kernel
_USUAL = 2.5  # times what nine in ten bends between samples stay below: beyond it is a jump
_DRAWN = 0.29  # standard deviation of a number drawn evenly between 0 and 1


@dataclass(frozen=True)
class Candidate:
    """A shift at which one record explains the other best among its neighbours.

    shift [s] to add to the second's times; unexplained share of the first's variance there; samples of the slower
    record that lie on the other
    """

    shift: float
    unexplained: float
    samples: float


@dataclass(frozen=True, eq=False)
class Smooth:
    """A record smoothed on an even grid.

    start [s] time of the first point, step [s]; value (n,), NaN where nothing is near; doubt (n,), unit of the value:
    how far it may be from what happened between two samples, 0 where they join smoothly
    """

    start: float
    step: float
    value: Array
    doubt: Array

    def at(self, time: Array) -> tuple[Array, Array, Array]:
        """Value, slope [1/s] and its change [1/s2] at times, by cubic pieces; NaN outside."""
        place = (time - self.start) / self.step
        row = np.floor(place)
        inside = (row >= 1) & (row < self.value.size - 2)
        if self.value.size < 4:
            none = np.full(time.shape, np.nan)
            return none, none, none
        row = np.clip(row, 1, self.value.size - 3).astype(np.intp)
        u = place - row
        a, b, c, d = (self.value[row + k] for k in (-1, 0, 1, 2))
        m0, m1 = (c - a) / 2.0, (d - b) / 2.0
        p2, p3 = 3.0 * (c - b) - 2.0 * m0 - m1, 2.0 * (b - c) + m0 + m1
        value = b + u * (m0 + u * (p2 + u * p3))
        slope = (m0 + u * (2.0 * p2 + 3.0 * u * p3)) / self.step
        bend = (2.0 * p2 + 6.0 * u * p3) / self.step**2
        return tuple(np.where(inside, one, np.nan) for one in (value, slope, bend))  # type: ignore[return-value]

    def doubt_at(self, time: Array) -> Array:
        """The doubt of the grid points beside times."""
        row = np.clip(np.floor((time - self.start) / self.step), 0, self.value.size - 2).astype(np.intp)
        made: Array = np.maximum(self.doubt[row], self.doubt[row + 1])
        return made


def smoothed(sampling: Sampling, step: float, width: float) -> Smooth:
    """A record on an even grid, smoothed by a bell of standard deviation ``width`` [s] that keeps its time.

    step [s] of the grid
    Straight lines join the samples first, so that uneven ones weigh by the time they stand for; where more than 2.5
    periods lie between two, nothing stands.
    """
    from scipy.ndimage import gaussian_filter1d

    t, v = sampling.time, sampling.value
    count = int(np.ceil((t[-1] - t[0]) / step)) + 1
    grid = t[0] + step * np.arange(count)
    value = np.interp(grid, t, v)
    there = np.ones(count)
    for begin, end in sampling.gaps:
        there[(grid > begin) & (grid < end)] = 0.0
    sigma = width / step
    middle = float(np.mean(v))
    weight = gaussian_filter1d(there, sigma, mode="constant", truncate=_REACH)
    total = gaussian_filter1d(there * (value - middle), sigma, mode="constant", truncate=_REACH)
    with np.errstate(invalid="ignore", divide="ignore"):
        made = np.where((weight > 0.95) & (there > 0.0), middle + total / weight, np.nan)
    return Smooth(float(t[0]), step, made, _doubt(sampling, grid, max(width, step)))


def _doubt(sampling: Sampling, grid: Array, width: float) -> Array:
    """How far the straight line between two samples may be off, on the grid.

    A bend between samples that is far beyond the usual ones (of the noise, of the quantity's own curves) is a jump or a
    kink of which only the samples on either side are known. A value drawn evenly from between them has a standard
    deviation of 0.29 of the step.
    """
    from scipy.ndimage import maximum_filter1d

    t, v = sampling.time, sampling.value
    made = np.zeros(grid.size)
    if v.size < 8:
        return made
    bend = np.abs(np.diff(v, 2))
    if not bend.any():
        return made
    beyond = bend - _USUAL * float(np.quantile(bend[bend > 0.0], 0.9))
    reach = max(round(1.5 * width / (grid[1] - grid[0])), 1) if grid.size > 1 else 1
    for k in np.flatnonzero(beyond > 0.0) + 1:
        a, b = np.searchsorted(grid, (t[k - 1], t[k + 1]))
        made[a : b + 1] = np.maximum(made[a : b + 1], _DRAWN * bend[k - 1])
    return np.asarray(maximum_filter1d(made, 2 * reach + 1)) if made.any() else made


def candidates(
    first: Sampling, second: Sampling, relation: str, limits: tuple[float, float] | None
) -> list[Candidate]:
    """Shifts of the second that are best among their neighbours, the best first.

    limits  [s]  smallest and largest shift looked at; None: every one with half of the shorter record on the other
    """
    slow = max(first.period, second.period)
    longest = max(first.time[-1] - first.time[0], second.time[-1] - second.time[0])
    step = max(slow / 2.0, longest / _MOST)
    a, b = smoothed(first, step, step), smoothed(second, step, step)
    unexplained, count, shift = _over_shifts(a, b, relation)
    shorter = min(np.count_nonzero(np.isfinite(a.value)), np.count_nonzero(np.isfinite(b.value)))
    bad = count < max(_OVERLAP * shorter, 8)
    if limits is not None:
        bad |= (shift < limits[0]) | (shift > limits[1])
    unexplained[bad] = np.inf
    known = np.isfinite(unexplained)
    score = np.full(shift.size, np.inf)
    score[known] = count[known] * np.log(np.maximum(unexplained[known], 1e-9))
    inner = np.isfinite(score)
    inner[1:] &= score[1:] <= score[:-1]
    inner[:-1] &= score[:-1] < score[1:]
    rows = np.flatnonzero(inner)
    rows = rows[np.argsort(score[rows])][:200]
    return [Candidate(float(shift[k]), float(unexplained[k]), float(count[k] * step / slow)) for k in rows]


def _over_shifts(a: Smooth, b: Smooth, relation: str) -> tuple[Array, Array, Array]:
    """Share of the first that the second leaves unexplained, points in common, and shift [s], for every shift."""
    from scipy.fft import irfft, next_fast_len, rfft

    size = next_fast_len(a.value.size + b.value.size)
    x, m = _parts(a.value, a.value)
    y, w = _parts(b.value, a.value if relation == "same" else b.value)

    def together(left: Array, right: Array) -> Array:
        made = irfft(rfft(left, size) * np.conj(rfft(right, size)), size)
        return (
            np.concatenate([made[-(b.value.size - 1) :], made[: a.value.size]]) if b.value.size > 1 else made
        )

    n = np.maximum(np.round(together(m, w)), 0.0)
    sx, sy = together(x, w), together(m, y)
    sxx, syy, sxy = together(x * x, w), together(m, y * y), together(x, y)
    with np.errstate(invalid="ignore", divide="ignore"):
        vx, vy, cxy = sxx - sx * sx / n, syy - sy * sy / n, sxy - sx * sy / n
        if relation == "same":  # an offset of the numbers counts as unexplained
            left = (sxx - 2.0 * sxy + syy) / (0.5 * (vx + vy))
        elif relation == "proportional":
            mx, my = sx + n * _level(a.value), sy + n * _level(b.value)
            qx = vx + mx * mx / n
            qy, qxy = vy + my * my / n, cxy + mx * my / n
            left = (qx - qxy * qxy / qy) / vx
            left = np.where(qxy > 0.0, left, np.inf)
        else:
            left = np.where(cxy > 0.0, 1.0 - cxy * cxy / (vx * vy), np.inf)
        wanted = _LIVELY * np.nanvar(a.value), _LIVELY * np.nanvar(b.value)
        if relation == "same":  # a short pull of one file is little beside all the other did
            wanted = min(wanted), min(wanted)
        lively = (vx / n > wanted[0]) & (vy / n > wanted[1])
        left = np.where(lively & (n > 0), left, np.inf)
    shift = a.start - b.start + a.step * np.arange(-(b.value.size - 1), a.value.size)
    made: Array = np.where(np.isnan(left), np.inf, left)
    return made, n, np.asarray(shift, dtype=np.float64)


def _level(value: Array) -> float:
    return float(np.nanmean(value))


def _parts(value: Array, level: Array) -> tuple[Array, Array]:
    """Values less a level with 0 for what is missing, and 1 where something stands: small numbers, exact sums."""
    there = np.isfinite(value)
    return np.where(there, value - _level(level), 0.0), there.astype(np.float64)
