"""How fast a channel changes: a straight line through the samples of a window, with what noise costs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import convolve1d

from boostwright.logs.derived.rows import Missing, Need, Rows
from boostwright.logs.derived.samples import Sampled
from boostwright.logs.derived.uncertain import NOISE, Uncertain

__all__ = ["WINDOW", "slope_of"]

Array = NDArray[np.float64]

WINDOW = 0.3
"""[s] of samples through which the line is put; more where they are slow."""
_FEWEST = 5


def slope_of(rows: Rows, name: str, largest: float = 0.0) -> Uncertain:
    """Rate of change of a channel [its unit/s] at the rows' instants.

    name     channel
    largest  share [-] by which the channel's scale can be off
    Least-squares line through the samples within WINDOW, five at the least; its standard error is the noise over the
    root of the sum of squared times. Half a window at each end and at each gap has none. Raises Missing.
    """
    sampled = rows.samples.find(name)
    if sampled is None:
        raise Missing(Need(f"channel {name}"))
    rows.touched.add(name)
    if sampled.time.size < _FEWEST or not np.isfinite(sampled.period):
        raise Missing(Need(f"more samples of {name}"))
    slope, error = _lines(sampled)
    value = np.interp(rows.time, sampled.time, slope)
    nearest = np.clip(np.searchsorted(sampled.time, rows.time), 0, sampled.time.size - 1)
    value = np.where(np.isfinite(slope[nearest]), value, np.nan)
    found = Uncertain(value).with_error(f"{NOISE}{name} in its slope", error)
    return found.with_error(f"error of {name}", largest / np.sqrt(3.0) * np.abs(np.nan_to_num(value)))


def _lines(sampled: Sampled) -> tuple[Array, float]:
    """Slope at each sample, NaN where the window is not whole, and its standard error from the samples' noise."""
    half = max(round(0.5 * WINDOW / sampled.period), _FEWEST // 2)
    time, value = sampled.time, sampled.value
    n = time.size
    if n < 2 * half + 1:
        return np.full(n, np.nan), 0.0
    ones = np.ones(2 * half + 1)

    def total(x: Array) -> Array:
        return np.asarray(convolve1d(x, ones, mode="nearest"))

    t = time - time[0]
    # sums about a moving middle would be better still; float64 holds an hour to a microsecond
    count = float(ones.size)
    st, sv = total(t), total(value)
    stt, stv = total(t * t) - st * st / count, total(t * value) - st * sv / count
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = stv / stt
    slope[:half], slope[n - half :] = np.nan, np.nan
    span = np.full(n, np.inf)
    span[half : n - half] = time[2 * half :] - time[: n - 2 * half]
    slope[span > 1.5 * 2 * half * sampled.period] = np.nan
    spread = sampled.period**2 * half * (half + 1) * (2 * half + 1) / 3.0
    return slope, sampled.noise / float(np.sqrt(spread))
