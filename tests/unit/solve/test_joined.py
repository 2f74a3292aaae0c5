"""Problems joined into one batch give what each gives alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.solve.joined import joined, solve_joined
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.run import solve
from boostwright.tasks.ready import cards_of

_EXAMPLES = Path(__file__).parents[3] / "examples"
_RPM = np.pi / 30.0


def _problem(example: str, mode: str, speeds: tuple[float, ...], *settings: str) -> Problem:
    build = read_build(_EXAMPLES / example, settings)
    return assemble(build, cards_of(build), np.array(speeds) * _RPM, mode)


@pytest.fixture(scope="module")
def problems() -> list[Problem]:
    return [
        _problem("hill_climb_estate", "spring", (2500.0, 4000.0, 6000.0)),
        _problem("transverse_three", "gate-shut", (1500.0, 2500.0, 3500.0, 5000.0)),
        _problem("hill_climb_estate", "gate-open", (3000.0,), "wastegate.valve_diameter=60 mm"),
        _problem("hill_climb_estate", "no-turbo", (3000.0, 5000.0)),
    ]


def test_joined_problems_give_what_each_gives_alone(problems: list[Problem]) -> None:
    for problem, states in zip(problems, solve_joined(problems), strict=True):
        alone = solve(problem)
        assert states.tobytes() == alone.tobytes()


def test_a_table_that_several_problems_share_stands_once(problems: list[Problem]) -> None:
    batch = joined([*problems, *problems])
    assert batch.maps.shape[0] == len({p.maps[0].tobytes() for p in problems})
    assert batch.edges.tolist() == [0, 3, 7, 8, 10, 13, 17, 18, 20]
    for problem, points in zip([*problems, *problems], batch.parts(batch.points), strict=True):
        for own, point in zip(problem.points, points, strict=True):
            own_map = problem.maps[own["compressor_index"]]
            np.testing.assert_array_equal(batch.maps[point["compressor_index"], : own_map.size], own_map)
            own_table = problem.turbines[own["turbine_index"]]
            np.testing.assert_array_equal(batch.turbines[point["turbine_index"]], own_table)


def test_the_problems_themselves_stay_as_they_are(problems: list[Problem]) -> None:
    before = [problem.points.tobytes() for problem in problems]
    solve_joined(problems[::-1])
    assert [problem.points.tobytes() for problem in problems] == before


def test_nothing_to_join_is_refused() -> None:
    with pytest.raises(ValueError, match="no problem"):
        joined([])
