"""Penalised splines over the net of speed lines (Eilers and Marx, Statistical Science 11 (1996) 89, from memory).

Tensor products of cubic B-splines over share along the line and level from line to line, held smooth by the third
differences of their coefficients along a line and the second ones across. How smooth is found by generalised
cross-validation (Craven and Wahba 1979, from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.family import BEYOND

__all__ = ["rows", "smoothest"]

Array = NDArray[np.float64]

_DECADES = 6
"""How many decades of stiffness either side of 1 are tried."""
_BEGIN = (-1, -1)
_CAUTION = 1.4
"""A degree of freedom counts for so much in cross-validation, which else follows noise now and then (Kim and Gu,
J. R. Statist. Soc. B 66 (2004) 337, from memory)."""


def smoothest(coordinates: Array, wanted: Array, error: Array, shape: tuple[int, int]) -> Array:
    """Coefficients (a*b,) of the smooth surface through values, with the stiffnesses that suit their error best.

    coordinates  (n, 2) share and level
    wanted       (n,) value at each
    error        (n,) standard error of each
    shape        (a, b) number of splines along and across
    """
    a, b = rows(coordinates, shape) / error[:, None], wanted / error
    normal, right = a.T @ a, a.T @ b
    total, n = float(b @ b), len(b)
    scale = float(np.trace(normal)) / len(normal)
    ridge = 1e-9 * scale * np.eye(len(normal))
    penalties = _penalties(shape)
    tried: dict[tuple[int, int], tuple[float, Array]] = {}

    def score(place: tuple[int, int]) -> float:
        if place not in tried:
            along, across = 10.0 ** np.array(place, dtype=float)
            matrix = normal + scale * (along * penalties[0] + across * penalties[1]) + ridge
            solution = np.linalg.solve(matrix, np.column_stack([right, normal]))
            c, freedom = solution[:, 0], float(np.trace(solution[:, 1:]))
            misfit = max(total - 2.0 * float(c @ right) + float(c @ normal @ c), 0.0)
            # what is known of the clicks holds the noise from below: a fit below it follows the hand, not the map
            noise = max(1.0, misfit / max(n - _CAUTION * freedom, 0.05 * n))
            tried[place] = (misfit / noise + 2.0 * _CAUTION * freedom + n * np.log(noise), c)
        return tried[place][0]

    here = _BEGIN
    while True:
        around = [(here[0] + i, here[1] + j) for i, j in ((1, 0), (-1, 0), (0, 1), (0, -1))]
        best = min([here, *(p for p in around if max(abs(p[0]), abs(p[1])) <= _DECADES)], key=score)
        if best == here:
            return tried[here][1]
        here = best


def rows(coordinates: Array, shape: tuple[int, int]) -> Array:
    """Rows (n, a*b) of the products of splines at coordinates (n, 2)."""
    first = _basis(coordinates[:, 0], shape[0])
    second = _basis(coordinates[:, 1], shape[1])
    return np.asarray((first[:, :, None] * second[:, None, :]).reshape(len(coordinates), -1))


def _penalties(shape: tuple[int, int]) -> tuple[Array, Array]:
    """Squared third differences along the lines and second ones across, for flattened coefficients."""
    along: Array = np.diff(np.eye(shape[0]), 3, axis=0)
    across: Array = np.diff(np.eye(shape[1]), 2, axis=0)
    first = np.kron(along.T @ along, np.eye(shape[1]))
    second = np.kron(np.eye(shape[0]), across.T @ across)
    return np.asarray(first, dtype=float), np.asarray(second, dtype=float)


def _basis(x: Array, count: int) -> Array:
    """Cubic B-splines (n, count) over -BEYOND to 1 + BEYOND, equal pieces."""
    pieces = count - 3
    low, high = -BEYOND - 0.01, 1.0 + BEYOND + 0.01
    u = np.clip((x - low) / (high - low), 0.0, 1.0 - 1e-12) * pieces
    i = u.astype(int)
    t = u - i
    parts = np.column_stack(
        [(1 - t) ** 3 / 6, (3 * t**3 - 6 * t**2 + 4) / 6, (-3 * t**3 + 3 * t**2 + 3 * t + 1) / 6, t**3 / 6]
    )
    out = np.zeros((len(x), count))
    for k in range(4):
        out[np.arange(len(x)), i + k] = parts[:, k]
    return out
