"""A thinned-out copy of a table's rows, gathered while they pass, for judging what a column is."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.records import Rows

__all__ = ["Sample"]

_MOST = 20_000


class Sample:
    """Every so many-th row, evenly over the whole table; ``step`` is the usual time between rows [s]."""

    def __init__(self, columns: int) -> None:
        """For a number of columns."""
        self._stride, self._seen = 1, 0
        self._time: list[NDArray[np.float64]] = []
        self._values: list[list[NDArray[Any]]] = [[] for _ in range(columns)]
        self._held = 0
        self.step = np.nan

    def add(self, rows: Rows) -> None:
        """Take what falls on the stride."""
        if np.isnan(self.step) and rows.time.size > 1:
            steps = np.diff(rows.time)
            self.step = float(np.median(steps[steps > 0])) if np.any(steps > 0) else np.nan
        first = -self._seen % self._stride
        self._seen += rows.time.size
        if first < rows.time.size:
            self._time.append(rows.time[first :: self._stride].copy())
            for kept, value in zip(self._values, rows.values, strict=True):
                kept.append(value[first :: self._stride].astype(np.float64))
            self._held += self._time[-1].size
        if self._held > 2 * _MOST:
            self._thin()

    def _thin(self) -> None:
        """Every other of what is held."""
        time = np.concatenate(self._time)[::2].copy()
        self._values = [[np.concatenate(kept)[::2].copy()] for kept in self._values]
        self._time, self._held = [time], time.size
        self._stride *= 2

    def arrays(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Time (n,) and values (columns, n)."""
        if not self._time:
            return np.empty(0), np.empty((len(self._values), 0))
        return np.concatenate(self._time), np.array([np.concatenate(kept) for kept in self._values])
