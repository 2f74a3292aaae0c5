"""Smallest and largest of each 64 rows, kept beside the data: what a drawing needs, without reading all of them."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.min_max import fold_envelope, fold_min_max

__all__ = ["STEP", "Pyramid", "PyramidWriter", "envelope"]

_COARSE = 16  # entries of a level under one of the next
STEP = 64
"""Rows under one entry."""

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Pyramid:
    """The base of a drawing.

    time  (m,) first stamp of each stretch of ``STEP`` rows [s]
    low   (columns, m) smallest value, high: largest; NaN where nothing stands
    """

    time: NDArray[np.float64]
    low: Array
    high: Array
    _coarse: dict[int, tuple[Array, Array]] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def load(cls, path: Path) -> Pyramid:
        """Read it from its file."""
        with np.load(path, allow_pickle=False) as file:
            return cls(file["time"], file["low"], file["high"])

    def draw(
        self, column: int, begin: float, end: float, pixels: int
    ) -> tuple[NDArray[np.float64], Array, Array]:
        """Time, smallest and largest of a column between two times [s], in no more than ``pixels`` stretches."""
        first = max(int(np.searchsorted(self.time, begin, side="right")) - 1, 0)
        last = max(int(np.searchsorted(self.time, end, side="right")), first + 1)
        step = max(1, -(-(last - first) // pixels))
        if step >= 2 * _COARSE:
            return self._draw_coarse(column, first // _COARSE, -(-last // _COARSE), pixels)
        time = self.time[first:last:step]
        low, high = self.low[column, first:last], self.high[column, first:last]
        if step == 1:
            return time, low, high
        return time, *fold_envelope(low, high, step)

    def _draw_coarse(
        self, column: int, first: int, last: int, pixels: int
    ) -> tuple[NDArray[np.float64], Array, Array]:
        """The same from the next level up, which is made when a column is first drawn."""
        if column not in self._coarse:
            self._coarse[column] = fold_envelope(self.low[column], self.high[column], _COARSE)
        low, high = self._coarse[column]
        step = max(1, -(-(last - first) // pixels))
        time = self.time[first * _COARSE : last * _COARSE : step * _COARSE]
        return time, *fold_envelope(low[first:last], high[first:last], step)


def envelope(
    time: NDArray[np.float64], values: NDArray[Any], pixels: int
) -> tuple[NDArray[np.float64], Array, Array]:
    """Time, smallest and largest of rows in memory, in no more than ``pixels`` stretches."""
    step = max(1, -(-time.size // pixels))
    values = np.asarray(values, dtype=np.float32)
    return time[::step], *fold_min_max(values, step)


class PyramidWriter:
    """Gathers the entries of one table while its rows come."""

    def __init__(self, columns: int) -> None:
        """For a number of columns."""
        self._columns = columns
        self._rest_time = np.empty(0)
        self._rest: list[Array] = [np.empty(0, dtype=np.float32)] * columns
        self._time: list[NDArray[np.float64]] = []
        self._low: list[list[Array]] = [[] for _ in range(columns)]
        self._high: list[list[Array]] = [[] for _ in range(columns)]

    def add(self, time: NDArray[np.float64], arrays: list[NDArray[Any]]) -> None:
        """Take rows; those that fill no whole stretch wait."""
        if self._rest_time.size:
            time = np.concatenate([self._rest_time, time])
            arrays = [np.concatenate([rest, new]) for rest, new in zip(self._rest, arrays, strict=True)]
        whole = time.size - time.size % STEP
        self._fold(time[:whole], [array[:whole] for array in arrays])
        self._rest_time = time[whole:].copy()
        self._rest = [np.array(array[whole:], dtype=np.float32) for array in arrays]

    def _fold(self, time: NDArray[np.float64], arrays: list[NDArray[Any]]) -> None:
        if not time.size:
            return
        self._time.append(time[::STEP].copy())
        for k, array in enumerate(arrays):
            low, high = fold_min_max(np.asarray(array, dtype=np.float32), STEP)
            self._low[k].append(low)
            self._high[k].append(high)

    def save(self, path: Path) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Write the file, forced to the disk; smallest and largest of each column, NaN where it holds no number."""
        self._fold(self._rest_time, list(self._rest))
        time = np.concatenate(self._time) if self._time else np.empty(0)
        shape = (self._columns, time.size)
        low = np.array([np.concatenate(one) for one in self._low] if time.size else [], dtype=np.float32)
        high = np.array([np.concatenate(one) for one in self._high] if time.size else [], dtype=np.float32)
        with open(path, "wb") as file:
            np.savez(file, time=time, low=low.reshape(shape), high=high.reshape(shape))
            file.flush()
            os.fsync(file.fileno())
        low, high = low.reshape(shape), high.reshape(shape)
        return (
            np.fmin.reduce(low, axis=1, initial=np.nan).astype(np.float64),
            np.fmax.reduce(high, axis=1, initial=np.nan).astype(np.float64),
        )
