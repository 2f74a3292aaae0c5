"""Samples in cells: means, lost readings, steps of the stamps; beside numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.numerics.cells import cell_means, steps_above

numbers = st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=60)


@settings(deadline=None)
@given(numbers, st.integers(1, 9))
def test_means_are_those_of_numpy(values: list[float], many: int) -> None:
    array = np.array(values)
    first = np.arange(0, array.size, many)
    behind = np.append(first[1:], array.size)
    expected = [array[a:b].mean() for a, b in zip(first, behind, strict=True)]
    assert cell_means(array, first, behind) == pytest.approx(expected, abs=1e-9)


def test_a_reading_off_both_neighbours_is_left_out() -> None:
    array = np.array([300.0, 301.0, 0.0, 302.0, 303.0, 304.0, 305.0, 306.0])
    first, behind = np.array([0, 4]), np.array([4, 8])
    assert cell_means(array, first, behind, 0.12) == pytest.approx([301.0, 304.5])
    assert cell_means(array, first, behind) == pytest.approx([225.75, 304.5])
    one = np.arange(8)
    assert cell_means(array, one, one + 1, 0.12)[2] == pytest.approx(301.5)  # its neighbours stand in for it
    rising = 300.0 * 1.2 ** np.arange(8)
    assert cell_means(rising, one, one + 1, 0.12) == pytest.approx(rising)  # a steep rise is no spike


@settings(deadline=None)
@given(st.lists(st.floats(-10, 10), min_size=0, max_size=40), st.floats(-5, 5))
def test_steps_are_those_of_numpy(values: list[float], limit: float) -> None:
    stamps = np.cumsum(np.array(values, dtype=np.float64))
    least, where = steps_above(stamps, limit)
    steps = np.diff(stamps)
    assert least == (steps.min() if steps.size else np.inf)
    assert where.tolist() == (np.flatnonzero(steps > limit) + 1).tolist()


@pytest.mark.parametrize("place", [0, 3, 7, 8])
def test_a_stamp_that_is_none_is_seen(place: int) -> None:
    stamps = np.arange(9.0)
    stamps[place] = np.nan
    assert np.isnan(steps_above(stamps, 2.0)[0])
