"""A what-if runs a thousand cases on what they share; each of them must be what a prediction of its own says."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from boostwright.build import Build, read_build, with_settings
from boostwright.solve.operating_point import NoSteadyState, Prediction
from boostwright.tasks.predict import predict_build
from boostwright.tasks.whatif_result import Case, Row
from boostwright.tasks.whatif_run import CaseRunner

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SAME = 1e-9

# one list a key or a set of keys; drawn from at random, so that cases differ in everything at once
ESTATE = (
    ("", "wastegate.valve_diameter=36 mm", "wastegate.valve_diameter=50 mm"),
    ("", "wastegate.branch_bore=40 mm"),
    ("", "wastegate.spring_rating=0.45 bar gauge"),
    ("", "wastegate.count=2"),
    ("", "wastegate.takeoff_relation=gardel", "wastegate.takeoff_loss=1.4"),
    ("", "wastegate.outlet=open"),
    ("", "turbine.choked_flow=0.021 kg/s*sqrt(K)/kPa", "turbine.choked_flow=0.031 kg/s*sqrt(K)/kPa"),
    ("", "turbine.efficiency_peak=0.68"),
    ("", "turbine.pulse_amplitude=0.2"),
    ("", "turbine.wheel_diameter=88 mm"),
    ("", "compressor.card=scaled-cc3-124mm", "compressor.card=scaled-cc3-100mm"),
    ("", "compressor.count=2"),
    ("", "charge_cooler.effectiveness=0.8", "charge_cooler.kind=none", "charge_cooler.air_side=dyno-fan"),
    ("", "exhaust.pressure_drop=24 kPa", "exhaust.bore=63 mm"),
    ("", "exhaust_manifold.collector_bore=54 mm"),
    ("", "ambient.pressure=84 kPa", "ambient.temperature=35 degC"),
    ("", "fuel.card=e85", "fuel.lambda_target=0.85"),
    ("", "boost_control.target=170 kPa absolute", "prediction.mode=spring", "prediction.mode=gate-shut"),
    ("", "spark.set_by=best-torque", "spark.knock_multiplier=0.9"),
    ("", "engine.compression_ratio=8.5", "engine.speed_limit=7000 rpm"),
    ("", "cylinder.combustion_efficiency=0.95"),
    ("", "limits.drive_pressure_ratio=1.1", "limits.egt_reading=780 degC", "limits.surge_margin=0.45"),
    ("", "shaft.mechanical_efficiency=0.92"),
    ("", "intake.pressure_drop=4 kPa"),
)
THREE = (
    ("", "wastegate.valve_diameter=20 mm", "wastegate.valve_diameter=30 mm"),
    ("", "ambient.pressure=95 kPa station"),
    ("", "exhaust.pressure_drop=20 kPa"),
    ("", "prediction.mode=spring"),
    ("", "limits.surge_margin=0.3"),
)


def _case(rng: random.Random, choices: tuple[tuple[str, ...], ...]) -> tuple[str, ...]:
    return tuple(setting for options in choices if (setting := rng.choice(options)))


def _figures(prediction: Prediction, floor: Prediction, build: Build) -> dict[str, float]:
    """The figures of merit from predictions alone, worked out in the plainest way."""
    power = prediction["power"]
    best = int(np.nanargmax(power)) if np.isfinite(power).any() else 0
    threshold = next(remark for remark in prediction.remarks if remark.code == "threshold")
    below = "below" in threshold.message
    runs_away = any(
        isinstance(outcome, NoSteadyState) and outcome.reason != "compressor-surge"
        for outcome in floor.outcomes
    )
    speeds, torque = prediction.speeds, prediction["torque"]
    return {
        "threshold": threshold.value if threshold.value is not None else (-np.inf if below else np.nan),
        "peak_power": power[best],
        "peak_power_speed": speeds[best] if np.isfinite(power[best]) else np.nan,
        "peak_torque": np.nanmax(torque) if np.isfinite(torque).any() else np.nan,
        "torque_area": float(np.trapezoid(torque, speeds)),
        "drive_pressure_ratio": prediction["drive_pressure_ratio"][best],
        "creep_floor": np.nan if runs_away else np.nanmax(floor["pressure_im"]),
        "shaft_speed": np.nanmax(prediction["shaft_speed"]) if np.isfinite(power).any() else np.nan,
        "egt_reading": np.nanmax(prediction["egt_reading"]) if np.isfinite(power).any() else np.nan,
        "steady_share": float(prediction.solved.mean()),
    }


def _compare(row: Row, build: Build) -> None:
    case = with_settings(build, row.case.settings)
    chosen = build["prediction"].speeds("speeds")
    prediction = predict_build(case, speeds=chosen)
    floor = predict_build(with_settings(case, ["prediction.mode=gate-open"]), speeds=chosen)
    for name, value in _figures(prediction, floor, case).items():
        found = row.figures[name]
        assert found == pytest.approx(value, rel=SAME, abs=0.0, nan_ok=True), (name, row.case.settings)
    over = {limit.name for limit in prediction.limits if np.any(limit.utilisation > 1.0)}
    assert set(row.exceeded) == over, row.case.settings
    lost = {outcome.reason for outcome in prediction.outcomes if isinstance(outcome, NoSteadyState)}
    assert set(row.unsteady) - {"gate-open-runs-away"} == lost, row.case.settings
    for name, (low, high) in row.exceeded.items():
        limit = next(limit for limit in prediction.limits if limit.name == name)
        here = prediction.speeds[limit.utilisation > 1.0]
        assert (low, high) == (here[0], here[-1])


@pytest.mark.parametrize(("example", "choices"), [("hill_climb_estate", ESTATE), ("transverse_three", THREE)])
def test_every_case_is_what_its_own_prediction_says(
    example: str, choices: tuple[tuple[str, ...], ...]
) -> None:
    build = read_build(EXAMPLES / example)
    rng = random.Random(7)
    cases = [(), *(_case(rng, choices) for _ in range(60))]
    listed = [(number, Case(str(number), settings)) for number, settings in enumerate(cases)]
    speeds = np.array(build["prediction"].speeds("speeds"))
    # batches of eight: places are used again and again, which must leave nothing behind
    runner = CaseRunner(build, speeds, (float(speeds[0]), float(speeds[-1])), batch=8)
    rows = [row for batch in runner.run(listed) for row in batch]
    assert [row.number for row in rows] == list(range(len(cases)))
    possible = [row for row in rows if not row.reason]
    assert len(possible) > 20
    for row in (possible[0], *rng.sample(possible[1:], 14)):
        _compare(row, build)


def test_the_order_and_the_batches_of_cases_change_nothing() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate")
    rng = random.Random(3)
    listed = [(number, Case(str(number), _case(rng, ESTATE[:10]))) for number in range(40)]
    speeds = np.array(build["prediction"].speeds("speeds"))
    between = float(speeds[2]), float(speeds[-2])
    one = {r.number: r for part in CaseRunner(build, speeds, between, 64).run(listed) for r in part}
    turned = CaseRunner(build, speeds, between, 7).run(sorted(listed, reverse=True))
    other = {r.number: r for part in turned for r in part}
    for number, row in one.items():
        assert row.reason == other[number].reason
        for name, value in row.figures.items():
            assert other[number].figures[name] == pytest.approx(value, rel=SAME, nan_ok=True)


def test_a_case_that_cannot_be_is_a_row_with_its_reason() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate")
    speeds = np.array(build["prediction"].speeds("speeds"))
    settings = (
        ("wastegate.valve_diameter=60 mm flange", "flange"),
        ("wastegate.valve_diameter=500 mm", "out of range"),
        ("compressor.card=no-such-card", "no compressor card"),
        ("wastgate.valve_diameter=40 mm", "no section"),
        ("wastegate.spring_rating=1.5 bar gauge", "above the lowest boost asked"),
        ("prediction.mode=no-turbo", "no turbo"),
    )
    listed = [(number, Case(words, (setting,))) for number, (setting, words) in enumerate(settings)]
    runner = CaseRunner(build, speeds, (float(speeds[0]), float(speeds[-1])))
    rows = [row for batch in runner.run([*listed, (len(listed), Case("fine", ()))]) for row in batch]
    for row, (_, words) in zip(rows, settings, strict=False):
        assert words in row.reason
        assert not row.figures
    assert rows[-1].figures["peak_power"] > 0.0
