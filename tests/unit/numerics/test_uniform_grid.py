"""Surfaces on a uniform grid read in bulk: as the compiled look-up reads them, and as a polynomial is."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.numerics.hermite import bicubic_pair
from boostwright.numerics.uniform_grid import (
    finer_grid,
    hermite_weights,
    node_values,
    pack_surface,
    surfaces_at,
)


def wavy(nx: int, ny: int) -> np.ndarray:
    x, y = np.meshgrid(np.linspace(0.0, 2.0, nx), np.linspace(0.0, 1.0, ny), indexing="ij")
    return np.sin(2.0 * x) * np.exp(-y) + 0.3 * x * y


def test_bulk_is_the_compiled_look_up() -> None:
    nx, ny = 9, 7
    one, other = pack_surface(wavy(nx, ny)), pack_surface(wavy(nx, ny) ** 2)
    both = np.concatenate([one, other])
    rng = np.random.default_rng(2)
    x, y = rng.uniform(0.0, nx - 1.0, 200), rng.uniform(0.0, ny - 1.0, 200)
    x[:4], y[:4] = [0.0, nx - 1.0, 3.0, 2.5], [0.0, ny - 1.0, ny - 1.0, 4.0]
    found = surfaces_at([one, other], nx, ny, x, y)
    for i in range(x.size):
        expected = bicubic_pair(both, 0, one.size, nx, ny, x[i], y[i])
        assert (found[0][i], found[1][i]) == pytest.approx(expected, rel=1e-12, abs=1e-14)


def test_nodes_come_back_and_a_parabola_is_kept() -> None:
    values = wavy(6, 8)
    assert (node_values(pack_surface(values), 6, 8) == values).all()
    x, y = np.meshgrid(np.arange(5.0), np.arange(6.0), indexing="ij")
    parabola = 1.0 + x - 0.3 * x * x + 0.5 * y * y - 0.2 * x * y
    fine = finer_grid(parabola, 9, 11)
    x, y = np.meshgrid(np.arange(9.0) / 2.0, np.arange(11.0) / 2.0, indexing="ij")
    assert fine == pytest.approx(1.0 + x - 0.3 * x * x + 0.5 * y * y - 0.2 * x * y, abs=1e-12)


def test_a_finer_grid_of_a_smooth_surface_is_near_it() -> None:
    assert finer_grid(wavy(25, 29), 49, 57) == pytest.approx(wavy(49, 57), abs=5e-4)


def test_weights_hold_a_constant_and_a_straight_line() -> None:
    u = np.linspace(0.0, 1.0, 11)
    left, left_slope, right, right_slope = hermite_weights(u)
    assert left + right == pytest.approx(np.ones(11))
    assert right + left_slope + right_slope == pytest.approx(u)
