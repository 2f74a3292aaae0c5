"""Memory that many problems of samples are put into by turns: fresh memory costs the system more than to fill it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.kernel.layout import POINT
from boostwright.solve.problem import Problem

__all__ = ["Room"]

Array = NDArray[np.float64]


class Room:
    """Memory for the points (k, n) of up to ``samples`` samples and for their rows of closed cycles (k, n, m), taken
    once for many problems that follow each other. A problem in it is good until the next one is put there."""

    def __init__(self, samples: int, nominal: Problem) -> None:
        """For samples of a build, given as it stands at all speeds."""
        shape = samples, nominal.points.size
        self._points, self._rows = np.zeros(shape, POINT), np.empty((*shape, nominal.rows.shape[1]))

    def points(self, samples: int) -> NDArray[np.void]:
        """Points (k, n), all zero."""
        points: NDArray[np.void] = self._points[:samples]
        points.view(np.uint8).fill(0)
        return points

    def rows(self, samples: int) -> Array:
        """Rows (k, n, m) with anything in them."""
        return self._rows[:samples]
