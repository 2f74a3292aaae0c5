"""Smallest and largest of each stretch of a long array, what is not a number passed over: the base of a drawing."""

from __future__ import annotations

from boostwright.numerics.compiler import compiled

__all__ = ["fold_min_max"]


@compiled
def fold_min_max(values, step, low, high):  # type: ignore[no-untyped-def]
    """Fill ``low`` and ``high`` (m,) with the extremes of ``step`` values each; the last may have fewer.

    values  (n,) float, m = ceil(n / step)
    A stretch without a number gets NaN in both. Source: definition.
    """
    size = values.shape[0]
    for k in range(low.shape[0]):
        begin = k * step
        end = min(begin + step, size)
        a0 = a1 = a2 = a3 = values.dtype.type(3.4e38)
        b0 = b1 = b2 = b3 = values.dtype.type(-3.4e38)
        i = begin
        while i + 4 <= end:
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
        a0 = min(min(a0, a1), min(a2, a3))
        b0 = max(max(b0, b1), max(b2, b3))
        if a0 > b0:
            a0 = b0 = values.dtype.type(float("nan"))
        low[k] = a0
        high[k] = b0
