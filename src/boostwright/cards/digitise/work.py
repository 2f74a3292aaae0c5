"""Efficiency as the head over the work of the wheel: the shape it has along a line before any contour is looked at.

A speed line tells the head; what the wheel puts in per kilogram, over its speed squared, is close to a straight line
over the flow coefficient at its exit (Euler's equation with a constant slip; Dixon and Hall, Fluid Mechanics and
Thermodynamics of Turbomachinery, section 7, from memory). So most of what efficiency does, the steep fall where a line
turns down towards choke above all, follows from the line itself, and the contours have six numbers to settle.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.family import Net
from boostwright.cards.digitise.splines import rows, smoothest

__all__ = ["Forms", "WorkModel"]

Array = NDArray[np.float64]

_EXPONENT = 3.5
"""Heat capacity over gas constant of air; only the shape of the head over the ratio rests on it."""
_SPLINES_ALONG = 11
_SMALLEST = 1e-3
"""Share of the mean below which flow and head do not fall, and least error of either: lines are drawn no better."""
_MISFIT = 0.004
"""Share by which work may lie off the surface of the six numbers at a point; own estimate."""
_SLOPE = -0.3
"""Relative change of work over that of flow at usual backsweep; own estimate, held loosely."""
LEAST, MOST = 0.05, 0.95


class Forms:
    """Flow over speed and head over speed squared of the family of lines, smoothed by as much as a hand misses.

    A pixel of pressure ratio is 1.5 % of the head of a slow line, so the head as clicked would carry the hand into the
    efficiency; lines of neighbouring speeds, whose similarity forms are nearly the same, steady each other.
    """

    def __init__(self, net: Net, shares: Sequence[Array], pixels: Sequence[Array], click: float) -> None:
        """The forms.

        net     of the speed lines
        shares  of each line, along it, of its points
        pixels  of each line, (n, 2) its points
        click   [pixels] standard error of a point across its line
        """
        self._first, self._last = float(net.speeds[0]), float(net.speeds[-1])
        self._shape = (_SPLINES_ALONG, max(4, len(net.speeds)) + 3)
        coordinates, read, moved = [], [], []
        for level, share, points in zip(net.levels, shares, pixels, strict=True):
            way = np.gradient(points, axis=0)
            way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
            coordinates.append(np.column_stack([share, np.full(len(share), level)]))
            read.append(net.values(points))
            moved.append(net.values(points + np.column_stack([-way[:, 1], way[:, 0]])))
        places = np.vstack(coordinates)
        speed = self._speed(places[:, 1])
        values, besides = _forms(np.vstack(read), speed), _forms(np.vstack(moved), speed)
        self._least = _SMALLEST * np.mean(values, axis=0)
        error = np.hypot(click * (besides - values), 2.0 * self._least)
        self._weights = np.column_stack(
            [smoothest(places, values[:, i], error[:, i], self._shape) for i in (0, 1)]
        )

    def at(self, coordinates: Array) -> tuple[Array, Array]:
        """Flow coefficient at the exit (n,) and head coefficient (n,), own units, at coordinates (n, 2)."""
        flow, head = np.maximum(rows(coordinates, self._shape) @ self._weights, self._least).T
        # the gas leaves the wheel denser by about the square root of the pressure ratio
        density = (1.0 + head * self._speed(coordinates[:, 1]) ** 2) ** (0.5 * _EXPONENT)
        return flow / density, head

    def _speed(self, level: Array) -> Array:
        """Speed (n,) over the highest at levels (n,)."""
        return np.asarray(np.maximum(self._first + level * (self._last - self._first), 0.0) / self._last)


def _forms(values: Array, speed: Array) -> Array:
    """Flow over speed and head over speed squared (n, 2) of flow and pressure ratio (n, 2)."""
    head = np.maximum(values[:, 1], 1e-3) ** (1.0 / _EXPONENT) - 1.0
    return np.column_stack([values[:, 0] / speed, head / speed**2])


class WorkModel:
    """Efficiency as head over work, the work being a polynomial of second degree in exit flow and speed."""

    def __init__(self, forms: Forms, coordinates: Array, values: Array, error: Array) -> None:
        """The work that suits contours best.

        forms        of the lines
        coordinates  (n, 2) share and level of points of contours; at least one
        values       (n,) efficiency at each
        error        (n,) standard error of each
        """
        self._forms = forms
        flow, head = forms.at(coordinates)
        work = head / values
        self._middle, self._spread = (
            float(np.mean(flow)),
            max(float(np.std(flow)), 1e-3 * float(np.mean(flow))),
        )
        self._work = float(np.median(work))
        weight = 1.0 / (_MISFIT + error / values)
        share = self._spread / self._middle
        expected = np.array([1.0, _SLOPE * share, 0.0, 0.0, 0.0, 0.0])
        # standard deviations within which the six numbers are looked for: bent by no more than they slope
        hold = 1.0 / np.array([1e3, 0.5 * share, 0.3 * share**2, 0.2, 0.1, 0.3 * share])
        matrix = np.vstack([self._terms(flow, coordinates[:, 1]) * weight[:, None], np.diag(hold)])
        wanted = np.concatenate([work / self._work * weight, expected * hold])
        self._numbers: Array = np.linalg.lstsq(matrix, wanted, rcond=None)[0]

    def at(self, coordinates: Array) -> Array:
        """Efficiency (n,) at coordinates (n, 2)."""
        flow, head = self._forms.at(coordinates)
        work = np.maximum(self._terms(flow, coordinates[:, 1]) @ self._numbers, 0.2) * self._work
        return np.asarray(np.clip(head / work, LEAST, MOST))

    def _terms(self, flow: Array, level: Array) -> Array:
        u, v = (flow - self._middle) / self._spread, 2.0 * level - 1.0
        return np.column_stack([np.ones(len(flow)), u, u * u, v, v * v, u * v])
