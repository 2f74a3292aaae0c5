"""The risk of a plan: the share of days it counts is that of a loop over single days, and its table keeps it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import Build, read_build, with_settings
from boostwright.solve.limits import limits_of
from boostwright.solve.plan_actuator import free_actuator
from boostwright.solve.quantities import quantities_of
from boostwright.solve.rods import rod_quantities
from boostwright.solve.run import solve
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.tasks.fuel_figures import fuel_system_figures
from boostwright.tasks.plan import plan_build
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.ready import cards_of, speed_limit_of

ESTATE = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
SPEEDS = np.array([2500.0, 4000.0, 5500.0, 6500.0]) * RPM
SAMPLES, SEED = 80, 5
FITTED = "spark.knock_multiplier=1.0"


def estate(*settings: str) -> Build:
    """With its own day and the spike alone, so that what is not known has something to take away."""
    days = ("plan.altitude=0 m", "plan.colder_by=0 K", "plan.hotter_by=0 K", "plan.parts=")
    return read_build(ESTATE, (FITTED, *days, *settings))


@pytest.fixture(scope="module")
def planned() -> Plan:
    return plan_build(estate("plan.risk=5 %"), speeds=list(SPEEDS), samples=SAMPLES, seed=SEED)


@pytest.fixture(scope="module")
def alone() -> Plan:
    return plan_build(estate(), speeds=list(SPEEDS), samples=0)


def days_over(table: np.ndarray, spike: float) -> np.ndarray:
    """Which days (samples, speeds) exceed a limit, each assembled, solved and judged by itself."""
    build = with_settings(estate(), ["boost_control.target=", "prediction.mode=spring"])
    cards = cards_of(build)
    doubts = doubts_of(build, cards)
    maker = Assembler(build, cards, SPEEDS, "target", None, doubts)
    limit, source = speed_limit_of(build, cards, maker.nominal)
    over = []
    for row in draw(doubts, SAMPLES, SEED):
        problem = free_actuator(maker.problem(row[None])).at_targets((table * (1.0 + spike))[None, :])
        q = quantities_of(maker.sample_build(row), problem, solve(problem), limit)
        rod_quantities(build, problem, q)  # a belief in the rods was held of one engine, not of every sample
        fuel = fuel_system_figures(build, cards["fuel"], q)
        q |= fuel.quantities
        lowest = maker.nominal.compressor.speed_lowest_measured
        limits = (*limits_of(build, q, lowest, limit, source), *fuel.limits)
        used = np.array([np.nan_to_num(each.utilisation, nan=-np.inf) for each in limits]).max(axis=0)
        over.append((used > 1.0 + 1e-7) | ~np.isfinite(q["pressure_im"]))
    return np.array(over)


def test_the_share_is_that_of_a_loop_over_single_days(planned: Plan) -> None:
    assert planned.risk is not None
    over = days_over(planned.target, planned.risk.spike)
    assert planned.risk.found == np.mean(over.any(axis=1))
    assert planned.risk.found <= planned.risk.stated == 0.05
    by_limit = sum(share for share in planned.risk.share_over.values())
    assert np.all(by_limit >= over.mean(axis=0) - 1e-12)


def test_the_table_is_no_lower_than_the_risk_asks_for(planned: Plan, alone: Plan) -> None:
    """Higher by a twentieth of its boost it is not kept; and it is never above what the named days allow."""
    ambient = planned.pressure_amb
    higher = ambient + 1.08 * (planned.target - ambient)
    assert np.mean(days_over(higher, 0.05).any(axis=1)) > planned.risk.stated
    assert np.all(planned.target <= alone.target)
    np.testing.assert_allclose(planned.risk.lowered, alone.target - planned.target)


def test_more_risk_allows_no_less_boost(planned: Plan, alone: Plan) -> None:
    bold = plan_build(estate("plan.risk=30 %"), speeds=list(SPEEDS), samples=SAMPLES, seed=SEED)
    assert np.all(bold.target >= planned.target - 1e3)
    assert bold.target.sum() > planned.target.sum()
    assert planned.risk.lowered.max() > 0.0
    assert planned.risk.met
    assert bold.risk.met
    assert np.all(bold.target <= alone.target)


def test_the_same_seed_gives_the_same_plan(planned: Plan) -> None:
    again = plan_build(estate("plan.risk=5 %"), speeds=list(SPEEDS), samples=SAMPLES, seed=SEED)
    np.testing.assert_array_equal(again.target, planned.target)
    assert again.risk.found == planned.risk.found


def test_bands_hold_the_middle(planned: Plan) -> None:
    for name in ("torque", "egt_reading", "shaft_speed"):
        band = planned.bands[name]
        assert np.all(band.low < band.high)
        assert np.all((band.low <= planned[name]) & (planned[name] <= band.high)), name
    held = planned.bands["pressure_im"]
    np.testing.assert_allclose(held.low[1:], planned.target[1:], atol=5.0)


def test_a_risk_that_no_table_meets_is_said() -> None:
    """With a limit that the gate fully open exceeds on some days, the plan says so and leaves no silent hope."""
    build = estate("limits.egt_reading=700 degC", "plan.risk=0")
    found = plan_build(build, speeds=list(SPEEDS[2:3]), samples=40, seed=SEED)
    if np.isfinite(found.target).any():
        assert found.risk is not None
        assert found.risk.met == (found.risk.found <= 0.0)
