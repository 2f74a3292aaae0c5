"""Smallest and largest of each stretch of a long array, what is not a number passed over: the base of a drawing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled
from boostwright.numerics.lanes import LANES, smallest_and_largest

__all__ = ["fold_envelope", "fold_min_max"]


def fold_min_max(values: NDArray[np.float32], step: int) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Smallest and largest of each ``step`` values.

    values  (n,)
    Returns two arrays (m,), m = ceil(n / step), the last of the values left over; NaN where a stretch holds no number.
    Source: definition.
    """
    values = np.ascontiguousarray(values, dtype=np.float32)
    low = np.empty(-(-values.size // step), dtype=np.float32)
    high = np.empty_like(low)
    _fold(values, step, low, high)  # type: ignore[no-untyped-call]
    return low, high


@compiled
def _fold(values, step, low, high):  # type: ignore[no-untyped-def]
    size = values.shape[0]
    nan = np.float32(np.nan)
    for k in range(low.shape[0]):
        begin = k * step
        end = min(begin + step, size)
        blocks = (end - begin) // LANES
        smallest, largest = smallest_and_largest(values, begin, blocks)
        for i in range(begin + blocks * LANES, end):
            smallest = values[i] if values[i] < smallest else smallest
            largest = values[i] if values[i] > largest else largest
        some = smallest <= largest
        low[k] = smallest if some else nan
        high[k] = largest if some else nan


def fold_envelope(
    low: NDArray[np.float32], high: NDArray[np.float32], step: int
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Smallest of each ``step`` values of ``low`` and largest of ``high``, both (n,) contiguous: the next level up.

    Returns two arrays (ceil(n / step),), NaN where a stretch holds no number. Source: definition.
    """
    out = np.empty((2, -(-low.size // step)), dtype=np.float32)
    _fold_two(low, high, step, out)  # type: ignore[no-untyped-call]
    return out[0], out[1]


@compiled
def _fold_two(low, high, step, out):  # type: ignore[no-untyped-def]
    size = low.shape[0]
    top, bottom, nan = np.float32(np.inf), np.float32(-np.inf), np.float32(np.nan)
    for k in range(out.shape[1]):
        a, b = top, bottom
        for i in range(k * step, min((k + 1) * step, size)):
            a = low[i] if low[i] < a else a
            b = high[i] if high[i] > b else b
        out[0, k] = a if a <= b else nan
        out[1, k] = b if a <= b else nan
