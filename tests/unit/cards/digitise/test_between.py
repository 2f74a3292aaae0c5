"""Efficiency between two crossings of contours is held to what the contours leave."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.cards.digitise.between import held_between

LEVELS = (0.70, 0.74, 0.76, 0.78)
SHARE = np.linspace(0.0, 1.0, 21)
OVER = [(0.1, 0.70), (0.3, 0.74), (0.7, 0.74), (0.9, 0.70)]


def held(surface: float, met: list[tuple[float, float]], at: float) -> float:
    out = held_between(SHARE, np.full(21, surface), met, LEVELS)
    return float(out[np.argmin(np.abs(SHARE - at))])


def test_a_hill_stays_below_the_contour_that_was_not_drawn() -> None:
    assert held(0.80, OVER, 0.5) == pytest.approx(0.74 + 0.8 * 0.02)
    assert held(0.75, OVER, 0.5) == pytest.approx(0.75)
    assert held(0.72, OVER, 0.5) == pytest.approx(0.74)  # it comes from below and goes below: no dip


def test_a_dip_stays_above_the_one_below() -> None:
    met = [(0.1, 0.76), (0.3, 0.74), (0.7, 0.74), (0.9, 0.76)]
    assert held(0.60, met, 0.5) == pytest.approx(0.70, abs=0.0021)
    assert held(0.72, met, 0.5) == pytest.approx(0.72)


def test_between_two_contours_it_is_between_them() -> None:
    assert held(0.80, OVER, 0.2) == pytest.approx(0.74, abs=0.0021)
    assert held(0.50, OVER, 0.2) == pytest.approx(0.70, abs=0.0021)


def test_a_second_crossing_that_was_missed_does_not_cut_the_hill_off() -> None:
    met = [(0.1, 0.70), (0.3, 0.74), (0.8, 0.70)]
    assert held(0.75, met, 0.5) == pytest.approx(0.75)
    assert held(0.80, met, 0.5) == pytest.approx(0.76, abs=0.0021)


def test_outside_the_crossings_nothing_is_changed() -> None:
    assert held(0.30, OVER, 0.95) == 0.30
    assert held(0.30, [], 0.5) == 0.30


def test_above_the_last_contour_a_hill_takes_one_step_at_most() -> None:
    met = [(0.2, 0.76), (0.4, 0.78), (0.6, 0.78), (0.8, 0.76)]
    assert held(0.90, met, 0.5) == pytest.approx(0.78 + 0.8 * 0.02)
