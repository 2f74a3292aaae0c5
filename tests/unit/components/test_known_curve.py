"""A torque curve turned back into volumetric efficiency: the root, its bounds, its refusal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.components.known_curve import HIGHEST, LOWEST, NoVolumetricEfficiency, invert_known_curve

Array = np.ndarray


def bent(efficiency: Array) -> Array:
    """Rising and bent, another curve at every point."""
    return 240.0 * efficiency ** np.array([0.8, 1.0, 1.3]) - np.array([20.0, 30.0, 45.0])


def test_root_of_a_bent_torque() -> None:
    wanted = np.array([0.81, 0.97, 1.12])
    found = invert_known_curve(bent, bent(wanted))
    np.testing.assert_allclose(found, wanted, rtol=1e-9)


@given(st.lists(st.floats(LOWEST + 1e-6, HIGHEST - 1e-6), min_size=3, max_size=3))
def test_every_efficiency_between_the_ends_comes_back(wanted: list[float]) -> None:
    np.testing.assert_allclose(invert_known_curve(bent, bent(np.array(wanted))), wanted, rtol=1e-7)


def test_one_and_many_are_the_same() -> None:
    many = invert_known_curve(lambda v: 250.0 * v - 30.0, np.array([150.0, 200.0]))
    one = invert_known_curve(lambda v: 250.0 * v - 30.0, np.array([200.0]))
    assert many[1] == pytest.approx(one[0], rel=1e-10)


def test_it_asks_the_model_a_few_times_only() -> None:
    count = 0

    def counted(efficiency: Array) -> Array:
        nonlocal count
        count += 1
        return bent(efficiency)

    invert_known_curve(counted, bent(np.array([0.9, 0.9, 0.9])))
    assert count <= 14


def test_a_stair_is_still_found() -> None:
    """False position alone would creep along a curve this bent."""
    steep = lambda v: np.tanh(40.0 * (v - 1.39)) * 100.0  # noqa: E731
    found = invert_known_curve(steep, np.array([0.0]))
    assert found[0] == pytest.approx(1.39, abs=1e-6)


def test_torque_that_no_filling_gives_is_refused_with_both_ends() -> None:
    asked = np.array([150.0, 900.0, 150.0])
    with pytest.raises(NoVolumetricEfficiency, match="point 1: 900 Nm is outside") as caught:
        invert_known_curve(bent, asked)
    error = caught.value
    assert error.missed.tolist() == [False, True, False]
    assert error.torque_at_lowest[1] < error.torque_at_highest[1] < 900.0
    assert isinstance(error, ValueError)
    with pytest.raises(NoVolumetricEfficiency):
        invert_known_curve(bent, np.array([1.0, 150.0, 150.0]))


def test_a_model_without_a_state_is_refused() -> None:
    with pytest.raises(NoVolumetricEfficiency):
        invert_known_curve(lambda v: np.full(v.shape, np.nan), np.array([100.0]))
