"""The highest target inside, found between the rungs of a ladder, against functions whose crossing is known."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.solve.plan_ceiling import ON_THE_LIMIT, highest_inside, most_torque

LADDER = np.linspace(100e3, 300e3, 9)
CROSSINGS = np.array([123.4e3, 180e3, 299.99e3, 205.017e3])


def search(function, count: int):
    asked: list[float] = []

    def use(targets, which):
        asked.extend(targets)
        return function(targets, which)

    rungs = np.array([function(np.full(count, level), np.arange(count)) for level in LADDER])
    return highest_inside(use, LADDER, rungs), asked


@pytest.mark.parametrize(
    "shape",
    [
        lambda over: 1.0 + over / 50e3,
        lambda over: np.exp(over / 30e3),
        lambda over: np.where(over > 0.0, 1.0 + 1e-3 + over / 1e6, 0.2),
        lambda over: np.where(over > 0.0, np.inf, 0.9),
    ],
    ids=["straight", "curved", "step", "no steady state beyond"],
)
def test_the_crossing_is_found_from_below(shape) -> None:
    found, asked = search(lambda t, which: shape(t - CROSSINGS[which]), CROSSINGS.size)
    assert np.all(found.inside <= CROSSINGS)
    assert np.all(CROSSINGS - found.inside <= 20.0)
    assert np.all((found.outside >= CROSSINGS) & (found.outside - found.inside <= 20.0))
    assert len(asked) <= 40 * CROSSINGS.size


def test_what_is_inside_was_itself_asked() -> None:
    found, asked = search(lambda t, which: np.exp((t - CROSSINGS[which]) / 30e3), CROSSINGS.size)
    assert set(found.inside) <= {*asked, *LADDER}


def test_a_gap_lower_down_is_not_jumped() -> None:
    """Outside between 140 and 190 kPa, inside again above: the ceiling is 140 kPa."""
    found, _ = search(lambda t, which: np.where((t > 140e3) & (t < 190e3), 1.2, 0.8) + 0.0 * which, 2)
    assert np.all((found.inside <= 140e3) & (found.inside > 139.9e3))


def test_ends_of_the_ladder() -> None:
    found, asked = search(lambda t, which: np.where(which == 0, 0.5, 1.5) + 0.0 * t, 2)
    assert found.inside[0] == LADDER[-1]
    assert np.isnan(found.outside[0])
    assert np.isnan(found.inside[1])
    assert found.outside[1] == LADDER[0]
    assert not asked


def test_a_use_of_one_to_rounding_is_inside() -> None:
    found, _ = search(lambda t, which: np.full(t.shape, 1.0 + 1e-9), 1)
    assert found.inside[0] == LADDER[-1]
    assert ON_THE_LIMIT > 1.0 + 1e-9


def test_the_most_torque_may_lie_below_the_ceiling() -> None:
    """Knock takes back more than the air gives above 187 kPa at the first point; the second rises all the way."""

    def torque(targets, which):
        return np.where(which == 0, 300.0 - ((targets - 187e3) / 10e3) ** 2, targets / 1e3)

    ladder = np.array([torque(np.full(2, level), np.arange(2)) for level in LADDER])
    best, falls = most_torque(torque, LADDER, ladder, np.array([250e3, 250e3]))
    assert best[0] == pytest.approx(187e3, abs=30.0)
    assert best[1] == 250e3
    assert falls.tolist() == [True, False]


def test_without_a_ceiling_there_is_no_most_torque() -> None:
    best, falls = most_torque(lambda t, which: t, LADDER, np.ones((9, 1)), np.array([np.nan]))
    assert np.isnan(best[0])
    assert not falls[0]
