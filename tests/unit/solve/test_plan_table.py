"""A table under a ceiling: on the step, and nowhere above, between its breakpoints too."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.solve.plan_table import between, refined_speeds, table_under

SPEEDS = np.linspace(200.0, 700.0, 6)


@given(st.lists(st.floats(110e3, 300e3), min_size=21, max_size=21))
def test_the_lines_stay_below_any_ceiling(values: list[float]) -> None:
    at, places = refined_speeds(SPEEDS, 4)
    ceiling = np.array(values)
    table = table_under(SPEEDS, ceiling[places], at, ceiling, 1e3)
    assert np.all(between(SPEEDS, table, at) <= ceiling + 1e-3)
    np.testing.assert_allclose(table / 1e3, np.round(table / 1e3), atol=1e-9)


def test_a_straight_ceiling_costs_the_rounding_alone() -> None:
    at, places = refined_speeds(SPEEDS, 4)
    ceiling = 150.4e3 + 40.0 * (at - at[0])
    table = table_under(SPEEDS, ceiling[places], at, ceiling, 1e3)
    np.testing.assert_array_equal(table, np.floor(ceiling[places] / 1e3) * 1e3)


def test_a_dip_between_breakpoints_brings_both_ends_down() -> None:
    at, places = refined_speeds(SPEEDS, 4)
    ceiling = np.full(at.shape, 200e3)
    ceiling[6] = 180e3
    table = table_under(SPEEDS, ceiling[places], at, ceiling, 1e3)
    assert between(SPEEDS, table, at[6:7])[0] <= 180e3
    assert between(SPEEDS, table, at[6:7])[0] > 178.9e3
    assert table[0] == table[-1] == 200e3


def test_where_there_is_no_ceiling_there_is_no_table() -> None:
    at, places = refined_speeds(SPEEDS, 4)
    ceiling = np.full(at.shape, 200e3)
    ceiling[at > 550.0] = np.nan
    table = table_under(SPEEDS, ceiling[places], at, ceiling, 1e3)
    assert np.isnan(table[-2:]).all()
    assert np.all(table[:-2] == 200e3)
    assert np.isnan(between(SPEEDS, table, np.array([690.0])))


def test_breakpoints_come_back_and_one_speed_is_enough() -> None:
    at, places = refined_speeds(SPEEDS, 4)
    assert at.size == 21
    np.testing.assert_array_equal(at[places], SPEEDS)
    one, where = refined_speeds(np.array([300.0]), 4)
    assert table_under(one[where], np.array([171.9e3]), one, np.array([171.9e3]), 1e3).tolist() == [171e3]
    assert between(np.array([300.0]), np.array([171e3]), np.array([250.0, 400.0])) == pytest.approx(171e3)
