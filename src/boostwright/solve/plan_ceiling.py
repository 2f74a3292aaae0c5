"""The highest boost at which nothing is exceeded: a ladder of targets first, then each speed between two rungs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["ON_THE_LIMIT", "Ceiling", "highest_inside", "most_torque"]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Use = Callable[[Array, Indices], Array]
"""(m,) targets [Pa] at the points (m,) -> (m,) the largest use of any limit, 1 on it; infinite where nothing is steady.
"""

ON_THE_LIMIT = 1.0 + 1e-7
"""Largest use that counts as inside: a spark that stands on the knock limit uses it up to rounding."""

_TOLERANCE = 20.0  # Pa
_ROUNDS = 40
_NEAR = 0.02  # of the bracket: by how much a guess is put to either side of where the straight line crosses
_GOLDEN = 0.5 * (np.sqrt(5.0) - 1.0)


@dataclass(frozen=True)
class Ceiling:
    """Where the largest use passes 1 at each of the points (n,).

    inside   [Pa] highest target found inside, itself solved; nan where the lowest rung is already outside
    outside  [Pa] lowest target found outside, at most 20 Pa above; nan where the highest rung is still inside
    """

    inside: Array
    outside: Array


def highest_inside(use: Use, ladder: Array, ladder_use: Array) -> Ceiling:
    """Highest target below which every rung looked at is inside.

    use         asked again and again at single targets
    ladder      (k,) rising targets [Pa]
    ladder_use  (k, n) largest use at each rung and point
    What is returned as inside has itself been solved, so that an interpolation is never believed.
    """
    count = ladder_use.shape[1]
    bad = ~(ladder_use <= ON_THE_LIMIT)
    first = np.where(bad.any(axis=0), bad.argmax(axis=0), ladder.size)
    at = np.arange(count)
    below, above = np.clip(first - 1, 0, None), np.clip(first, None, ladder.size - 1)
    low = np.where(first > 0, ladder[below], np.nan)
    high = np.where(first < ladder.size, ladder[above], np.nan)
    use_low, use_high = ladder_use[below, at], ladder_use[above, at]
    for turn in range(_ROUNDS):
        open_ = np.flatnonzero(high - low > _TOLERANCE)
        if not open_.size:
            break
        guess = _guess(low[open_], high[open_], use_low[open_], use_high[open_], turn)
        found = use(guess, open_)
        good = found <= ON_THE_LIMIT
        low[open_[good]], use_low[open_[good]] = guess[good], found[good]
        high[open_[~good]], use_high[open_[~good]] = guess[~good], found[~good]
    return Ceiling(low, high)


def _guess(low: Array, high: Array, use_low: Array, use_high: Array, turn: int) -> Array:
    """Where the straight line between both ends crosses 1, a little below it and above it in turn; every third time
    the middle, as always where there is no line."""
    width = high - low
    middle = low + 0.5 * width
    if turn % 3 == 2:
        return middle
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (1.0 - use_low) / (use_high - use_low)
    straight = np.isfinite(use_high) & np.isfinite(use_low) & np.isfinite(share)
    aside = np.maximum(_NEAR, 0.4 * _TOLERANCE / width) * (1.0 if turn % 2 else -1.0)
    return np.where(straight, low + width * np.clip(share + aside, 0.02, 0.98), middle)


def most_torque(
    torque: Callable[[Array, Indices], Array], ladder: Array, ladder_torque: Array, ceiling: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """Targets (n,) [Pa] of the most torque at or below the ceiling (n,), and where they lie below it.

    torque  as ``use``, giving torque [Nm]; nan where nothing is steady
    ladder, ladder_torque  (k,), (k, n), as above
    More boost gives less torque where knock then asks for so late a spark that it takes back more than the air gives.
    """
    best = ceiling.copy()
    falls = np.zeros(ceiling.shape, dtype=bool)
    known = np.flatnonzero(np.isfinite(ceiling))
    if not known.size:
        return best, falls
    at_top = torque(ceiling[known], known)
    below = np.where(ladder[:, None] < ceiling[None, known], ladder_torque[:, known], -np.inf)
    below = np.where(np.isnan(below), -np.inf, below)
    rung = below.argmax(axis=0)
    lower = below.max(axis=0) > at_top * (1.0 + 1e-4)
    which = known[lower]
    if not which.size:
        return best, falls
    low = ladder[np.clip(rung[lower] - 1, 0, None)]
    high = np.minimum(ladder[np.clip(rung[lower] + 1, None, ladder.size - 1)], ceiling[which])
    best[which] = _golden(torque, low, high, which)
    falls[which] = True
    return best, falls


def _golden(torque: Callable[[Array, Indices], Array], low: Array, high: Array, which: Indices) -> Array:
    """Golden-section search for the most torque between two targets at each point."""
    low, high = low.copy(), high.copy()
    for _ in range(_ROUNDS):
        if np.all(high - low <= _TOLERANCE):
            break
        a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        left = torque(a, which) >= torque(b, which)
        high, low = np.where(left, b, high), np.where(left, low, a)
    return low
