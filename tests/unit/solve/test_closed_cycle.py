"""The closed cycle: limits, energy, step, the relations it is made of."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from cycle_examples import DEGREE, RPM, full_load, model, petrol

from boostwright.build import read_build
from boostwright.cards.look_up import find_card
from boostwright.components.air import ambient_air
from boostwright.components.closed_cycle import (
    WALL_AUTHORS,
    BurnLaw,
    CycleGeometry,
    CycleWalls,
    cycle_fields,
    cycle_model,
    knock_octane,
    piston_way,
)
from boostwright.physics.cylinder import air_standard, burn, knock, wall_heat
from boostwright.solve.cycle_batch import closed_cycles, cycle_records, run_records
from boostwright.solve.kernel.cycle import _burned, _coefficient, _wall_constant
from boostwright.solve.kernel.cycle_layout import WALL_FORMS

EXAMPLES = Path(__file__).parents[3] / "examples"
ADIABATIC = CycleWalls(author="none")
CORNERS = [
    {"angle_half_burned": ca50 * DEGREE, "engine_speed": speed * RPM, "mass": mass, "lambda_value": lam}
    for ca50, speed, mass, lam in (
        (2.0, 1000.0, 0.3e-3, 1.1),
        (8.0, 3000.0, 0.95e-3, 0.9),
        (25.0, 6500.0, 1.5e-3, 0.78),
        (38.0, 1500.0, 1.2e-3, 1.0),
    )
]


def _perfect(records: np.ndarray, gamma: float, heat: float) -> None:
    """A gas of constant specific heat, the same burned and unburned."""
    r = 287.0
    cp = r * gamma / (gamma - 1.0)
    for name in ("unburned_low", "unburned_high"):
        records[name] = [cp, 0.0, 0.0, 0.0, 0.0, -cp * 298.15]
    for name in ("difference_low", "difference_high"):
        records[name] = 0.0
    records["gas_constant_unburned"] = records["gas_constant_burned"] = r
    records["heat"] = heat
    records["work_kept"] = 1.0


@pytest.mark.parametrize("gamma", [1.25, 1.3, 1.4])
def test_otto_cycle_is_the_limit_of_ever_shorter_burning(gamma: float) -> None:
    """From bottom to bottom, adiabatic, constant cp: work over heat tends to 1 - r^(1 - gamma)."""
    geometry = CycleGeometry(0.083, 0.092, 0.148, 9.0, intake_closing=-np.pi, exhaust_opening=np.pi)
    efficiency = []
    for degrees in (8.0, 4.0, 2.0):
        engine = model(geometry=geometry, walls=ADIABATIC, burn=BurnLaw(duration=degrees * DEGREE))
        records, way = cycle_records(engine, step=0.02 * DEGREE, **full_load(angle_half_burned=0.0))
        _perfect(records, gamma, 2.0e6)
        records["burn_duration"] = degrees * DEGREE
        records["burn_start"] = -0.5 * degrees * DEGREE
        efficiency.append(run_records(records, way)[0]["work"] / (0.95e-3 * 2.0e6))
    ideal = air_standard.efficiency_otto(9.0, gamma)
    misses = ideal - np.array(efficiency)
    assert np.all(misses > 0.0)
    np.testing.assert_allclose(misses[:-1] / misses[1:], 4.0, rtol=0.1)
    assert misses[-1] < 2e-4


def test_compression_without_burning_is_an_isentrope_and_gives_its_work_back() -> None:
    engine = model(walls=ADIABATIC)
    even = dataclasses.replace(
        engine.geometry, intake_closing=-130.0 * DEGREE, exhaust_opening=130.0 * DEGREE
    )
    engine = dataclasses.replace(engine, geometry=even)
    records, way = cycle_records(engine, **full_load())
    _perfect(records, 1.35, 0.0)
    state = run_records(records, way)[0]
    volume = engine.geometry.volume
    ratio = float(volume(engine.geometry.intake_closing)) / engine.geometry.clearance_volume
    # The steps do not meet top dead centre unless they divide the way to it; here they do.
    assert state["peak_pressure"] / state["pressure_closing"] == pytest.approx(ratio**1.35, rel=1e-6)
    assert state["peak_angle"] == pytest.approx(0.0, abs=1e-6)
    assert abs(state["work"]) < 1e-2
    assert state["temperature_opening"] == pytest.approx(360.0, abs=0.01)


@pytest.mark.parametrize("author", WALL_AUTHORS)
@pytest.mark.parametrize("changes", CORNERS)
def test_energy_closes_and_half_a_degree_is_fine_enough(author: str, changes: dict[str, float]) -> None:
    engine = model(walls=CycleWalls(author=author))
    coarse = closed_cycles(engine, **full_load(**changes))[0]
    fine = closed_cycles(engine, step=0.01 * DEGREE, **full_load(**changes))[0]
    assert abs(coarse["energy_residual"]) < 1e-4
    assert abs(fine["energy_residual"]) < 1e-7
    assert coarse["work"] == pytest.approx(fine["work"], rel=5e-5)
    assert coarse["peak_pressure"] == pytest.approx(fine["peak_pressure"], rel=1e-4)
    assert coarse["temperature_opening"] == pytest.approx(fine["temperature_opening"], rel=5e-5)
    assert coarse["knock_integral"] == pytest.approx(fine["knock_integral"], rel=3e-4)


def test_what_goes_in_comes_out() -> None:
    """First law by hand: released heat = work + walls + rise of internal energy, with the printed polynomials."""
    engine = model()
    records, way = cycle_records(engine, **full_load())
    state, c = run_records(records, way)[0], records[0]

    def enthalpy(coefficients: np.ndarray, t: float) -> float:
        return float(sum(coefficients[k] * t ** (k + 1) / (k + 1) for k in range(5)) + coefficients[5])

    t = state["temperature_opening"]
    assert t > 1000.0
    u_burned = enthalpy(c["unburned_high"] - c["difference_high"], t) - c["gas_constant_burned"] * t
    u_start = enthalpy(c["unburned_low"], 360.0) - c["gas_constant_unburned"] * 360.0
    balance = c["mass"] * (c["heat"] + u_start - u_burned) - state["work"] - state["wall_heat"]
    assert abs(balance) < 2e-3 * state["released_heat"]


def test_batch_gives_what_a_loop_gives() -> None:
    engine = model()
    angles = np.linspace(0.0, 40.0, 200) * DEGREE
    batch = closed_cycles(engine, **full_load(angle_half_burned=angles))
    for i in (0, 77, 199):
        alone = closed_cycles(engine, **full_load(angle_half_burned=angles[i]))[0]
        for name in batch.dtype.names:
            np.testing.assert_allclose(batch[name][i], alone[name], rtol=1e-12, atol=1e-15)


def test_kernel_uses_the_published_relations() -> None:
    assert WALL_FORMS == WALL_AUTHORS
    engine = model(walls=CycleWalls(factor=1.0))
    records, _ = cycle_records(engine, **full_load())
    c = records[0]
    p, t, velocity, volume = 55e5, 2300.0, 31.0, 0.9e-4
    woschni = _coefficient(c, 1, _wall_constant(c, 1), np.log(p), np.log(t), np.log(velocity), 0.0)
    assert woschni == pytest.approx(wall_heat.wall_heat_woschni(0.083, p, t, velocity), rel=1e-12)
    piston = float(c["mean_piston_speed"])
    factor = 130.0 * volume**-0.06
    hohenberg = _coefficient(c, 2, _wall_constant(c, 2), np.log(p), np.log(t), np.log(velocity), factor)
    assert hohenberg == pytest.approx(wall_heat.wall_heat_hohenberg(volume, p, t, piston), rel=1e-12)
    law = (c["burn_start"], c["burn_duration"], c["wiebe_factor"], c["wiebe_exponent"])
    for angle in np.array([-60.0, 0.0, 12.0, 40.0]) * DEGREE:
        share, pace = _burned(c, angle)
        assert share == pytest.approx(burn.burned_fraction_wiebe(angle, *law), abs=1e-14)
        near = burn.burned_fraction_wiebe(angle + np.array([-1e-5, 1e-5]), *law)
        assert pace == pytest.approx((near[1] - near[0]) / 2e-5 * c["angle_step"], abs=1e-8)


def test_knock_integral_is_that_of_the_relation_along_the_same_pressure() -> None:
    """Rebuilt with the delay of the physics along a motored isentrope, where the end gas is all the gas."""
    engine = model(walls=ADIABATIC)
    records, way = cycle_records(engine, step=0.1 * DEGREE, **full_load(mass=2.0e-3, temperature=420.0))
    _perfect(records, 1.35, 0.0)
    records["angle_knock_end"] = 30.0 * DEGREE
    state = run_records(records, way)[0]
    angle = np.linspace(engine.geometry.intake_closing, 30.0 * DEGREE, 4001)
    ratio = way[0, 1] / engine.geometry.volume(angle)
    pressure = 2.0e-3 * 287.0 * 420.0 / way[0, 1] * ratio**1.35
    delay = knock.ignition_delay_douaud_eyzat(pressure, 420.0 * ratio**0.35, 98.0)
    time = np.diff(angle)[0] / (3000.0 * RPM)
    rebuilt = np.sum(knock.integral_step_livengood_wu(time, delay[:-1], delay[1:]))
    assert state["knock_integral"] == pytest.approx(rebuilt, rel=1e-4)
    assert rebuilt > 0.01


def test_piston_way_is_that_of_the_crank() -> None:
    engine = model()
    way, step = piston_way(engine)
    assert step == pytest.approx(0.5 * DEGREE)
    assert way[:, 1].min() == pytest.approx(engine.geometry.clearance_volume, rel=1e-12)
    swept = np.pi / 4 * 0.083**2 * 0.092
    assert float(engine.geometry.volume(np.pi)) == pytest.approx(swept * 9.0 / 8.0)
    np.testing.assert_allclose(way[1:-1, 5], (way[2:, 0] - way[:-2, 0]) / 2.0, atol=2e-5)


@pytest.mark.parametrize(
    ("octane", "alcohol", "predicted"),
    [(98.0, 0.0, True), (95.0, 0.1, True), (108.0, 0.85, False), (98.0, 0.85, False)],
)
def test_octane_out_of_range_and_alcohol_leave_knock_unpredicted(
    octane: float, alcohol: float, predicted: bool
) -> None:
    usable = knock_octane(octane, alcohol)
    engine = model(fuel=petrol(octane_number=usable))
    state = closed_cycles(engine, **full_load())[0]
    assert np.isfinite(state["knock_integral"]) == predicted
    assert np.isfinite(state["work"])


def test_a_build_makes_a_model_and_its_rod_may_be_unknown() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate")
    card, ambient = find_card("fuel", "petrol-ron98"), ambient_air(build["ambient"])
    engine = cycle_model(build["engine"], card, ambient)
    assert engine.geometry.rod_length == pytest.approx(0.148)
    assert engine.geometry.displacement * 5 == pytest.approx(2.489e-3, rel=1e-3)
    assert engine.fuel.octane_number == pytest.approx(98.0)
    unknown = cycle_model(WithoutRod(build["engine"]), card, ambient)
    assert unknown.geometry.rod_length == pytest.approx(1.65 * 0.092)
    work = [
        closed_cycles(
            dataclasses.replace(
                engine, geometry=dataclasses.replace(engine.geometry, rod_length=ratio * 0.092)
            ),
            **full_load(),
        )[0]["work"]
        for ratio in (1.5, 1.8)
    ]
    assert work[0] == pytest.approx(work[1], rel=0.004)


class WithoutRod:
    """A section that lacks the rod's length."""

    def __init__(self, section: Any) -> None:
        self.section = section

    def has(self, key: str) -> bool:
        return key != "connecting_rod_length" and self.section.has(key)

    def si(self, key: str) -> float:
        assert key != "connecting_rod_length"
        return float(self.section.si(key))


def test_a_poorer_burn_releases_less() -> None:
    engine = model()
    less = dataclasses.replace(engine, fuel=dataclasses.replace(engine.fuel, combustion_efficiency=0.9))
    full = cycle_fields(engine, angle_step=0.01, **full_load())["heat"]
    assert np.allclose(cycle_fields(less, angle_step=0.01, **full_load())["heat"], full * 0.9 / 0.98)
