"""What a stretch of an array holds: its middle, its finite numbers, its extremes; for use inside compiled functions.

A stretch is given by its first index and the one behind its last. ``work`` is room for as many numbers as it has.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled

__all__ = [
    "all_of",
    "any_of",
    "count_near",
    "ends_of",
    "fill_holes",
    "finite_of",
    "least_of",
    "line_through",
    "middle_of",
    "most_of",
    "nth",
    "spread_of",
]


@compiled
def nth(work: Any, size: Any, k: Any) -> Any:
    """The k-th smallest of the first ``size`` numbers, none of which is NaN; they are shuffled."""
    low, high = 0, size - 1
    while low < high:
        pivot = work[(low + high) // 2]
        behind = low  # one behind those below the pivot; moved without a branch, which could not be foretold
        for i in range(low, high + 1):
            value = work[i]
            work[i] = work[behind]
            work[behind] = value
            behind += value < pivot
        if k < behind:
            high = behind - 1
            continue
        low = behind
        for i in range(low, high + 1):
            value = work[i]
            work[i] = work[behind]
            work[behind] = value
            behind += value <= pivot
        if k < behind:
            return pivot
        low = behind
    return work[k]


@compiled
def middle_of(values: Any, a: Any, b: Any, share: Any, work: Any) -> Any:
    """The value of a stretch with a share of the others below it; NaN counts as the largest."""
    size = 0
    for i in range(a, b):
        if values[i] == values[i]:
            work[size] = values[i]
            size += 1
    k = min(b - a - 1, int(share * (b - a)))
    return nth(work, size, k) if k < size else np.nan


@compiled
def finite_of(values: Any, a: Any, b: Any, work: Any) -> Any:
    """Finite numbers of a stretch into ``work``; how many."""
    size = 0
    for i in range(a, b):
        if np.isfinite(values[i]):
            work[size] = values[i]
            size += 1
    return size


@compiled
def count_near(values: Any, a: Any, b: Any, centre: Any, tolerance: Any) -> Any:
    """How many of a stretch lie within a tolerance."""
    count = 0
    for i in range(a, b):
        count += 1 if abs(values[i] - centre) < tolerance else 0
    return count


@compiled
def all_of(mask: Any, a: Any, b: Any) -> Any:
    """True where a condition holds in the whole stretch."""
    i = a
    while i < b and mask[i]:
        i += 1
    return i >= b


@compiled
def any_of(mask: Any, a: Any, b: Any) -> Any:
    """True where a condition holds somewhere in the stretch."""
    i = a
    while i < b and not mask[i]:
        i += 1
    return i < b


@compiled
def least_of(values: Any, a: Any, b: Any) -> Any:
    """The smallest that is a number; inf for none."""
    found = np.inf
    for i in range(a, b):
        found = values[i] if values[i] < found else found
    return found


@compiled
def most_of(values: Any, a: Any, b: Any) -> Any:
    """The largest that is a number; -inf for none."""
    found = -np.inf
    for i in range(a, b):
        found = values[i] if values[i] > found else found
    return found


@compiled
def spread_of(values: Any, a: Any, b: Any) -> Any:
    """Standard deviation of the stretch about its mean."""
    mean, squares = 0.0, 0.0
    for i in range(a, b):
        mean += values[i]
    mean /= b - a
    for i in range(a, b):
        squares += (values[i] - mean) ** 2
    return np.sqrt(squares / (b - a))


@compiled
def line_through(time: Any, values: Any, a: Any, b: Any) -> Any:
    """Slope of the least-squares line through the stretch, and the sum of squares of time about its mean.

    Both are taken from the first point on, so that what all have in common costs no digits.
    """
    mean, squares, products = 0.0, 0.0, 0.0
    for i in range(a, b):
        mean += time[i] - time[a]
    mean /= b - a
    for i in range(a, b):
        away = time[i] - time[a] - mean
        squares += away * away
        products += away * (values[i] - values[a])
    return products / squares, squares


@compiled
def fill_holes(mask: Any, time: Any, a: Any, b: Any, longest: Any) -> None:
    """Fill the holes of a condition that last no longer than ``longest``, in place; the ends are no holes."""
    last = a - 1  # the last that holds
    for i in range(a, b):
        if not mask[i]:
            continue
        if a <= last < i - 1 and time[i] - time[last] <= longest:
            for k in range(last + 1, i):
                mask[k] = True
        last = i


@compiled
def ends_of(values: Any, a: Any, b: Any) -> Any:
    """Values at both ends of a stretch that rises evenly: the means of up to four within it, led on to the ends."""
    some = min(4, (b - a) // 3)
    if some < 2:
        return values[a], values[b - 1]
    low, high = 0.0, 0.0
    for i in range(some):
        low += values[a + i]
        high += values[b - some + i]
    low, high = low / some, high / some
    lead = (high - low) / (b - a - some) * 0.5 * (some - 1)
    return low - lead, high + lead
