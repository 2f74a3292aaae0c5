"""How far a sample can stand from the instant it is shown at, and how much a channel moves in that time.

A logger that asks one channel after another writes a row when it has gone round: what stands in it is up to a row old,
each channel by another age, and the whole row is late. Between its samples a channel is a straight line only as far as
it was one. Neither is noise: a mean over rows makes it no smaller.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d, minimum_filter1d

from boostwright.logs.timebase.sampling import Sampling

__all__ = ["bent_between", "local_rates", "oldest", "reach_of"]

Array = NDArray[np.float64]

_ASKED_IN_TURN = 0.15
"""[s] between rows from which on a logger is taken to ask its channels one after another (common practice: an answer
takes some 40 ms, and loggers that read all inputs at once are seldom slower than 10 rows a second)."""


def oldest(sampling: Sampling) -> float:
    """How old [s] a sample may be when its row is written: up to one row where channels are asked in turn, else 0."""
    period = sampling.period
    if not np.isfinite(period) or sampling.kind == "blank between":
        return 0.0
    row = period / max(sampling.cycle, 1.0)
    asked = sampling.kind in ("polled", "held") or row > _ASKED_IN_TURN
    return float(row) if asked else 0.0


def local_rates(sampling: Sampling) -> Array:
    """The faster of the rates of change on both sides of each sample (n,) [its unit/s], with its sign.

    Between two samples nothing is known but that difference, and a line through many would hide a jump.
    """
    time, value = sampling.time, sampling.value
    if time.size < 2:
        return np.zeros(time.size)
    rate = np.diff(value) / np.diff(time)
    before, after = np.append(rate[:1], rate), np.append(rate, rate[-1:])
    return np.where(np.abs(before) > np.abs(after), before, after)


def bent_between(sampling: Sampling, time: Array) -> Array:
    """How far a channel may lie from the straight line between its samples at instants (m,), one standard deviation.

    The parabola through three samples lies d s (1 - s)/2 from the line between two of them, d their second difference
    and s how far from one to the next; of the two parabolas the further one is taken. Definition.
    """
    t, v = sampling.time, sampling.value
    if t.size < 3:
        return np.zeros(time.shape)
    second = np.abs(v[:-2] - 2.0 * v[1:-1] + v[2:])
    second = np.concatenate([second[:1], second, second[-1:]])
    left = np.clip(np.searchsorted(t, time, side="right") - 1, 0, t.size - 2)
    share = np.clip((time - t[left]) / (t[left + 1] - t[left]), 0.0, 1.0)
    return np.asarray(np.maximum(second[left], second[left + 1]) * share * (1.0 - share) / 2.0)


def reach_of(slope: Array, error: Array, half: int) -> Array:
    """Between which values slopes lie (n,) within ``half`` samples of each, noise taken off, as a standard deviation.

    slope  (n,) of lines through windows of 2 half + 1 samples, NaN where there is none; error (n,) by noise
    A line has one slope where the truth had many: which of them stood at its middle is not known, and anything between
    those of the lines beside it is alike likely. Of noise alone the lines' slopes would lie apart by the root of
    4 + 2.4 ln(half) standard errors squared (fitted to drawn white noise, half 2 to 15, within 5 %).
    """
    width = 2 * half + 1
    most = maximum_filter1d(np.where(np.isfinite(slope), slope, -np.inf), width, mode="nearest")
    least = minimum_filter1d(np.where(np.isfinite(slope), slope, np.inf), width, mode="nearest")
    wide = np.where(np.isfinite(slope), most - least, 0.0)
    of_noise = (4.0 + 2.4 * np.log(half)) * error * error
    return np.asarray(np.sqrt(np.maximum(wide * wide - of_noise, 0.0) / 12.0))
