"""Stretches of arrays: order, extremes, lines and holes beside numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.numerics.stretches import (
    all_of,
    any_of,
    count_near,
    ends_of,
    fill_holes,
    finite_of,
    least_of,
    line_through,
    middle_of,
    most_of,
    nth,
    spread_of,
)

some = st.lists(
    st.sampled_from([-2.0, -1.0, 0.0, 0.5, 1.0, 3.0]) | st.floats(-1e6, 1e6), min_size=1, max_size=70
)


@settings(deadline=None)
@given(some, st.data())
def test_order_is_that_of_a_sort(values: list[float], data: st.DataObject) -> None:
    k = data.draw(st.integers(0, len(values) - 1))
    assert nth(np.array([*values, -1e9]), len(values), k) == np.sort(values)[k]


@pytest.mark.parametrize("order", ["same", "rising", "falling", "organ", "two"])
def test_order_of_long_and_regular_arrays(order: str) -> None:
    rise = np.arange(20_000.0)
    values = {
        "same": np.zeros(20_000),
        "rising": rise,
        "falling": -rise,
        "organ": np.minimum(rise, 20_000 - rise),
        "two": rise % 2,
    }[order]
    for k in (0, 1, 9_999, 10_000, 19_999):
        assert nth(values.copy(), values.size, k) == np.sort(values)[k]


@settings(deadline=None)
@given(some, st.sampled_from([0.1, 0.5, 0.9]), st.integers(0, 3))
def test_middle_takes_not_a_number_for_the_largest(values: list[float], share: float, holes: int) -> None:
    array = np.array([7.0, *values, *[np.nan] * holes, 7.0])
    inside = array[1:-1]
    expected = np.sort(inside)[min(inside.size - 1, int(share * inside.size))]
    np.testing.assert_equal(middle_of(array, 1, array.size - 1, share, np.empty(array.size)), expected)


@settings(deadline=None)
@given(some)
def test_extremes_counts_and_spread(values: list[float]) -> None:
    array = np.array([1e9, *values, np.nan, -1e9])
    last = array.size - 1
    assert least_of(array, 1, last) == min(values)
    assert most_of(array, 1, last) == max(values)
    assert count_near(array, 1, last, values[0], 1.0) == sum(abs(v - values[0]) < 1.0 for v in values)
    work = np.empty(array.size)
    assert finite_of(array, 1, last, work) == len(values)
    assert work[: len(values)].tolist() == values
    assert spread_of(array, 1, last - 1) == pytest.approx(np.std(values), rel=1e-9, abs=1e-12)


def test_nothing_has_no_extreme() -> None:
    array = np.array([np.nan, np.nan])
    assert (least_of(array, 0, 2), most_of(array, 0, 2)) == (np.inf, -np.inf)
    assert (least_of(array, 1, 1), most_of(array, 1, 1)) == (np.inf, -np.inf)


@settings(deadline=None)
@given(st.lists(st.booleans(), min_size=0, max_size=12), st.data())
def test_conditions(values: list[bool], data: st.DataObject) -> None:
    mask = np.array([False, *values, True])
    a = data.draw(st.integers(0, mask.size))
    b = data.draw(st.integers(a, mask.size))
    assert all_of(mask, a, b) == mask[a:b].all()
    assert any_of(mask, a, b) == mask[a:b].any()


def test_line_is_least_squares_and_loses_no_digits_far_from_the_start() -> None:
    rng = np.random.default_rng(1)
    time = np.arange(200) * 0.05
    values = 300.0 + 12.5 * time + rng.normal(0, 0.3, 200)
    slope, squares = line_through(time, values, 20, 180)
    away = time[20:180] - time[20:180].mean()
    assert slope == pytest.approx(np.polyfit(time[20:180], values[20:180], 1)[0], rel=1e-9)
    assert squares == pytest.approx(away @ away, rel=1e-12)
    late = 2.0**20 + np.arange(200) * 0.0625  # stamps that a float holds exactly
    early, _ = line_through(late - late[0], values, 20, 180)
    assert line_through(late, values, 20, 180)[0] == early
    assert line_through(late, values + 2.0**20, 20, 180)[0] == pytest.approx(early, rel=1e-9)


@settings(deadline=None)
@given(st.lists(st.booleans(), min_size=1, max_size=40), st.integers(0, 6), st.data())
def test_holes_are_filled_up_to_their_longest(values: list[bool], longest: int, data: st.DataObject) -> None:
    """By the definition: a cell is filled that has held ones on both sides no further apart than the longest hole."""
    mask = np.array(values)
    a = data.draw(st.integers(0, mask.size))
    b = data.draw(st.integers(a, mask.size))
    time = np.arange(mask.size) * 1.0
    filled = mask.copy()
    fill_holes(filled, time, a, b, longest)
    for i in range(mask.size):
        before = [j for j in range(a, i) if mask[j]]
        behind = [j for j in range(i + 1, b) if mask[j]]
        bridged = a <= i < b and before and behind and time[min(behind)] - time[max(before)] <= longest
        assert filled[i] == (mask[i] or bool(bridged))


def test_ends_of_an_even_rise_are_its_own() -> None:
    values = np.array([50.0, *np.linspace(10.0, 40.0, 31), -7.0])
    assert ends_of(values, 1, 32) == pytest.approx((10.0, 40.0))
    assert ends_of(values, 1, 4) == (10.0, 12.0)
