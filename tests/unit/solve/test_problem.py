"""A problem's points taken, repeated and put at target levels answer as they do where they came from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.cards.look_up import find_card
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve

_ESTATE = Path(__file__).parents[3] / "examples" / "hill_climb_estate"
_RPM = np.pi / 30.0


@pytest.fixture(scope="module")
def assembled():
    build = read_build(_ESTATE)
    cards = {kind: find_card(kind, build[kind].text("card"), build.folder) for kind in ("fuel", "compressor")}
    return build, assemble(build, cards, np.arange(2000.0, 6501.0, 500.0) * _RPM, "target")


def _quantities(build, problem: Problem):
    return quantities_of(build, problem, solve(problem), 1e5)


def test_points_taken_answer_as_before(assembled) -> None:
    build, problem = assembled
    whole = _quantities(build, problem)
    order = [7, 2, 2, 0]
    some = _quantities(build, problem.take(order))
    assert set(some) == set(whole)
    for name, values in some.items():
        np.testing.assert_array_equal(values, whole[name][order], err_msg=name)


def test_a_mask_takes_what_is_true(assembled) -> None:
    _, problem = assembled
    mask = problem.speeds > 4000 * _RPM
    taken = problem.take(mask)
    np.testing.assert_array_equal(taken.speeds, problem.speeds[mask])
    assert taken.mixture.coefficients.shape == (mask.sum(), 2, 7)
    assert taken.rows.shape[0] == taken.points.size == taken.pulse_amplitude.size == mask.sum()


def test_there_is_no_point_beyond_the_last(assembled) -> None:
    _, problem = assembled
    with pytest.raises(IndexError):
        problem.take([problem.points.size])


def test_levels_answer_as_each_level_alone(assembled) -> None:
    build, problem = assembled
    levels = np.array([120e3, 150e3, 180e3])
    together = _quantities(build, problem.at_targets(levels))
    for k, level in enumerate(levels):
        points = problem.at_mode("target").take(np.arange(problem.points.size))
        points.points["target_pressure"] = level
        alone = _quantities(build, points)
        for name, values in alone.items():
            np.testing.assert_array_equal(
                together[name].reshape(levels.size, -1)[k], values, err_msg=f"{name} at {level}"
            )


def test_levels_may_differ_by_speed_and_leave_the_source_alone(assembled) -> None:
    _, problem = assembled
    before = problem.points.copy()
    levels = np.stack([np.linspace(150e3, 180e3, problem.speeds.size), np.full(problem.speeds.size, 140e3)])
    many = problem.at_mode("spring").at_targets(levels)
    np.testing.assert_array_equal(many.points["target_pressure"], levels.ravel())
    np.testing.assert_array_equal(problem.points, before)
    with pytest.raises(ValueError, match="broadcast"):
        problem.at_targets(np.ones((2, problem.speeds.size + 1)))
