"""Reading a turbine's table for many states at once, with the arithmetic of the solver."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.uniform_grid import hermite_weights, node_values, surfaces_at

__all__ = ["RatioRows", "TableLayout", "drive_root", "turbine_at"]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_STRAIGHT = 1e-3  # as in solve.kernel.turbine
_EDGE_STEP = 0.05  # of a node, over which the slope at the largest blade-speed ratio is taken, as there


@dataclass(frozen=True)
class TableLayout:
    """What stands where in a turbine's table.

    nx, ny               nodes along ln(expansion ratio) and along the blade-speed ratio
    x_end, y_end         their largest values
    flow, efficiency     the packed surfaces (nx*ny*4,)
    """

    nx: int
    ny: int
    x_end: float
    y_end: float
    flow: Array
    efficiency: Array

    @classmethod
    def of(cls, table: Array) -> TableLayout:
        """From a packed table, see solve.kernel.turbine."""
        nx, ny = int(table[0]), int(table[1])
        size = nx * ny * 4
        return cls(nx, ny, float(table[2]), float(table[3]), table[4 : 4 + size], table[4 + size :])

    def values(self) -> tuple[Array, Array]:
        """Flow and efficiency at the nodes, each (nx, ny)."""
        return node_values(self.flow, self.nx, self.ny), node_values(self.efficiency, self.nx, self.ny)

    def along_ratio(self, ratio: Array) -> Array:
        """Grid coordinate of an expansion ratio, kept inside the table."""
        return np.minimum(np.log(np.maximum(ratio, 1.0)) / self.x_end * (self.nx - 1), self.nx - 1.0)


def drive_root(ratio: Array) -> Array:
    """sqrt(1 - 1/ratio), a straight line through zero next to a ratio of 1."""
    drive = 1.0 - 1.0 / ratio
    return np.where(drive < _STRAIGHT, drive / np.sqrt(_STRAIGHT), np.sqrt(np.maximum(drive, _STRAIGHT)))


def turbine_at(table: Array, ratio: Array, blade_speed_ratio: Array) -> tuple[Array, Array]:
    """Swallowing capacity [kg sqrt(K)/(s Pa)] and efficiency [-] of a table at many states, as the solver reads it.

    table              packed, see solve.kernel.turbine
    ratio              (n,) [-] expansion ratio, above 0
    blade_speed_ratio  (n,) [-]
    """
    layout = TableLayout.of(table)
    x = layout.along_ratio(ratio)
    y = blade_speed_ratio / layout.y_end * (layout.ny - 1)
    inside = np.clip(y, 0.0, layout.ny - 1.0)
    flow, efficiency = surfaces_at([layout.flow, layout.efficiency], layout.nx, layout.ny, x, inside)
    beyond = np.flatnonzero(y > inside)
    if beyond.size:
        (edge,) = surfaces_at(
            [layout.efficiency], layout.nx, layout.ny, x[beyond], inside[beyond] - _EDGE_STEP
        )
        efficiency[beyond] += (efficiency[beyond] - edge) / _EDGE_STEP * (y - inside)[beyond]
    return flow * drive_root(ratio), efficiency


class RatioRows:
    """A table at many expansion ratios, each to be read at many blade-speed ratios.

    The surfaces are first blended along the ratio, once for each of them; what is left is a look-up along a row.
    """

    def __init__(self, table: Array, ratio: Array) -> None:
        """From a packed table and expansion ratios (n,) [-]."""
        self._layout = layout = TableLayout.of(table)
        x = layout.along_ratio(ratio)
        i = np.minimum(x.astype(np.intp), layout.nx - 2)
        weights = tuple(w[:, None] for w in hermite_weights(x - i))
        self._flow = self._blended(layout.flow, i, weights)
        self._efficiency = self._blended(layout.efficiency, i, weights)
        self._root = drive_root(ratio)[:, None]
        value, slope = self._efficiency
        g = hermite_weights(np.array([1.0 - _EDGE_STEP]))
        before = g[0] * value[:, -2] + g[1] * slope[:, -2] + g[2] * value[:, -1] + g[3] * slope[:, -1]
        self._edge_slope = ((value[:, -1] - before) / _EDGE_STEP)[:, None]

    def _blended(self, packed: Array, i: Indices, h: tuple[Array, ...]) -> tuple[Array, Array]:
        """Value, and slope along the blade-speed ratio, at every node of each row, (n, ny)."""
        nodes = packed.reshape(self._layout.nx, self._layout.ny, 4)
        value, along_x, along_y, cross = (np.ascontiguousarray(nodes[:, :, k]) for k in range(4))
        found = []
        for v, s in ((value, along_x), (along_y, cross)):
            found.append(h[0] * v[i] + h[1] * s[i] + h[2] * v[i + 1] + h[3] * s[i + 1])
        return found[0], found[1]

    def at(self, blade_speed_ratio: Array, with_efficiency: bool = True) -> tuple[Array, Array]:
        """Swallowing capacity [kg sqrt(K)/(s Pa)] and efficiency [-], each (n, m).

        blade_speed_ratio  (n, m) [-], m of them for each ratio
        with_efficiency    False leaves the efficiency out, as zeros
        """
        ny = self._layout.ny
        y = blade_speed_ratio / self._layout.y_end * (ny - 1)
        inside = np.clip(y, 0.0, ny - 1.0)
        j = np.minimum(inside.astype(np.intp), ny - 2)
        g = hermite_weights(inside - j)
        at = j + ny * np.arange(j.shape[0])[:, None]

        def read(rows: tuple[Array, Array]) -> Array:
            value, slope = (r.ravel() for r in rows)
            return np.asarray(
                g[0] * value.take(at)
                + g[1] * slope.take(at)
                + g[2] * value.take(at + 1)
                + g[3] * slope.take(at + 1)
            )

        flow = read(self._flow) * self._root
        if not with_efficiency:
            return flow, np.zeros_like(flow)
        return flow, read(self._efficiency) + self._edge_slope * (y - inside) * (y > inside)
