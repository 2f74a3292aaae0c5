"""The packed form of a surface on a uniform grid, as ``numerics.hermite`` evaluates it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["finer_grid", "hermite_weights", "node_values", "pack_into", "pack_surface", "surfaces_at"]

Array = NDArray[np.float64]


def pack_surface(values: Array) -> Array:
    """Packed surface (nx*ny*4,) through ``values`` (nx, ny) on a uniform grid, slopes by central differences."""
    packed = np.empty((*values.shape, 4))
    pack_into(packed, values)
    return packed.ravel()


def pack_into(packed: Array, values: Array) -> None:
    """Write many surfaces, as ``pack_surface`` packs each, to packed (..., nx, ny, 4) from ``values`` (..., nx, ny)."""
    packed[..., 0] = values
    packed[..., 1] = _slopes(values, -2)
    packed[..., 2] = _slopes(values, -1)
    packed[..., 3] = _slopes(packed[..., 1], -1)


def _slopes(values: Array, axis: int) -> Array:
    """Central differences of second order at the nodes, one-sided ones at both ends."""
    return np.asarray(np.gradient(values, axis=axis, edge_order=2))


def node_values(packed: Array, nx: int, ny: int) -> Array:
    """Values (nx, ny) at the nodes of a packed surface (nx*ny*4,)."""
    return packed.reshape(nx, ny, 4)[:, :, 0].copy()


def surfaces_at(packed: Sequence[Array], nx: int, ny: int, x: Array, y: Array) -> list[Array]:
    """Packed surfaces on one grid at many points; the same arithmetic as ``numerics.hermite`` for arrays.

    packed  each (nx*ny*4,)
    x, y    (n,) grid coordinates, which the caller keeps in [0, nx-1] and [0, ny-1]
    Returns one (n,) for each surface.
    """
    i = np.minimum(x.astype(int), nx - 2)
    j = np.minimum(y.astype(int), ny - 2)
    u, v = x - i, y - j
    h, g = hermite_weights(u), hermite_weights(v)
    node = i * ny + j
    found = []
    for one in packed:
        nodes = one.reshape(nx * ny, 4)
        low = _along_x(nodes, node, node + ny, h)
        high = _along_x(nodes, node + 1, node + ny + 1, h)
        found.append(np.asarray(g[0] * low[0] + g[1] * low[1] + g[2] * high[0] + g[3] * high[1]))
    return found


def hermite_weights(u: Array) -> tuple[Array, Array, Array, Array]:
    """Weights of value and slope at the left node, and of value and slope at the right one, at 0 to 1 between them."""
    right = u * u * (3.0 - 2.0 * u)
    return 1.0 - right, u * (1.0 - u) * (1.0 - u), right, u * u * (u - 1.0)


def _along_x(
    nodes: Array, left: NDArray[np.intp], right: NDArray[np.intp], h: tuple[Array, Array, Array, Array]
) -> tuple[Array, Array]:
    """Value, and slope along y, between two nodes that follow each other along x."""
    a, b = nodes[left], nodes[right]
    value = h[0] * a[:, 0] + h[1] * a[:, 1] + h[2] * b[:, 0] + h[3] * b[:, 1]
    slope = h[0] * a[:, 2] + h[1] * a[:, 3] + h[2] * b[:, 2] + h[3] * b[:, 3]
    return value, slope


def finer_grid(values: Array, nx: int, ny: int) -> Array:
    """Values (nx, ny) of the surface through coarser ones (kx, ky) over the same range.

    values  (kx, ky) on a uniform grid, at least three nodes a side
    """
    kx, ky = values.shape
    x, y = np.meshgrid(np.linspace(0.0, kx - 1.0, nx), np.linspace(0.0, ky - 1.0, ny), indexing="ij")
    return surfaces_at([pack_surface(values)], kx, ky, x.ravel(), y.ravel())[0].reshape(nx, ny)
