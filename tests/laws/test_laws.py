"""Laws of the whole prediction: what must rise when something else does, and what must not matter."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from benchmarks.random_points import compressor_tables, random_points, turbine_tables
from boostwright.build import Build, read_build
from boostwright.cards.look_up import find_card
from boostwright.solve.kernel.layout import (
    GATE_OPEN,
    GATE_SHUT,
    MODES,
    NO_BALANCE,
    NO_TURBO,
    OUTCOMES,
    SOLVED,
    SPRING,
    STATE,
    TARGET,
)
from boostwright.solve.native import solve_points
from boostwright.solve.operating_point import NoSteadyState, Prediction, Solved
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.run import solve
from boostwright.tasks.predict import predict, predict_build

Array = NDArray[np.float64]

BUILD = Path(__file__).resolve().parent.parent.parent / "studies" / "boost_creep" / "build"
RPM = np.pi / 30.0
SPEEDS = tuple(np.arange(1500.0, 6501.0, 500.0) * RPM)
TABLES, HIGHEST, FLOW, DIAMETER = compressor_tables()
TURBINES = turbine_tables()


def drawn(n: int, seed: int) -> NDArray[np.void]:
    return random_points(n, seed, TABLES, HIGHEST, FLOW, DIAMETER)


def solved(points: NDArray[np.void]) -> NDArray[np.void]:
    states = np.zeros(points.shape, STATE)
    solve_points(points, TABLES, TURBINES, states)
    return states


@cache
def run(mode: str, *settings_: str) -> Prediction:
    return predict(BUILD, mode=mode, settings=settings_, speeds=SPEEDS)


# --- every plausible point has an answer or a reason


def check_points(points: NDArray[np.void], states: NDArray[np.void]) -> None:
    """Solved with a closed balance and nothing but numbers, or a typed outcome."""
    assert set(states["outcome"]) <= set(range(len(OUTCOMES)))
    good = states["outcome"] == SOLVED
    assert good.mean() > 0.5
    s, p = states[good], points[good]
    assert (s["residual"] < 1e-7).all()
    for name in STATE.names or ():
        assert np.isfinite(s[name]).all(), name
    turbo = p["mode"] != NO_TURBO
    gate = turbo & (p["gate_count"] > 0)
    assert (s["pressure_1"] < p["pressure_amb"]).all()
    assert (s["pressure_bp"] <= s["pressure_2"]).all()
    assert (s["pressure_im"] <= s["pressure_bp"]).all()
    assert (s["pressure_4"] > p["pressure_amb"]).all()
    assert (s["pressure_em"][turbo] > s["pressure_4"][turbo]).all()
    assert (s["temperature_em"] <= s["temperature_port"] + 1e-6).all()
    # an engine that sucks through its compressor can drag the wheel round: air turbine in front, brake behind. By the
    # second law it gets less than m R T ln(p1/p2) from the air, and nothing at all while there is a rise.
    driven = s["turbine_power"] >= 0.0
    lost = s["mass_flow_air"] * 287.0 * p["temperature_amb"] * np.log(s["pressure_1"] / s["pressure_2"])
    assert (s["compressor_power"] >= -np.maximum(lost, 0.0) - 0.1).all()
    assert (s["temperature_em"] >= s["temperature_4"] - 1e-6)[driven].all()
    assert (s["shaft_speed"][turbo] <= p["shaft_speed_ceiling"][turbo] * (1 + 1e-9)).all()
    assert (s["mass_flow_gate"] >= -1e-7 * s["mass_flow_air"]).all()
    assert ((s["gate_lift"] >= 0.0) & (s["gate_lift"] <= p["gate_full_lift"] * (1 + 1e-9)))[gate].all()
    total = s["mass_flow_air"] + s["mass_flow_fuel"]
    passed = s["mass_flow_turbine"] + s["mass_flow_gate"]
    assert np.max(np.abs(passed / total - 1.0)[turbo], initial=0.0) < 1e-7
    power = p["mechanical_efficiency"] * s["turbine_power"] - s["compressor_power"]
    assert np.max(np.abs(power / (np.abs(s["compressor_power"]) + 0.1))[turbo], initial=0.0) < 1e-7
    held = s["mode_held"] == TARGET
    assert np.max(np.abs(s["pressure_im"] / p["target_pressure"] - 1.0)[held], initial=0.0) < 1e-7


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.integers(0, 2**31))
def test_every_plausible_point_is_solved_or_carries_a_reason(seed: int) -> None:
    points = drawn(400, seed)
    check_points(points, solved(points))


def test_points_of_every_mode_are_among_them() -> None:
    points = drawn(2000, 5)
    states = solved(points)
    check_points(points, states)
    for mode in range(len(MODES)):
        here = points["mode"] == mode
        assert (states["outcome"][here] == SOLVED).mean() > (0.3 if mode == GATE_SHUT else 0.8)
    assert (states["outcome"] == NO_BALANCE).mean() < 0.01


@settings(max_examples=8, deadline=None, derandomize=True)
@given(
    bore=st.floats(70.0, 95.0),
    ratio=st.floats(7.5, 11.0),
    valve=st.floats(25.0, 60.0),
    angle=st.floats(0.0, 170.0),
    relation=st.sampled_from(["hager-bassett", "gardel", "idelchik"]),
    spring=st.floats(0.25, 1.2),
    flow=st.floats(0.010, 0.05),
    pressure=st.floats(65.0, 104.0),
    mode=st.sampled_from(["spring", "gate-open", "gate-shut", "no-turbo"]),
)
def test_any_plausible_build_is_answered_through_the_front_door(
    bore: float,
    ratio: float,
    valve: float,
    angle: float,
    relation: str,
    spring: float,
    flow: float,
    pressure: float,
    mode: str,
) -> None:
    prediction = predict(
        BUILD,
        mode=mode,
        settings=(
            f"engine.bore={bore:.3f} mm",
            f"engine.compression_ratio={ratio:.3f}",
            f"wastegate.valve_diameter={valve:.3f} mm",
            "wastegate.valve_diameter_basis=valve",
            f"wastegate.takeoff_angle={angle:.3f} deg",
            f"wastegate.takeoff_relation={relation}",
            f"wastegate.spring_rating={spring:.3f} bar gauge",
            f"turbine.choked_flow={flow:.5f} kg/s*sqrt(K)/kPa",
            f"ambient.pressure={pressure:.3f} kPa",
        ),
        speeds=SPEEDS,
    )
    for i, outcome in enumerate(prediction.outcomes):
        if isinstance(outcome, Solved):
            assert outcome.residual < 1e-7
            for name in ("torque", "boost", "pressure_em", "egt_reading", "temperature_4", "mass_flow_air"):
                assert math.isfinite(prediction[name][i]), name
        else:
            assert isinstance(outcome, NoSteadyState)
            assert outcome.reason
            assert outcome.nearest_limit
            assert math.isnan(prediction["boost"][i])


# --- what must rise when something else does


def test_gate_open_is_the_lowest_boost_and_gate_shut_the_highest() -> None:
    points = drawn(700, 11)
    points["gate_count"] = np.maximum(points["gate_count"], 1)
    points["signal_share"] = 1.0
    by_mode = []
    for mode in (GATE_OPEN, SPRING, GATE_SHUT):
        points["mode"] = mode
        by_mode.append(solved(points))
    for lower, higher in itertools.pairwise(by_mode):
        both = (lower["outcome"] == SOLVED) & (higher["outcome"] == SOLVED)
        assert both.sum() > 200
        # where a wheel barely turns two balances may lie side by side; that is no boost to speak of
        turning = both & (higher["turbine_power"] > 50.0)
        rise = (higher["pressure_im"] / lower["pressure_im"] - 1.0)[turning]
        assert (rise > -1e-6).all()
    # whatever holds with the gate shut holds with it open, but for a branch whose flow sets in all at once, where the
    # collector's head is as large as all that is left ahead of the valve
    lost = (by_mode[2]["outcome"] == SOLVED) & (by_mode[0]["outcome"] != SOLVED)
    assert lost.mean() < 0.003
    over = by_mode[0]["pressure_g"] - by_mode[0]["pressure_4"]
    assert (by_mode[0]["outcome"] == NO_BALANCE)[lost].all()
    assert (by_mode[0]["collector_head"] > over)[lost].all()


def test_a_stiffer_preload_never_lowers_boost() -> None:
    points = drawn(700, 12)
    points["gate_count"] = np.maximum(points["gate_count"], 1)
    points["mode"] = SPRING
    before = solved(points)
    points["spring_force"] *= 1.15
    after = solved(points)
    both = (before["outcome"] == SOLVED) & (after["outcome"] == SOLVED) & (before["turbine_power"] > 50.0)
    assert both.sum() > 300
    rise = (after["pressure_im"] / before["pressure_im"] - 1.0)[both]
    assert (rise > -1e-6).all()
    assert (rise > 1e-3).mean() > 0.2


def test_smaller_turbine_means_earlier_higher_and_more_through_the_gate() -> None:
    sweep = [run("spring", f"turbine.choked_flow={flow} kg/s*sqrt(K)/kPa") for flow in (0.016, 0.020, 0.025)]
    found = [next(r.value for r in p.remarks if r.code == "threshold") for p in sweep]
    assert all(value is not None for value in found)
    assert (np.diff(found) > 0.0).all()
    for smaller, larger in itertools.pairwise(sweep):
        on = (smaller["gate_lift"] > 0.0) & (larger["gate_lift"] > 0.0)
        assert on.sum() >= 6
        assert (smaller["drive_pressure_ratio"] > larger["drive_pressure_ratio"])[on].all()
        assert (smaller["gate_flow_share"] > larger["gate_flow_share"])[on].all()


def test_loss_anywhere_on_the_way_costs_torque() -> None:
    base = run("spring", "wastegate.signal_source=plenum")
    for worse in (
        "intake.pressure_drop=6 kPa",
        "exhaust.pressure_drop=24 kPa",
        "charge_cooler.effectiveness=0.4",
        "cylinder.wall_heat_factor=2.4",
        "shaft.mechanical_efficiency=0.85",
    ):
        other = run("spring", "wastegate.signal_source=plenum", worse)
        late = slice(4, None)
        if worse.startswith("cylinder"):
            assert (other["temperature_em"] < base["temperature_em"]).all()
            continue
        assert (other["drive_pressure_ratio"] > base["drive_pressure_ratio"])[late].all() or (
            other["temperature_im"] > base["temperature_im"]
        )[late].all(), worse
        assert (other["torque"] < base["torque"])[late].all(), worse


def test_no_turbo_is_the_engine_that_breathes_ambient_air() -> None:
    bare = run("no-turbo")
    assert (bare["boost"] < 0.0).all()
    assert (bare["boost"] > -8e3).all()
    assert np.isnan(bare["shaft_speed"]).all()
    assert set(bare.binding_limit) == {"no-turbo"}
    # 2.5 litres without boost: bmep of a good two-valve engine at its best, and below it elsewhere
    assert 8.5e5 < np.nanmax(bare["bmep"]) < 12e5


# --- what must not matter


def test_a_batch_is_its_points_one_by_one() -> None:
    points = drawn(300, 3)
    whole = solved(points)
    for i in range(0, 300, 7):
        alone = solved(points[i : i + 1])
        assert alone[0].tobytes() == whole[i].tobytes()


def test_order_does_not_matter() -> None:
    points = drawn(600, 4)
    whole = solved(points)
    order = np.random.default_rng(0).permutation(600)
    shuffled = solved(points[order])
    assert shuffled.tobytes() == whole[order].tobytes()


def test_threads_are_one() -> None:
    build = read_build(BUILD, ["prediction.mode=spring"])
    problem = problem_of(build)
    many = replace(problem, points=drawn(1000, 6), maps=TABLES, turbines=TURBINES)
    assert solve(many, 1).tobytes() == solve(many, 4).tobytes()


def problem_of(build: Build) -> Problem:
    cards = {kind: find_card(kind, build[kind].text("card"), build.folder) for kind in ("fuel", "compressor")}
    return assemble(build, cards, np.array(SPEEDS), "spring")


def test_a_sweep_is_its_speeds_one_by_one() -> None:
    whole = run("spring")
    build = read_build(BUILD, ["prediction.mode=spring"])
    for i in (0, 5, 10):
        alone = predict_build(build, speeds=SPEEDS[i : i + 1])
        for name in ("boost", "torque", "egt_reading", "gate_lift", "shaft_speed"):
            assert alone[name][0] == pytest.approx(whole[name][i], rel=1e-13), name


def test_the_same_day_written_otherwise_changes_nothing() -> None:
    first = run("spring", "ambient.pressure=101.325 kPa", "ambient.temperature=288.15 K")
    other = run(
        "spring",
        "ambient.pressure=1013.25 hPa",
        "ambient.pressure_basis=QNH",
        "ambient.altitude=0 m",
        "ambient.temperature=59 degF",
        "wastegate.spring_rating=40 kPa gauge",
        "exhaust_manifold.collector_bore=4.4 cm",
        "charge_cooler.at_mass_flow=200 g/s",
    )
    for name, values in first.quantities.items():
        assert other[name] == pytest.approx(values.values, rel=1e-7, nan_ok=True), name


def test_at_the_reference_day_corrected_is_not_corrected() -> None:
    day = ("ambient.pressure=101.325 kPa", "ambient.temperature=288.15 K", "intake.pressure_drop=0 kPa")
    p = run("spring", *day)
    assert p["corrected_flow"] == pytest.approx(p["mass_flow_air"], rel=1e-12)
    assert p["corrected_speed"] == pytest.approx(p["shaft_speed"], rel=1e-12)
