"""Smallest and largest of each stretch of a long array, what is not a number passed over: the base of a drawing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled

__all__ = ["fold_envelope", "fold_min_max"]

_LONG = 256  # values in a stretch from which numpy's own reductions, eight at a time, are the faster way


def fold_min_max(values: NDArray[np.float32], step: int) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Smallest and largest of each ``step`` values.

    values  (n,)
    Returns two arrays (m,), m = ceil(n / step), the last of the values left over; NaN where a stretch holds no number.
    Source: definition.
    """
    values = np.ascontiguousarray(values, dtype=np.float32)
    low = np.empty(-(-values.size // step), dtype=np.float32)
    high = np.empty_like(low)
    whole = values.size // step if step >= _LONG else 0
    if whole:
        table = values[: whole * step].reshape(whole, step)
        np.minimum.reduce(table, axis=1, out=low[:whole])
        np.maximum.reduce(table, axis=1, out=high[:whole])
        for row in np.flatnonzero(
            np.isnan(low[:whole])
        ).tolist():  # those with gaps once more, gaps passed over
            _fold(table[row], step, low[row : row + 1], high[row : row + 1])  # type: ignore[no-untyped-call]
    if whole < low.size:
        _fold(values[whole * step :], step, low[whole:], high[whole:])  # type: ignore[no-untyped-call]
    return low, high


@compiled
def _fold(values, step, low, high):  # type: ignore[no-untyped-def]
    size = values.shape[0]
    top, bottom, nan = np.float32(np.inf), np.float32(-np.inf), np.float32(np.nan)
    for k in range(low.shape[0]):
        begin = k * step
        end = min(begin + step, size)
        a0 = a1 = a2 = a3 = top
        b0 = b1 = b2 = b3 = bottom
        i = begin
        while i + 4 <= end:  # four chains, so that one comparison need not wait for the one before
            v0, v1, v2, v3 = values[i], values[i + 1], values[i + 2], values[i + 3]
            a0 = v0 if v0 < a0 else a0
            a1 = v1 if v1 < a1 else a1
            a2 = v2 if v2 < a2 else a2
            a3 = v3 if v3 < a3 else a3
            b0 = v0 if v0 > b0 else b0
            b1 = v1 if v1 > b1 else b1
            b2 = v2 if v2 > b2 else b2
            b3 = v3 if v3 > b3 else b3
            i += 4
        while i < end:
            v0 = values[i]
            a0 = v0 if v0 < a0 else a0
            b0 = v0 if v0 > b0 else b0
            i += 1
        smallest, largest = min(min(a0, a1), min(a2, a3)), max(max(b0, b1), max(b2, b3))
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
