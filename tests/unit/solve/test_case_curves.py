"""Curves shared by cases: what a shut or fully open gate does not read, and that company changes nothing."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.solve.case_block import UNREAD
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.run import solve
from boostwright.solve.threshold import threshold_speeds
from boostwright.tasks.ready import cards_of
from boostwright.tasks.whatif_result import Case, Row
from boostwright.tasks.whatif_run import CaseRunner

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
ESTATE = EXAMPLES / "hill_climb_estate"
BUILDS = (
    (),
    ("wastegate.outlet=open", "wastegate.takeoff_relation=gardel"),
    ("wastegate.outlet=open", "turbine.choked_flow=0.018 kg/s*sqrt(K)/kPa", "boost_control.plumbing=both"),
    ("wastegate.kind=none", "prediction.mode=gate-shut"),
    ("wastegate.count=2", "exhaust.pressure_drop=24 kPa", "ambient.pressure=80 kPa"),
)


def _problem(settings: tuple[str, ...], mode: str) -> Problem:
    build = read_build(ESTATE, settings)
    return assemble(build, cards_of(build), threshold_speeds(build["engine"].si("speed_limit")), mode)


@pytest.mark.parametrize("mode", sorted(UNREAD))
@pytest.mark.parametrize("settings", BUILDS)
def test_what_is_not_read_changes_nothing(settings: tuple[str, ...], mode: str) -> None:
    problem = _problem(settings, mode)
    plain = solve(problem, 1)
    for value in (np.nan, 1e9, -7.0, 0.0):
        for name in UNREAD[mode]:
            problem.points[name] = value
        found = solve(problem, 1)
        for name in (
            "outcome",
            "evaluations",
            "pressure_im",
            "pressure_em",
            "corrected_speed",
            "corrected_flow",
        ):
            np.testing.assert_array_equal(found[name], plain[name], err_msg=name)


def test_the_builds_of_this_file_meet_every_end() -> None:
    outcomes = np.concatenate([solve(_problem(s, mode))["outcome"] for s in BUILDS for mode in UNREAD])
    assert (outcomes == SOLVED).any()
    assert (outcomes != SOLVED).any()


def test_the_valve_counts_where_it_is_open() -> None:
    problem = _problem((), "gate-open")
    plain = solve(problem, 1)["pressure_im"]
    for name in ("gate_diameter", "takeoff_area_ratio", "branch_loss", "gate_full_lift"):
        assert name in UNREAD["gate-shut"] - UNREAD["gate-open"]
        kept = problem.points[name].copy()
        problem.points[name] *= 0.7
        assert not np.array_equal(solve(problem, 1)["pressure_im"], plain), name
        problem.points[name] = kept


def _rows(cases: list[Case], batch: int) -> list[Row]:
    build = read_build(ESTATE)
    speeds = np.array(build["prediction"].speeds("speeds"))
    runner = CaseRunner(build, speeds, (float(speeds[0]), float(speeds[-1])), batch)
    return [row for rows in runner.run(list(enumerate(cases))) for row in rows]


def test_company_changes_no_threshold_and_no_floor() -> None:
    """A curve that others have looked at before answers as one that nobody has: to the last bit."""
    settings = [
        (
            f"wastegate.spring_rating={spring} bar gauge",
            f"wastegate.valve_diameter={valve} mm",
            f"exhaust.pressure_drop={bore} kPa",
        )
        for bore in (8, 20)
        for valve in (36, 48)
        for spring in (0.3, 0.42, 0.55, 0.63)
    ]
    cases = [Case(str(number), own) for number, own in enumerate(settings)]
    together = _rows(cases, 64)
    for number, case in enumerate(cases):
        alone = _rows([case], 64)[0]
        for name in ("threshold", "creep_floor"):
            assert together[number].figures[name] == alone.figures[name], (name, case.settings)
    assert len({row.figures["threshold"] for row in together}) == 8  # by exhaust and spring
    assert len({row.figures["creep_floor"] for row in together}) == 4  # by exhaust and valve
