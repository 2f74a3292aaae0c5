"""Slopes, rounded chords and packing of the C1 surfaces."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import CubicHermiteSpline, PchipInterpolator

from boostwright.numerics.surfaces import (
    BUCKETS,
    HEADER,
    hermite_on_grid,
    limited_slopes,
    monotone_slopes,
    pack_strip_surface,
    rounded_chords,
)


@given(st.integers(3, 12), st.integers(0, 10_000))
def test_monotone_cubic_is_that_of_the_reference_library(n: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(0.1, 1.0, n))
    y = np.cumsum(rng.normal(size=n))
    grid = np.linspace(x[0], x[-1], 57)
    values, slopes = hermite_on_grid(x, y, monotone_slopes(x, y), grid)
    reference = PchipInterpolator(x, y)
    assert values == pytest.approx(reference(grid), abs=1e-10)
    inside = slice(1, -1)
    assert slopes[inside] == pytest.approx(reference.derivative()(grid)[inside], abs=1e-8)


def test_two_points_make_a_straight_line() -> None:
    assert monotone_slopes(np.array([1.0, 3.0]), np.array([2.0, 8.0])) == pytest.approx([3.0, 3.0])


def _curve(q: np.ndarray, y: np.ndarray, above: float, outer: float) -> tuple[CubicHermiteSpline, np.ndarray]:
    position, value, slope = rounded_chords(q, y[:, None], np.array([above]), outer=outer)
    return CubicHermiteSpline(position, value[:, 0], slope[:, 0]), position


def test_chords_keep_the_rows_and_are_straight_between() -> None:
    q = np.array([4.0, 6.0, 9.0, 11.0])
    y = np.array([1.0, 2.0, 0.5, 0.0])
    curve, position = _curve(q, y, -0.1, 15.0)
    assert np.all(np.diff(position) > 0.0)
    assert curve(q) == pytest.approx(y, abs=1e-14)
    assert curve(np.array([5.0, 7.5, 10.0])) == pytest.approx([1.5, 1.25, 0.25], abs=1e-12)
    assert curve(np.array([0.0, 1.0, 3.5])) == pytest.approx([1.0, 1.0, 1.0], abs=0.01)
    assert curve.derivative()(0.0) == 0.0
    assert curve.derivative()(15.0) == pytest.approx(0.0, abs=1e-14)


def test_chords_have_no_corner() -> None:
    curve, _ = _curve(np.array([1.0, 2.0, 3.0]), np.array([0.0, 1.0, -1.0]), 0.3, 5.0)
    slope = curve.derivative()
    at = np.linspace(0.0, 5.0, 4001)
    assert np.max(np.abs(np.diff(slope(at)))) < 0.1  # slopes of 1 and -2 meet; a corner would jump by 3


def test_packed_table_says_how_it_is_made() -> None:
    q = np.array([0.0, 1.0, 4.0])
    scalars = np.arange(6.0).reshape(3, 2)
    fields = np.arange(3 * 5 * 2 * 4, dtype=float).reshape(3, 5, 2, 4)
    table = pack_strip_surface(q, scalars, 10.0 * scalars, fields)
    rows, steps, k, f, per_unit, start, blocks, length = table[:8]
    assert (rows, steps, k, f, length) == (3, 5, 2, 2, 2 * 2 + 5 * 2 * 4)
    assert table[int(start) : int(start) + 3] == pytest.approx(q)
    second = int(blocks + length)
    assert table[second : second + 4] == pytest.approx([2.0, 20.0, 3.0, 30.0])
    assert table[second + 4 : second + 12] == pytest.approx(fields[1, 0].ravel())
    buckets = table[HEADER : HEADER + BUCKETS + 1]
    assert np.all(q[buckets.astype(int)] <= np.arange(BUCKETS + 1) / per_unit + 1e-12)
    assert table.flags["C_CONTIGUOUS"]


@given(st.integers(0, 10_000))
def test_limited_slopes_never_turn(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(0.1, 1.0, 8))
    y = np.cumsum(rng.exponential(1.0, 8) * rng.choice([1.0, 0.01], 8))
    wild = rng.normal(0.0, 30.0, 8)
    curve = CubicHermiteSpline(x, y, limited_slopes(x, y, wild))
    assert np.all(np.diff(curve(np.linspace(x[0], x[-1], 2000))) > -1e-12)
    assert limited_slopes(x, y, np.zeros(8)) == pytest.approx(np.zeros(8))
