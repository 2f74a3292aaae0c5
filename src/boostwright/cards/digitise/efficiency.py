"""Efficiency over a net of speed lines, from contours: head over work, and what the contours say beside it.

Head over the work of the wheel has most of efficiency's shape (``work``); the rest, as a share of it, is a kriged
surface through the contours (``kriging``), which goes on slowly where there are none.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.family import Net
from boostwright.cards.digitise.kriging import Kriged, kriged
from boostwright.cards.digitise.work import LEAST, MOST, Forms, WorkModel

__all__ = ["EfficiencyFit", "fit_efficiency"]

Array = NDArray[np.float64]

_PRINTED = 5e-4
"""Standard error of a contour's own value: what is printed is rounded."""
_RISE = 0.03
"""Efficiency that is gained at most past the last contour where it was still rising."""
_POINTS = 450
"""Points of contours that are used at most: a traced contour has more than it tells."""


@dataclass(frozen=True)
class EfficiencyFit:
    """The surface.

    net        what it lies over
    work       efficiency as head over work
    departure  what contours add to that, as a share of it
    residuals  (n,) fitted less contour's efficiency at each point given; nan where it lay off the net
    """

    net: Net
    work: WorkModel
    departure: Kriged
    residuals: Array

    def at(self, coordinates: Array) -> Array:
        """Efficiency (n,) at coordinates (n, 2), share and level."""
        return _efficiency(self.work, self.departure, coordinates)

    def on_line(self, share: Array, level: float, first: float, last: float) -> Array:
        """Efficiency (n,) along a line at shares (n,).

        level        of the line
        first, last  shares between which contours tell the efficiency; beyond them it rises by ``_RISE`` at most
        """
        out = self.at(np.column_stack([share, np.full(len(share), level)]))
        edges = self.at(np.array([[first, level], [last, level]]))
        limit = np.where(share < first, edges[0], np.where(share > last, edges[1], MOST)) + _RISE
        return np.asarray(np.minimum(out, limit))

    def per_pixel(self, share: Array, level: float) -> Array:
        """Efficiency (n,) that one pixel across the contours is worth at shares (n,) of a line."""
        coordinates = np.column_stack([np.clip(share, 0.0, 1.0), np.full(len(share), level)])
        return _per_pixel(self.net, self.at, coordinates)


def fit_efficiency(
    net: Net,
    lines: tuple[Sequence[Array], Sequence[Array]],
    contours: tuple[Array, Array],
    crossings: tuple[Array, Array],
    hand: tuple[float, float],
) -> EfficiencyFit:
    """The surface through contours.

    net        of the speed lines
    lines      of each line, the shares along it and the pixels (n, 2) of its points
    contours   (n, 2) [pixels] of all contours and efficiency (n,) of each
    crossings  (k, 2) coordinates of the places where contours cross the speed lines and efficiency (k,) of each
    hand       [pixels] standard error of a point of a line and of a contour, across it
    Raises ValueError when no contour lies on the net. The weight of a point is that of a click: where the surface is
    steep a pixel means more efficiency. The crossings count threefold, for on the lines the efficiency is wanted.
    """
    coordinates, off = net.locate(contours[0])
    inside = off < 2.0
    few = np.flatnonzero(inside)
    few = few[:: 1 + len(few) // _POINTS]
    used = np.vstack([coordinates[few], crossings[0]])
    wanted = np.concatenate([contours[1][few], crossings[1]])
    if not len(used):
        raise ValueError("no contour lies on the net of the speed lines")
    times = np.concatenate([np.ones(len(few)), np.full(len(crossings[1]), 3.0)])
    forms = Forms(net, *lines, hand[0])
    error = np.full(len(wanted), 0.002)
    for _ in range(2):
        work = WorkModel(forms, used, wanted, error)
        rough = work.at(used)
        error = np.hypot(_PRINTED, hand[1] * _per_pixel(net, work.at, used))
        departure = kriged(used, wanted / rough - 1.0, (error / rough) ** 2 / times)
    fitted = _efficiency(work, departure, coordinates)
    return EfficiencyFit(net, work, departure, np.where(inside, fitted - contours[1], np.nan))


def _efficiency(work: WorkModel, departure: Kriged, coordinates: Array) -> Array:
    return np.asarray(np.clip(work.at(coordinates) * (1.0 + departure.at(coordinates)), LEAST, MOST))


def _per_pixel(net: Net, surface: Callable[[Array], Array], coordinates: Array) -> Array:
    """Efficiency (n,) that one pixel across the contours is worth at coordinates (n, 2)."""
    step = 1e-3
    slopes = []
    for axis in (0, 1):
        up, down = coordinates.copy(), coordinates.copy()
        up[:, axis] += step
        down[:, axis] -= step
        slopes.append((surface(up) - surface(down)) / (2.0 * step))
    slope = np.column_stack(slopes)
    meshes = net.meshes(coordinates)
    det = meshes[:, 0, 0] * meshes[:, 1, 1] - meshes[:, 0, 1] * meshes[:, 1, 0]
    det = np.where(np.abs(det) < 1e-9, 1e-9, det)
    per_x = (slope[:, 0] * meshes[:, 1, 1] - slope[:, 1] * meshes[:, 0, 1]) / det
    per_y = (slope[:, 1] * meshes[:, 0, 0] - slope[:, 0] * meshes[:, 1, 0]) / det
    return np.asarray(np.hypot(per_x, per_y))
