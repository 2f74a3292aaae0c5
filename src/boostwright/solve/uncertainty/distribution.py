"""How one doubt is spread: a shift from the nominal value, in widths of its band, and the quantiles of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["COVERAGE_FACTOR", "SHAPES", "Distribution"]

Array = NDArray[np.float64]

SHAPES = ("normal", "uniform", "triangular")
"""Words that may stand behind a band; without one it is normal."""

COVERAGE_FACTOR = 2.0
"""Expanded over standard uncertainty of a normal band, which then holds 95 %: the usual choice of the GUM."""


@dataclass(frozen=True)
class Distribution:
    """Spread of the shift of a doubt; a shift of 0 is the nominal value, 1 one band's width above it.

    shape      'normal': the band is the expanded uncertainty, k = 2, so that the standard deviation is 0.5;
               'uniform': every shift between the ends alike; 'triangular': falls from 0 to both ends
    low, high  ends [-]; of a normal one where it is cut off, infinite where it is not
    Source: JCGM 100:2008 (GUM), 4.3.4 to 4.3.9 and 6.3, for standard deviations and the coverage factor.
    """

    shape: str = "normal"
    low: float = -math.inf
    high: float = math.inf

    def quantile(self, share: Array) -> Array:
        """Shifts (n,) [-] below which the shares (n,) [-] of all draws lie, each between 0 and 1."""
        u = np.asarray(share, dtype=float)
        if self.shape == "uniform":
            return self.low + u * (self.high - self.low)
        if self.shape == "triangular":
            return _triangular(u, self.low, self.high)
        from scipy.special import ndtri  # slow to import; a prediction without bands goes without

        below, above = self._ends_as_shares()
        return np.asarray(ndtri(below + u * (above - below)) / COVERAGE_FACTOR, dtype=float)

    @property
    def mean(self) -> float:
        """Mean shift [-]: 0 unless the spread is lopsided."""
        if self.shape == "uniform":
            return 0.5 * (self.low + self.high)
        if self.shape == "triangular":
            return (self.low + self.high) / 3.0
        a, b = self._ends()
        below, above = self._ends_as_shares()
        return (_density(a) - _density(b)) / (above - below) / COVERAGE_FACTOR

    @property
    def standard_deviation(self) -> float:
        """Of the shift [-]: half the band for a normal one, its half width over root 3 or root 6 for the others."""
        low, high = self.low, self.high
        if self.shape == "uniform":
            return (high - low) / math.sqrt(12.0)
        if self.shape == "triangular":
            return math.sqrt((low * low + high * high - low * high) / 18.0)
        a, b = self._ends()
        below, above = self._ends_as_shares()
        inside = above - below
        first = (_density(a) - _density(b)) / inside
        at_a = a * _density(a) if math.isfinite(a) else 0.0
        at_b = b * _density(b) if math.isfinite(b) else 0.0
        return math.sqrt(1.0 + (at_a - at_b) / inside - first * first) / COVERAGE_FACTOR

    @property
    def cut_off(self) -> bool:
        """True for a normal one of which more than a thousandth is cut off."""
        below, above = self._ends_as_shares()
        return self.shape == "normal" and above - below < 0.999

    def _ends(self) -> tuple[float, float]:
        return COVERAGE_FACTOR * self.low, COVERAGE_FACTOR * self.high

    def _ends_as_shares(self) -> tuple[float, float]:
        a, b = self._ends()
        return 0.5 * math.erfc(-a / math.sqrt(2.0)), 0.5 * math.erfc(-b / math.sqrt(2.0))


def _density(x: float) -> float:
    return math.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi) if math.isfinite(x) else 0.0


def _triangular(u: Array, low: float, high: float) -> Array:
    """Quantiles of a triangle from ``low`` over 0 to ``high``."""
    width = high - low
    rising = low + np.sqrt(u * width * -low)
    falling = high - np.sqrt((1.0 - u) * width * high)
    return np.where(u * width < -low, rising, falling)
