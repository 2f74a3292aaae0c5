"""Long arrays of stamped samples put into cells: where the stamps leave a gap, and the mean of each cell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled

__all__ = ["cell_means", "steps_above"]


def cell_means(
    values: NDArray[np.float64], first: NDArray[np.intp], behind: NDArray[np.intp], spike: float = np.inf
) -> NDArray[np.float64]:
    """Mean of each cell, without single values that stand off both neighbours.

    values  (n,)  contiguous
    first   (m,)  where each cell begins; behind (m,) behind its last value, above ``first``
    spike   by which share of the mean of its neighbours a value that is left out differs from both, on the same side
    Returns (m,); a cell of which nothing is left has the mean of the neighbours. Source: definition.
    """
    out = np.empty(first.size)
    _means(np.ascontiguousarray(values, dtype=np.float64), first, behind, spike, out)  # type: ignore[no-untyped-call]
    return out


@compiled
def _means(values, first, behind, spike, out):  # type: ignore[no-untyped-def]
    size = values.shape[0]
    for k in range(first.shape[0]):
        total, count, spare = 0.0, 0, 0.0
        for i in range(first[k], behind[k]):
            here = values[i]
            if spike < np.inf and 0 < i < size - 1:
                before, after = values[i - 1], values[i + 1]
                least = 0.5 * spike * abs(before + after)
                up, down = here - before, here - after
                if up * down > 0.0 and min(abs(up), abs(down)) > least:
                    spare += 0.5 * (before + after)
                    continue
            total += here
            count += 1
        out[k] = total / count if count > 0 else spare / (behind[k] - first[k])


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
    # four running results side by side, so that one step does not wait for the one before
    size = stamps.shape[0]
    least0, least1, least2, least3 = np.inf, np.inf, np.inf, np.inf
    most0, most1, most2, most3 = -np.inf, -np.inf, -np.inf, -np.inf
    total, i = 0.0, 1
    while i + 3 < size:
        step0, step1 = stamps[i] - stamps[i - 1], stamps[i + 1] - stamps[i]
        step2, step3 = stamps[i + 2] - stamps[i + 1], stamps[i + 3] - stamps[i + 2]
        least0, most0 = step0 if step0 < least0 else least0, step0 if step0 > most0 else most0
        least1, most1 = step1 if step1 < least1 else least1, step1 if step1 > most1 else most1
        least2, most2 = step2 if step2 < least2 else least2, step2 if step2 > most2 else most2
        least3, most3 = step3 if step3 < least3 else least3, step3 if step3 > most3 else most3
        total += step0 + step1 + (step2 + step3)
        i += 4
    while i < size:
        step0 = stamps[i] - stamps[i - 1]
        least0, most0 = step0 if step0 < least0 else least0, step0 if step0 > most0 else most0
        total += step0
        i += 1
    least = min(min(least0, least1), min(least2, least3))
    count = 0
    if max(max(most0, most1), max(most2, most3)) > limit:
        for k in range(1, size):
            count += 1 if stamps[k] - stamps[k - 1] > limit else 0
    return least if total - total == 0.0 else np.nan, count


@compiled
def _list(stamps, limit, where):  # type: ignore[no-untyped-def]
    k = 0
    for i in range(1, stamps.shape[0]):
        if stamps[i] - stamps[i - 1] > limit:
            where[k] = i
            k += 1
