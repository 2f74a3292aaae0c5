"""The kriged surface: weights by the textbook for one value, a function that is known, noise, and far away."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.distance import cdist

from boostwright.cards.digitise.kriging import _LEVELS, _SHARES, _SIZES, _SLOW_SIZES, kriged


def hills(places: np.ndarray) -> np.ndarray:
    return 0.01 * np.sin(4.0 * places[:, 0]) * np.cos(2.0 * places[:, 1])


def test_it_is_the_best_linear_unbiased_estimate() -> None:
    """Against the normal distribution's own conditioning, with distances of a general-purpose library."""
    rng = np.random.default_rng(3)
    places, there = rng.uniform(0.0, 1.0, (40, 2)), rng.uniform(0.0, 1.0, (7, 2))
    values, variance = hills(places), np.full(40, 1e-7)
    surface = kriged(places, values, variance)
    size, share, level, slow = (
        sizes[i] for sizes, i in zip((_SIZES, _SHARES, _LEVELS, _SLOW_SIZES), surface.parts, strict=True)
    )

    def covariance(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        d = np.sqrt(5.0) * cdist(a / [share, level], b / [share, level])
        far = cdist(a / [0.7, 1.0], b / [0.7, 1.0], "sqeuclidean")
        return size**2 * (1 + d + d**2 / 3) * np.exp(-d) + slow**2 * np.exp(-far / 2)

    whole = covariance(np.vstack([places, there]), np.vstack([places, there]))
    gain = np.linalg.solve(whole[:40, :40] + np.diag(variance), whole[:40, 40:])
    assert surface.at(there) == pytest.approx(gain.T @ values, abs=1e-9)


def test_a_smooth_function_comes_back_better_than_it_was_read() -> None:
    rng = np.random.default_rng(4)
    places = rng.uniform(0.0, 1.0, (300, 2))
    surface = kriged(places, hills(places) + rng.normal(0.0, 1e-3, 300), np.full(300, 1e-6))
    inner = rng.uniform(0.1, 0.9, (200, 2))
    off = surface.at(inner) - hills(inner)
    assert np.sqrt(np.mean(off**2)) < 0.35e-3


def test_values_that_are_all_error_leave_little() -> None:
    rng = np.random.default_rng(5)
    places = rng.uniform(0.0, 1.0, (150, 2))
    surface = kriged(places, rng.normal(0.0, 5e-3, 150), np.full(150, 25e-6))
    assert np.abs(surface.at(rng.uniform(0.0, 1.0, (50, 2)))).max() < 3e-3


def test_far_from_all_values_it_is_nothing() -> None:
    surface = kriged(
        np.random.default_rng(6).uniform(0.0, 0.2, (30, 2)), np.full(30, 0.01), np.full(30, 1e-7)
    )
    assert surface.at(np.array([[9.0, 9.0]])) == pytest.approx(0.0, abs=1e-6)
