"""From a ceiling along engine speed to a table a controller can hold: straight between its breakpoints, rounded."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["between", "refined_speeds", "table_under"]

Array = NDArray[np.float64]

_MOST_PASSES = 2000
_SLACK = 1e-6  # Pa


def refined_speeds(speeds: Array, parts: int) -> tuple[Array, NDArray[np.intp]]:
    """Speeds (m,) with every step cut into parts, and where the breakpoints (n,) stand among them."""
    if speeds.size < 2:
        return speeds.copy(), np.arange(speeds.size)
    share = np.arange(parts) / parts
    inner = speeds[:-1, None] + share * np.diff(speeds)[:, None]
    return np.append(inner.ravel(), speeds[-1]), np.arange(speeds.size) * parts


def between(speeds: Array, table: Array, at: Array) -> Array:
    """The table (n,) at other speeds (m,), straight between breakpoints; nan beside a breakpoint that has none."""
    right = np.clip(np.searchsorted(speeds, at, side="left"), 1, max(speeds.size - 1, 1))
    if speeds.size < 2:
        return np.full(at.shape, table[0])
    left = right - 1
    share = (at - speeds[left]) / (speeds[right] - speeds[left])
    found = (1.0 - share) * table[left] + share * table[right]
    found = np.where(share <= 0.0, table[left], np.where(share >= 1.0, table[right], found))
    return np.asarray(found, dtype=float)


def table_under(speeds: Array, ceiling: Array, at: Array, ceiling_at: Array, step: float) -> Array:
    """Breakpoints (n,) [Pa] whose straight lines stay at or below a ceiling, rounded down to ``step``.

    ceiling     (n,) at the breakpoints; nan where there is none, and the table has none either
    ceiling_at  (m,) at the speeds ``at`` between them; nan is no bound
    Where a line stands too high both its ends come down, each by its share, by no more than is needed; rounding takes
    more from both, so that the lines stay below.
    """
    table = ceiling.astype(float).copy()
    right = np.clip(np.searchsorted(speeds, at, side="left"), 1, max(speeds.size - 1, 1))
    if speeds.size > 1:
        left = right - 1
        share = np.clip((at - speeds[left]) / (speeds[right] - speeds[left]), 0.0, 1.0)
        weight = (1.0 - share) ** 2 + share**2
        for _ in range(_MOST_PASSES):
            excess = (1.0 - share) * table[left] + share * table[right] - ceiling_at
            worst = int(np.nanargmax(np.where(np.isnan(excess), -np.inf, excess)))
            if not excess[worst] > _SLACK:
                break
            pull = excess[worst] / weight[worst]
            table[left[worst]] -= (1.0 - share[worst]) * pull
            table[right[worst]] -= share[worst] * pull
    return np.asarray(np.floor(table / step + 1e-9) * step, dtype=float)
