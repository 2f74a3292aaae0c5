"""The packed form of a surface on a uniform grid, as ``numerics.hermite`` evaluates it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["pack_surface"]

Array = NDArray[np.float64]


def pack_surface(values: Array) -> Array:
    """Packed surface (nx*ny*4,) through ``values`` (nx, ny) on a uniform grid, slopes by central differences."""
    along_x = np.gradient(values, axis=0, edge_order=2)
    along_y = np.gradient(values, axis=1, edge_order=2)
    cross = np.gradient(along_x, axis=1, edge_order=2)
    return np.ascontiguousarray(np.stack([values, along_x, along_y, cross], axis=-1).ravel())
