"""Samples in cells: means, lost readings, steps of the stamps; beside numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.numerics.cells import cell_means, every_nth, in_a_row, steps_of

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
@given(numbers, st.integers(1, 9))
def test_every_so_manieth_value_is_copied(values: list[float], stride: int) -> None:
    array = np.array(values)
    taken, known = every_nth(array, stride)
    assert taken.tolist() == array[::stride].tolist()
    assert known
    array[0] = -np.inf
    assert not every_nth(array, stride)[1]
    array[0], array[-1] = 0.0, np.nan  # counts where it is taken
    assert every_nth(array, stride)[1] == ((array.size - 1) % stride > 0)


def test_stretches_are_put_in_a_row() -> None:
    array = np.arange(20.0)
    spans = np.array([[2, 5], [5, 5], [17, 20]], dtype=np.intp)
    taken, known = in_a_row(array, spans)
    assert taken.tolist() == [2.0, 3.0, 4.0, 17.0, 18.0, 19.0]
    assert known
    array[10] = np.nan
    assert in_a_row(array, spans)[1]
    array[19] = np.inf
    assert not in_a_row(array, spans)[1]
    assert in_a_row(array, spans[:0])[0].size == 0


@settings(deadline=None)
@given(st.lists(st.sampled_from([0.0, -1.0, 0.5, 3.0, 1e-9]), min_size=0, max_size=40), st.floats(-5, 5))
def test_steps_are_those_of_numpy(values: list[float], limit: float) -> None:
    stamps = np.cumsum(np.array(values, dtype=np.float64))
    found = steps_of(stamps, np.ones(stamps.size), limit)
    steps = np.diff(stamps)
    assert found.in_order == bool((steps >= 0).all())
    assert found.shared == bool((steps == 0).any())
    assert found.numbers
    assert found.above.tolist() == (np.flatnonzero(steps > limit) + 1).tolist()


@pytest.mark.parametrize("none", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("place", [0, 3, 7, 8])
def test_a_stamp_or_value_that_is_none_is_seen(place: int, none: float) -> None:
    stamps, whole = np.arange(9.0), np.arange(9.0)
    stamps[place] = none
    assert not steps_of(stamps, whole, np.inf).in_order
    found = steps_of(whole, stamps, np.inf)
    assert found.in_order
    assert not found.numbers
