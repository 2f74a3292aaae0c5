"""Kriging: a smooth surface through scattered values of known error, that goes back to nothing far from them.

The values are taken as a sum of a part that bends within a short reach and one that bends slowly (Matern's covariance
of order 5/2 and the Gaussian one; Rasmussen and Williams, Gaussian Processes for Machine Learning, chapters 2, 4 and
5, from memory). How large the parts are and how far the first reaches is what makes the values likeliest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Kriged", "kriged"]

Array = NDArray[np.float64]
Place = tuple[int, int, int, int]

_SIZES = (0.0005, 0.001, 0.002, 0.004, 0.008, 0.016, 0.032)
_SHARES = (0.07, 0.12, 0.2, 0.35, 0.6, 1.0, 1.7)
_LEVELS = (0.1, 0.2, 0.35, 0.6, 1.0, 1.7, 3.0)
_SLOW_SIZES = (0.0, 0.003, 0.01, 0.03, 0.1, 0.3)
_SLOW_REACH = np.array([0.7, 1.0])
"""Reach of the slow part in share and level: the whole map, so that a trend goes on past the last value."""
_TRIED = (_SIZES, _SHARES, _LEVELS, _SLOW_SIZES)
_BEGIN: Place = (2, 3, 4, 2)
_SEARCHED = 200
"""So many values are looked at in the search for the parts; the surface goes through all."""


@dataclass(frozen=True)
class Kriged:
    """The surface: places (n, 2) it was made from, weight (n,) of each, and the parts' sizes and reaches."""

    places: Array
    weights: Array
    parts: Place

    def at(self, coordinates: Array) -> Array:
        """Value (m,) at coordinates (m, 2)."""
        return np.asarray(_covariance(coordinates, self.places, self.parts) @ self.weights)


def kriged(places: Array, values: Array, variance: Array) -> Kriged:
    """The surface through values.

    places    (n, 2) share and level
    values    (n,) expected to be nothing where nothing is known
    variance  (n,) of each value's error, above 0
    """
    few = slice(None, None, 1 + len(places) // _SEARCHED)
    tried: dict[Place, float] = {}

    def score(parts: Place) -> float:
        """Minus the logarithm of the likelihood, less a constant."""
        if parts not in tried:
            matrix = _covariance(places[few], places[few], parts) + np.diag(variance[few])
            root = np.linalg.cholesky(matrix)
            weights = np.linalg.solve(matrix, values[few])
            tried[parts] = 0.5 * float(values[few] @ weights) + float(np.sum(np.log(np.diag(root))))
        return tried[parts]

    here = _BEGIN
    while True:
        best = min([here, *_around(here)], key=score)
        if best == here:
            break
        here = best
    matrix = _covariance(places, places, here) + np.diag(variance)
    return Kriged(places, np.asarray(np.linalg.solve(matrix, values)), here)


def _around(here: Place) -> list[Place]:
    """The parts one step larger or smaller in one respect."""
    out = []
    for i, choices in enumerate(_TRIED):
        for step in (-1, 1):
            moved = list(here)
            moved[i] += step
            if 0 <= moved[i] < len(choices):
                out.append((moved[0], moved[1], moved[2], moved[3]))
    return out


def _covariance(first: Array, second: Array, parts: Place) -> Array:
    """Covariance (n, m) of the values at two sets of places."""
    size, slow = _SIZES[parts[0]], _SLOW_SIZES[parts[3]]
    apart = first[:, None, :] - second[None, :, :]
    reach = np.array([_SHARES[parts[1]], _LEVELS[parts[2]]])
    d = np.sqrt(5.0 * np.sum((apart / reach) ** 2, axis=-1))
    out = size**2 * (1.0 + d + d * d / 3.0) * np.exp(-d)
    if slow:
        out += slow**2 * np.exp(-0.5 * np.sum((apart / _SLOW_REACH) ** 2, axis=-1))
    return np.asarray(out)
