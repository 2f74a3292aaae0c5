"""Bicubic Hermite surface on a uniform grid: values and slopes continuous, a few tens of nanoseconds a look-up.

The packed form of one surface is a flat array of ``nx * ny * 4`` numbers, ordered by node, holding the value and the
slopes along x, along y and the cross slope, each slope already multiplied by the grid step.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled

__all__ = ["bicubic", "pack_surface"]

Array = NDArray[np.float64]


def pack_surface(values: Array) -> Array:
    """Packed surface (nx*ny*4,) through ``values`` (nx, ny) on a uniform grid, slopes by central differences."""
    along_x = np.gradient(values, axis=0, edge_order=2)
    along_y = np.gradient(values, axis=1, edge_order=2)
    cross = np.gradient(along_x, axis=1, edge_order=2)
    return np.ascontiguousarray(np.stack([values, along_x, along_y, cross], axis=-1).ravel())


@compiled
def bicubic(packed: Array, start: int, nx: int, ny: int, x: float, y: float) -> float:
    """Value at grid coordinates ``x`` in [0, nx-1], ``y`` in [0, ny-1]; the caller keeps them inside."""
    i = min(int(x), nx - 2)
    j = min(int(y), ny - 2)
    u = x - i
    v = y - j
    u2 = u * u
    h01 = u2 * (3.0 - 2.0 * u)
    h00 = 1.0 - h01
    h10 = u * (1.0 - u) * (1.0 - u)
    h11 = u2 * (u - 1.0)
    v2 = v * v
    g01 = v2 * (3.0 - 2.0 * v)
    g00 = 1.0 - g01
    g10 = v * (1.0 - v) * (1.0 - v)
    g11 = v2 * (v - 1.0)
    a = start + (i * ny + j) * 4
    b = a + 4
    c = a + ny * 4
    d = c + 4
    low = h00 * packed[a] + h10 * packed[a + 1] + h01 * packed[c] + h11 * packed[c + 1]
    high = h00 * packed[b] + h10 * packed[b + 1] + h01 * packed[d] + h11 * packed[d + 1]
    low_slope = h00 * packed[a + 2] + h10 * packed[a + 3] + h01 * packed[c + 2] + h11 * packed[c + 3]
    high_slope = h00 * packed[b + 2] + h10 * packed[b + 3] + h01 * packed[d + 2] + h11 * packed[d + 3]
    return g00 * low + g10 * low_slope + g01 * high + g11 * high_slope
