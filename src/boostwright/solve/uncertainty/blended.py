"""Tables between tables: what a doubt does to a packed table, from tables at both ends of its band.

The closed-cycle table and the compressor's surface take milliseconds to a second to make, so no sample makes its own.
They are made at the nominal value and at both ends of the 95 % range of each doubt that reaches them; in between every
number of the table follows the parabola through the three, and several doubts add up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.uncertainty.distribution import Distribution

__all__ = ["Blend", "ends_of"]

Array = NDArray[np.float64]
_ENDS = np.array([0.025, 0.975])
_NONE = 0.02  # of a band's width: an end this close to the nominal value is no end


def ends_of(spread: Distribution) -> tuple[float, float]:
    """Shifts [-] at the ends of the middle 95 %; one that lies at the nominal value or beyond it is 0."""
    low, high = spread.quantile(_ENDS)
    return (float(low) if low < -_NONE else 0.0), (float(high) if high > _NONE else 0.0)


@dataclass(frozen=True)
class _Axis:
    """One doubt: its column, its ends, and what its tables add to the nominal one, (m,)."""

    column: int
    low: float
    high: float
    below: Array
    above: Array


class Blend:
    """A nominal table (m,) and the doubts that move it."""

    def __init__(self, nominal: Array) -> None:
        """From the nominal table, of any shape."""
        self.shape = nominal.shape
        self._nominal = nominal.ravel()
        self._axes: list[_Axis] = []

    @property
    def columns(self) -> tuple[int, ...]:
        """Columns of the doubts that move the table."""
        return tuple(axis.column for axis in self._axes)

    def add(self, column: int, spread: Distribution, table_at: Callable[[float], Array]) -> None:
        """A doubt that moves the table.

        column    its place among the shifts
        table_at  shift [-] -> table of the same shape
        """
        low, high = ends_of(spread)
        below, above = (
            table_at(end).ravel() - self._nominal if end != 0.0 else np.zeros_like(self._nominal)
            for end in (low, high)
        )
        self._axes.append(_Axis(column, low, high, below, above))

    def at(self, shifts: Array) -> Array:
        """Tables (k, ...) at shifts (k, doubts) [-]."""
        found = np.tile(self._nominal, (len(shifts), 1))
        for axis in self._axes:
            to_low, to_high = _weights(shifts[:, axis.column], axis.low, axis.high)
            found += to_low[:, None] * axis.below
            found += to_high[:, None] * axis.above
        return found.reshape(len(shifts), *self.shape)


def _weights(shift: Array, low: float, high: float) -> tuple[Array, Array]:
    """Shares (k,) of what the low and the high table add: a parabola through 0, or a straight line with one end."""
    none = np.zeros_like(shift)
    if low == 0.0 and high == 0.0:
        return none, none
    if low == 0.0:
        return none, shift / high
    if high == 0.0:
        return shift / low, none
    return shift * (shift - high) / (low * (low - high)), shift * (shift - low) / (high * (high - low))
