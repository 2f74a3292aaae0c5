"""A channel as it was really sampled: held and repeated rows taken out, its step and its scatter known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.series import Series

__all__ = ["Signal", "runs_of", "signal_of", "turn_of", "window_noise"]

Array = NDArray[np.float64]
_WINDOW = 15


@dataclass(frozen=True, eq=False)
class Signal:
    """True samples of a channel.

    name      our name
    time      (n,) [s] and value (n,) in SI; only rows that hold a number, held rows taken out
    basis     of a pressure
    interval  [s] between true samples, typical; rows  [s] between rows of its table
    quantum   smallest step between two readings, 0 where readings are as fine as their scatter
    noise     scatter while little moves (standard deviation), SI
    missing   (m,) [s] times of rows without a number, after the first and before the last that has one
    unit      unit of the raw column, "" where not known
    """

    name: str
    time: Array
    value: Array
    basis: str
    interval: float
    rows: float
    quantum: float
    noise: float
    missing: Array
    unit: str = ""

    def at(self, time: Array) -> Array:
        """Values at other times, between two true samples by a straight line; NaN across a gap or outside.

        time  (m,) [s]
        """
        if self.time.size < 2:
            return np.full(time.shape, np.nan)
        values = np.interp(time, self.time, self.value, left=np.nan, right=np.nan)
        after = np.clip(np.searchsorted(self.time, time), 1, self.time.size - 1)
        far = self.time[after] - self.time[after - 1] > max(5.0 * self.interval, 2.0)
        values[far] = np.nan
        return values


def signal_of(name: str, series: Series, turn: int = 0) -> Signal | None:
    """The true samples of a series; None where fewer than 8 rows hold a number.

    turn  rows between two readings of a channel in its table, for one that changes too seldom to show it; 0 not known
    """
    good = np.isfinite(series.value) & np.isfinite(series.time)
    if good.sum() < 8:
        return None
    first, last = np.flatnonzero(good)[[0, -1]]
    inside = np.zeros(good.size, dtype=bool)
    inside[first : last + 1] = True
    missing = series.time[inside & ~good]
    time, value = series.time[good], series.value[good]
    rows = _typical_step(time)
    keep = _true_rows(value, turn)
    time, value = time[keep], value[keep]
    interval = max(_typical_step(time), 1e-4)
    quantum = _quantum(value)
    windows = window_noise(value) if value.size >= _WINDOW else np.zeros(0)
    windows = windows[windows > 0.0]
    noise = float(np.percentile(windows, 25)) if windows.size else 0.0
    unit = series.raw.choice.unit if series.raw is not None and series.raw.choice is not None else ""
    return Signal(name, time, value, series.basis, interval, rows, quantum, noise, missing, unit)


def _typical_step(time: Array) -> float:
    steps = np.diff(time)
    steps = steps[steps > 0]
    return float(np.median(steps)) if steps.size else 0.0


def turn_of(value: Array, least: int = 20) -> int:
    """Rows between two readings: k where values only ever change every k-th row; 0 where too few changes show it.

    value  (n,) finite
    least  changes that are enough
    """
    changes = np.flatnonzero(np.diff(value) != 0.0) + 1
    return 0 if changes.size < least else max(1, int(np.percentile(np.diff(changes), 10)))


def _true_rows(value: Array, turn: int) -> NDArray[np.bool_]:
    """Rows that are new readings: all, unless the logger asks its channels in turn and holds them in between."""
    keep = np.ones(value.size, dtype=bool)
    changes = np.flatnonzero(np.diff(value) != 0.0) + 1
    period = turn_of(value) or turn
    if period < 2:
        return keep
    keep[:] = False
    starts = np.concatenate([[0], changes])
    ends = np.concatenate([changes, [value.size]])
    for start, end in zip(starts, ends, strict=True):
        keep[start:end:period] = True
    return keep


def _quantum(value: Array) -> float:
    levels = np.unique(value if value.size <= 20000 else value[:: value.size // 20000])
    if levels.size < 2 or levels.size > 0.5 * value.size:
        return 0.0
    steps = np.diff(levels)
    real = steps[steps > 1e-6 * max(1e-9, float(np.abs(levels).max()))]
    return float(np.percentile(real, 5)) if real.size else 0.0


def window_noise(value: Array) -> Array:
    """Scatter in windows of 15 samples from second differences, which a steady slope leaves at 0.

    value  (n,), n >= 15
    Returns one standard deviation a window.
    """
    bent = np.diff(value, 2)
    count = bent.size // (_WINDOW - 2)
    if count == 0:
        return np.zeros(1)
    windows = bent[: count * (_WINDOW - 2)].reshape(count, -1)
    return np.asarray(np.sqrt(np.mean(windows**2, axis=1) / 6.0))


def runs_of(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last + 1 index of each stretch where a mask is true."""
    padded = np.concatenate([[False], mask, [False]])
    edges = np.flatnonzero(padded[1:] != padded[:-1])
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
