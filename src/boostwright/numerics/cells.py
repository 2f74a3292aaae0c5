"""Long arrays of stamped samples put into cells: where the stamps leave a gap, and the mean of each cell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled

__all__ = ["cell_means", "sum_and_spikes", "steps_above", "without_spikes"]


def cell_means(values: NDArray[np.float64], first: NDArray[np.intp]) -> NDArray[np.float64]:
    """Mean of each cell.

    values  (n,)  contiguous
    first   (m,)  where each cell begins, rising; the last one reaches to the end
    Returns (m,). Source: definition.
    """
    out = np.empty(first.size)
    _means(np.ascontiguousarray(values, dtype=np.float64), first, out)  # type: ignore[no-untyped-call]
    return out


@compiled
def _means(values, first, out):  # type: ignore[no-untyped-def]
    for k in range(first.shape[0]):
        end = first[k + 1] if k + 1 < first.shape[0] else values.shape[0]
        total = 0.0
        for i in range(first[k], end):
            total += values[i]
        out[k] = total / (end - first[k])


def sum_and_spikes(values: NDArray[np.float64], share: float) -> tuple[float, int]:
    """Sum of an array, NaN where it holds one, and how many single values stand off both neighbours.

    values  (n,)  contiguous
    share   by which share of the mean of its neighbours a spike differs from both, on the same side
    Source: definition.
    """
    total, count = _spikes(np.ascontiguousarray(values, dtype=np.float64), share)  # type: ignore[no-untyped-call]
    return float(total), int(count)


@compiled
def _spikes(values, share):  # type: ignore[no-untyped-def]
    total, count = values[0] + (values[-1] if values.shape[0] > 1 else 0.0), 0
    for i in range(1, values.shape[0] - 1):
        before, here, after = values[i - 1], values[i], values[i + 1]
        total += here
        least = 0.5 * share * abs(before + after)
        count += 1 if (here - before) * (here - after) > least * least and min(
            abs(here - before), abs(here - after)
        ) > least else 0
    return total, count


def without_spikes(values: NDArray[np.float64], share: float) -> NDArray[np.float64]:
    """A copy in which each spike, as ``sum_and_spikes`` counts them, is the mean of its neighbours. (n,), definition."""
    before, here, after = values[:-2], values[1:-1], values[2:]
    least = 0.5 * share * np.abs(before + after)
    near = np.minimum(np.abs(here - before), np.abs(here - after))
    spike = ((here - before) * (here - after) > least * least) & (near > least)
    out = values.copy()
    out[1:-1][spike] = 0.5 * (before + after)[spike]
    return out


def steps_above(stamps: NDArray[np.float64], limit: float) -> tuple[float, NDArray[np.intp]]:
    """Smallest step of stamps, and the indices behind each step above a limit.

    stamps  (n,)  contiguous
    Returns the smallest difference of neighbours, +inf for fewer than two and NaN where a stamp is none, and (m,)
    indices. Source: definition.
    """
    stamps = np.ascontiguousarray(stamps, dtype=np.float64)
    least, count = _count(stamps, limit)  # type: ignore[no-untyped-call]
    where = np.empty(int(count), dtype=np.intp)
    if where.size:
        _list(stamps, limit, where)  # type: ignore[no-untyped-call]
    return float(least), where


@compiled
def _count(stamps, limit):  # type: ignore[no-untyped-def]
    least, count, total = np.inf, 0, 0.0
    for i in range(1, stamps.shape[0]):
        step = stamps[i] - stamps[i - 1]
        total += step
        least = step if step < least else least
        count += 1 if step > limit else 0
    return least if total - total == 0.0 else np.nan, count


@compiled
def _list(stamps, limit, where):  # type: ignore[no-untyped-def]
    k = 0
    for i in range(1, stamps.shape[0]):
        if stamps[i] - stamps[i - 1] > limit:
            where[k] = i
            k += 1
