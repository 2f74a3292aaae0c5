"""A channel on another time base, by a stated method, without a value that was not there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.records import LogError
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["METHODS", "Resampled", "resample"]

Array = NDArray[np.float64]

METHODS: Mapping[str, str] = {
    "previous": "the last sample holds until the next one",
    "linear": "a straight line from sample to sample",
}
"""How a value between two samples is made."""

_GAP = 2.5


@dataclass(frozen=True, eq=False)
class Resampled:
    """A channel on another base.

    name, method
    time      (k,) [s]  the base; value (k,) in SI, NaN before the first sample, after the last and in gaps
    distance  (k,) [s]  to the nearest sample, NaN without one
    far       (k,) bool, True where that is more than half the channel's period: the value stands on little there
    period    [s]       of the samples
    words     what was done
    """

    name: str
    method: str
    time: Array
    value: Array
    distance: Array
    far: NDArray[np.bool_]
    period: float
    words: str


def resample(sampling: Sampling, time: Array, method: str = "linear") -> Resampled:
    """A channel at other times.

    sampling  of the channel
    time      (k,) [s], any order; NaN gives NaN
    method    key of ``METHODS``; "previous" suits switches and gears
    A value never lies outside the two samples beside it. Where more than 2.5 periods pass without a sample nothing is
    known, and "previous" reaches one period behind a sample; the rest stays NaN.
    Raises LogError for an unknown method. Source: definition.
    """
    if method not in METHODS:
        raise LogError.of(
            sampling.name, "cannot be resampled like that.", f"one of {', '.join(METHODS)}", method
        )
    time = np.asarray(time, dtype=np.float64)
    t, v = sampling.time, sampling.value
    value = np.full(time.shape, np.nan)
    distance = np.full(time.shape, np.nan)
    if t.size:
        before = np.searchsorted(t, time, side="right") - 1
        left = np.clip(before, 0, t.size - 1)
        right = np.clip(before + 1, 0, t.size - 1)
        distance = np.minimum(np.abs(time - t[left]), np.abs(t[right] - time))
        value = _value(t, v, time, before, method, sampling.period)
        distance[np.isnan(time)] = np.nan
    far = distance > 0.5 * sampling.period * (1.0 + 1e-9)
    words = _words(sampling, time, method)
    return Resampled(sampling.name, method, time, value, distance, far, sampling.period, words)


def _value(t: Array, v: Array, time: Array, before: NDArray[np.intp], method: str, period: float) -> Array:
    left = np.clip(before, 0, t.size - 1)
    right = np.clip(before + 1, 0, t.size - 1)
    reach = _GAP * period if np.isfinite(period) else 0.0
    known = (before >= 0) & np.isfinite(time)
    if method == "previous":
        last = before == t.size - 1
        gap = (t[right] - t[left] > reach) | last
        keep = known & (~gap | (time - t[left] <= (period if np.isfinite(period) else 0.0)))
        return np.where(keep, v[left], np.nan)
    span = t[right] - t[left]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(span > 0.0, (time - t[left]) / span, 0.0)
    low, high = np.minimum(v[left], v[right]), np.maximum(v[left], v[right])
    line = np.clip(v[left] + share * (v[right] - v[left]), low, high)
    at_sample = time == t[left]
    inside = known & (right > left) & (span <= reach)
    return np.where(at_sample, v[left], np.where(inside, line, np.nan))


def _words(sampling: Sampling, time: Array, method: str) -> str:
    step = float(np.median(np.diff(time))) if time.size > 1 else float("nan")
    text = f"{sampling.name} on another time base: {METHODS[method]}"
    if step > 0.0 and step < 0.9 * sampling.period:  # false for NaN
        text += (
            f"; it is sampled every {sampling.period:.2g} s only, so of values every {step:.2g} s about one in "
            f"{sampling.period / step:.0f} is a reading"
        )
    return text + "."
