"""Efficiency over a net of speed lines, from contours: a smooth surface with a residual at every contour's point.

The surface is a tensor product of cubic B-splines over share along the line and level from line to line, held smooth
by the third differences of its coefficients along a line and the second ones across (penalised splines: Eilers and
Marx, Statistical Science 11 (1996) 89, from memory). How smooth is found by generalised cross-validation (Craven and
Wahba 1979, from memory). With third differences a hill goes on as a parabola inside its innermost contour.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.family import BEYOND, Net

__all__ = ["EfficiencyFit", "fit_efficiency"]

Array = NDArray[np.float64]

_PIECES_ALONG = 12
_CLICK = 0.7
"""Standard error [pixels] of a clicked point across its contour: one pixel of play to each side."""
_PRINTED = 5e-4
"""Standard error of a contour's own value: what is printed is rounded."""
_FINEST, _STIFFEST = 1.0, 6.0
"""Decades of stiffness between two tries, and how many decades either side of 1 are tried."""
_RISE = 0.03
"""Efficiency that is gained or lost at most past the last contour where it was still rising."""
_BEGIN = (-1, -1)
_CAUTION = 1.4
"""A degree of freedom counts for so much in cross-validation, which else follows noise now and then (Kim and Gu,
J. R. Statist. Soc. B 66 (2004) 337, from memory)."""
LOWEST, HIGHEST = 0.05, 0.95


@dataclass(frozen=True)
class EfficiencyFit:
    """The surface.

    net        what it lies over
    weights    (a, b) coefficients of the splines
    residuals  (n,) fitted less contour's efficiency at each point given
    inside     (n,) whether the point lay on the net and was used
    """

    net: Net
    weights: Array
    residuals: Array
    inside: NDArray[np.bool_]

    def at(self, coordinates: Array) -> Array:
        """Efficiency (n,) at coordinates (n, 2), share and level."""
        rows = _rows(coordinates, self.weights.shape)
        return np.asarray(np.clip(rows @ self.weights.ravel(), LOWEST, HIGHEST))

    def on_line(self, share: Array, level: float, first: float, last: float) -> Array:
        """Efficiency (n,) along a line at shares (n,), carried on with care beyond the contours it crosses.

        level        of the line
        first, last  shares between which contours tell the efficiency
        Where it falls outward there, it goes on as the parabola it ended with, bent no other way; where it still rises,
        as the surface, which then has the neighbouring lines to go by, up to ``_RISE`` more.
        """
        out = self._along(share, level)
        for edge, way in ((first, -1.0), (last, 1.0)):
            beyond = way * (share - edge)
            far = beyond > 0.0
            if not np.any(far):
                continue
            steps = edge - way * np.array([0.0, 0.05, 0.10])
            e0, e1, e2 = self._along(steps, level)
            slope, bend = (3.0 * e0 - 4.0 * e1 + e2) / 0.10, (e0 - 2.0 * e1 + e2) / 0.05**2
            if slope < 0.0:
                d = beyond[far]
                out[far] = e0 + slope * d + 0.5 * min(bend, 0.0) * d * d
            else:
                out[far] = np.clip(out[far], e0 - _RISE, e0 + _RISE)
        return np.asarray(np.clip(out, LOWEST, HIGHEST))

    def per_pixel(self, share: Array, level: float) -> Array:
        """Efficiency (n,) that one pixel across the contours is worth at shares (n,) of a line."""
        coordinates = np.column_stack([np.clip(share, 0.0, 1.0), np.full(len(share), level)])
        return _per_pixel(self.net, self.weights, coordinates)

    def _along(self, share: Array, level: float) -> Array:
        return self.at(np.column_stack([share, np.full(len(share), level)]))


def fit_efficiency(
    net: Net, points: Array, values: Array, on_lines: Array, line_values: Array
) -> EfficiencyFit:
    """The surface through contours.

    net          of the speed lines
    points       (n, 2) [pixels] of all contours
    values       (n,) efficiency of each
    on_lines     (k, 2) coordinates of the places where contours cross the speed lines
    line_values  (k,) efficiency of each
    The weight of a point is that of a click: where the surface is steep a pixel means more efficiency. The crossings
    count threefold, for on the lines the efficiency is wanted.
    """
    coordinates, off = net.locate(points)
    inside = off < 2.0
    used = np.vstack([coordinates[inside], on_lines])
    wanted = np.concatenate([values[inside], line_values])
    extra = np.concatenate([np.ones(int(inside.sum())), np.full(len(line_values), 3.0)])
    shape = (_PIECES_ALONG + 3, max(4, len(net.speeds)) + 3)
    rows = _rows(used, shape)
    penalties = _penalties(shape)
    error = np.full(len(wanted), 0.002)
    weights, place = np.zeros(shape), _BEGIN
    for _ in range(3):
        flat, place = _smoothest(rows, wanted, np.sqrt(extra) / error, penalties, place)
        weights = flat.reshape(shape)
        error = _errors(net, weights, used)
    fitted = _rows(coordinates, shape) @ weights.ravel()
    return EfficiencyFit(net, weights, np.where(inside, fitted - values, np.nan), inside)


def _per_pixel(net: Net, weights: Array, coordinates: Array) -> Array:
    """Efficiency (n,) that one pixel across the contours is worth at coordinates (n, 2)."""
    step = 1e-3
    slopes = []
    for axis in (0, 1):
        up, down = coordinates.copy(), coordinates.copy()
        up[:, axis] += step
        down[:, axis] -= step
        rise = (_rows(up, weights.shape) - _rows(down, weights.shape)) @ weights.ravel()
        slopes.append(rise / (2.0 * step))
    slope = np.column_stack(slopes)
    meshes = net.meshes(coordinates)
    det = meshes[:, 0, 0] * meshes[:, 1, 1] - meshes[:, 0, 1] * meshes[:, 1, 0]
    det = np.where(np.abs(det) < 1e-9, 1e-9, det)
    per_x = (slope[:, 0] * meshes[:, 1, 1] - slope[:, 1] * meshes[:, 0, 1]) / det
    per_y = (slope[:, 1] * meshes[:, 0, 0] - slope[:, 0] * meshes[:, 1, 0]) / det
    return np.asarray(np.hypot(per_x, per_y))


def _errors(net: Net, weights: Array, coordinates: Array) -> Array:
    """Standard error (n,) of the efficiency of a point: its click across the slope, and its printed value."""
    return np.asarray(np.minimum(np.hypot(_PRINTED, _CLICK * _per_pixel(net, weights, coordinates)), 0.02))


def _smoothest(
    rows: Array, wanted: Array, weight: Array, penalties: tuple[Array, Array], begin: tuple[int, int]
) -> tuple[Array, tuple[int, int]]:
    """Coefficients with the stiffness along and across that suit the noise best, found downhill; and their place."""
    a, b = rows * weight[:, None], wanted * weight
    normal, right = a.T @ a, a.T @ b
    total, n = float(b @ b), len(b)
    scale = float(np.trace(normal)) / len(normal)
    ridge = 1e-9 * scale * np.eye(len(normal))
    tried: dict[tuple[int, int], tuple[float, Array]] = {}

    def score(place: tuple[int, int]) -> float:
        if place not in tried:
            along, across = 10.0 ** (_FINEST * np.array(place))
            matrix = normal + scale * (along * penalties[0] + across * penalties[1]) + ridge
            solution = np.linalg.solve(matrix, np.column_stack([right, normal]))
            c, freedom = solution[:, 0], float(np.trace(solution[:, 1:]))
            misfit = max(total - 2.0 * float(c @ right) + float(c @ normal @ c), 0.0)
            # what is known of the clicks holds the noise from below: a fit below it follows the hand, not the map
            noise = max(1.0, misfit / max(n - _CAUTION * freedom, 0.05 * n))
            tried[place] = (misfit / noise + 2.0 * _CAUTION * freedom + n * np.log(noise), c)
        return tried[place][0]

    here = begin
    moving = True
    while moving:
        around = [(here[0] + i, here[1] + j) for i, j in ((1, 0), (-1, 0), (0, 1), (0, -1))]
        around = [p for p in around if max(abs(p[0]), abs(p[1])) * _FINEST <= _STIFFEST]
        best = min([here, *around], key=score)
        moving = best != here
        here = best
    score(here)
    return tried[here][1], here


def _penalties(shape: tuple[int, int]) -> tuple[Array, Array]:
    """Squared third differences along the lines and second ones across, for flattened coefficients."""
    along: Array = np.diff(np.eye(shape[0]), 3, axis=0)
    across: Array = np.diff(np.eye(shape[1]), 2, axis=0)
    first = np.kron(along.T @ along, np.eye(shape[1]))
    second = np.kron(np.eye(shape[0]), across.T @ across)
    return np.asarray(first, dtype=float), np.asarray(second, dtype=float)


def _rows(coordinates: Array, shape: tuple[int, int]) -> Array:
    """Rows (n, a*b) of the products of splines at coordinates (n, 2)."""
    first = _basis(coordinates[:, 0], shape[0])
    second = _basis(coordinates[:, 1], shape[1])
    return np.asarray((first[:, :, None] * second[:, None, :]).reshape(len(coordinates), -1))


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
