"""Laws of the rods: forces by hand, the force of a belief, and what it allows by speed and phasing."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from boostwright.build import Build, read_build, with_settings
from boostwright.components.rods import SIGMAS
from boostwright.physics.cylinder import slider_crank
from boostwright.solve.cycle_batch import closed_cycles
from boostwright.solve.kernel.cycle_layout import BESIDE
from boostwright.solve.operating_point import Limit, Prediction
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.rods import ImpliedForce, implied_force, rod_quantities_of_samples, rods_of_build
from boostwright.solve.run import solve
from boostwright.tasks.predict import predict
from boostwright.tasks.ready import cards_of

BUILD = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM, DEGREE = np.pi / 30.0, np.pi / 180.0
SPEEDS = tuple(np.arange(2000.0, 6751.0, 500.0) * RPM)
BELIEF = (
    "rods.given_as=belief",
    "rods.section=",
    "rods.material=",
    "rods.section_depth=",
    "rods.section_width=",
)
NO_DIMENSIONS = (*BELIEF, "rods.flange_thickness=", "rods.web_thickness=")


@cache
def build(*settings: str) -> Build:
    return with_settings(read_build(BUILD), settings)


@cache
def run(*settings: str) -> Prediction:
    return predict(BUILD, settings=settings, speeds=SPEEDS)


@cache
def problem() -> Problem:
    return assemble(build(), cards_of(build()), np.array(SPEEDS), "target")


def implied(*settings: str) -> ImpliedForce:
    changed = build(*NO_DIMENSIONS, *settings)
    rods = rods_of_build(changed)
    assert rods is not None
    return implied_force(changed, problem().cycle, rods)


def limit(prediction: Prediction, name: str) -> Limit:
    return next(one for one in prediction.limits if one.name == name)


def test_gas_less_inertia_is_what_the_slider_crank_gives_at_that_angle() -> None:
    """To a part in a million; the closed forms are checked on their own against exact kinematics."""
    found, geometry = run(), problem().cycle.model.geometry
    angle, speed = found["rod_force_angle"], found.speeds
    mass = rods_of_build(build()).reciprocating_mass  # type: ignore[union-attr]
    inertia = slider_crank.inertia_force(angle, mass, geometry.stroke, geometry.rod_length, speed)
    assert found["rod_force_inertia"] == pytest.approx(inertia, rel=1e-6)
    piston = found["rod_force_gas"] - found["rod_force_inertia"]
    along = slider_crank.rod_force_along(piston, angle, geometry.stroke, geometry.rod_length)
    assert found["rod_force_compression"] == pytest.approx(along, rel=1e-6)
    highest = slider_crank.gas_force(found["peak_pressure_strong"], found["pressure_amb"], geometry.bore)
    assert (found["rod_force_gas"] <= highest * (1.0 + 2e-3)).all()
    assert (found["rod_force_gas"] >= highest * 0.985).all()
    assert found["peak_pressure_strong"] == pytest.approx(found["peak_pressure"] * (1.0 + SIGMAS * 0.08))


def test_the_largest_force_over_the_crank_is_that_of_cycles_run_one_by_one() -> None:
    """Pressure of a direct cycle, by its seven values about half burned, searched in steps of 0.02 deg."""
    found, model = run(), problem().cycle.model
    geometry, rods = model.geometry, rods_of_build(build())
    assert rods is not None
    direct = closed_cycles(
        model,
        engine_speed=found.speeds,
        mass=found["trapped_mass"],
        temperature=found["trapped_temperature"],
        lambda_value=found["lambda"],
        residual_fraction=found["residual_fraction"],
        angle_half_burned=found["angle_half_burned"],
    )
    for i, cycle in enumerate(direct):
        nodes = found["angle_half_burned"][i] + cycle["burn_duration"] * np.array(BESIDE)
        fit = np.polynomial.Polynomial.fit(nodes, np.log(cycle["pressure_beside"]), 6)
        angle = np.arange(nodes[1], nodes[-1], 0.02 * DEGREE)
        gas = slider_crank.gas_force(1.24 * np.exp(fit(angle)), found["pressure_amb"][i], geometry.bore)
        train = (geometry.stroke, geometry.rod_length)
        inertia = slider_crank.inertia_force(angle, rods.reciprocating_mass, *train, found.speeds[i])
        force = slider_crank.rod_force_along(gas - inertia, angle, *train)
        best = int(np.argmax(force))
        assert found["rod_force_compression"][i] == pytest.approx(force[best], rel=5e-3)
        assert found["rod_force_angle"][i] == pytest.approx(angle[best], abs=1.5 * DEGREE)


@pytest.mark.parametrize(("rpm", "inertia"), [(3000.0, 3.0), (7000.0, 16.5)])
def test_14_do_gas_and_inertia_agree_with_a_calculator(rpm: float, inertia: float) -> None:
    """86 mm bore at 100 bar is 58 kN; 0.55 kg on 86 mm stroke with a 143 mm rod: printed to 0.1 kN, worked by hand."""
    gas = float(slider_crank.gas_force(100e5, 0.0, 0.086))
    assert gas / 1e3 == pytest.approx(58.1, abs=0.05)
    speed = rpm * RPM
    by_hand = 0.55 * 0.043 * speed**2 * (1.0 + 0.043 / 0.143)
    found = float(slider_crank.inertia_force(0.0, 0.55, 0.086, 0.143, speed))
    assert found == pytest.approx(by_hand, rel=1e-9)
    assert found / 1e3 == pytest.approx(inertia, abs=0.06)


def test_tension_is_a_matter_of_speed_alone() -> None:
    weak, strong = (run(f"boost_control.target={kpa} kPa absolute") for kpa in (165, 185))
    assert weak["rod_force_tension"] == pytest.approx(strong["rod_force_tension"], rel=1e-12)
    pull, speed = weak["rod_force_tension"], np.array(SPEEDS)
    vacuum = (101300.0 - 30e3) * 0.25 * np.pi * 0.083**2
    assert (pull - vacuum) / speed**2 == pytest.approx(
        np.full(speed.shape, (pull[0] - vacuum) / speed[0] ** 2)
    )
    assert (weak["rod_bolt_pull"] > pull).all()


def test_at_one_torque_a_later_fire_presses_the_rod_less() -> None:
    forces = [implied(f"rods.believed_phasing={ca50} deg").force for ca50 in (8, 14, 20, 26)]
    assert (np.diff(forces) < 0.0).all()
    assert 0.20 < 1.0 - forces[-1] / forces[0] < 0.45


def test_at_one_torque_and_phasing_more_speed_presses_the_rod_less() -> None:
    forces = [implied(f"rods.believed_speed={rpm} rpm").force for rpm in (2000, 3500, 5000, 6500)]
    assert (np.diff(forces) < 0.0).all()


def test_at_one_force_and_phasing_the_allowed_torque_rises_with_speed() -> None:
    found = run(*NO_DIMENSIONS, "spark.set_by=phasing", "spark.phasing=14 deg", "fuel.lambda_target=0.88")
    at = found["engine_speed"] > 2900.0 * RPM  # where the charge's own temperature no longer falls with boost
    assert (np.diff(found["torque_rods"][at]) > 0.0).all()


def test_what_nobody_knows_takes_the_smallest_force() -> None:
    least = implied("rods.believed_speed=", "rods.believed_phasing=", "rods.believed_fuel=")
    assert least.unknown == ("speed", "phasing", "fuel")
    for rpm in (2500, 4500, 6800):
        for ca50 in (8, 18, 30):
            known = implied(f"rods.believed_speed={rpm} rpm", f"rods.believed_phasing={ca50} deg")
            assert least.force <= known.force * (1.0 + 1e-9)
    assert least.force < 0.75 * implied("rods.believed_phasing=8 deg").force


@pytest.mark.parametrize("fuel", ["petrol-ron95", "e85"])
def test_the_fuel_of_a_belief_hardly_matters_beside_its_phasing(fuel: str) -> None:
    assert implied(f"rods.believed_fuel={fuel}").force == pytest.approx(implied().force, rel=0.01)


def test_a_belief_allows_its_own_torque_where_it_was_held() -> None:
    """The points have their own charge temperature and residual gas, so not to the last newton metre."""
    found = predict(
        BUILD,
        settings=(*NO_DIMENSIONS, "spark.set_by=phasing", "spark.phasing=13 deg"),
        speeds=(3800.0 * RPM,),
    )
    assert found["torque_rods"][0] == pytest.approx(430.0, rel=0.02)


def test_torque_at_the_force_puts_the_force_on_the_rods() -> None:
    """Boost raised until the rods carry what is allowed: the torque then is the one that was promised."""
    at = (3500.0 * RPM,)
    fixed = (
        *NO_DIMENSIONS,
        "spark.set_by=phasing",
        "spark.phasing=14 deg",
        "limits.torque=",
        "limits.torque_basis=",
    )
    low, high = 150.0, 260.0
    promised = predict(BUILD, settings=fixed, speeds=at)["torque_rods"][0]
    for _ in range(16):
        middle = 0.5 * (low + high)
        found = predict(BUILD, settings=(*fixed, f"boost_control.target={middle} kPa absolute"), speeds=at)
        if limit(found, "rod-force").utilisation[0] < 1.0:
            low = middle
        else:
            high = middle
    assert limit(found, "rod-force").utilisation[0] == pytest.approx(1.0, abs=2e-3)
    assert found["torque"][0] == pytest.approx(promised, rel=0.015)


def test_the_lower_of_belief_and_force_holds_unless_the_belief_may_be_passed() -> None:
    held, free = run(*NO_DIMENSIONS), run(*NO_DIMENSIONS, "rods.allow_above_belief=true")
    assert {"rod-torque", "rod-force"} <= {one.name for one in held.limits}
    names = {one.name for one in free.limits}
    assert "rod-torque" not in names
    assert "rod-force" in names
    used = limit(held, "rod-torque").utilisation
    assert used == pytest.approx(held["torque"] / 430.0)


def test_a_margin_is_counted_in() -> None:
    plain, kept = run(), run("rods.force_margin=10 %", "rods.torque_margin=5 %")
    for name, share in (("rod-force", 0.9), ("rod-column", 0.9), ("rod-bolts", 0.9), ("rod-torque", 0.95)):
        assert limit(kept, name).utilisation == pytest.approx(limit(plain, name).utilisation / share)
        assert limit(kept, name).limit == pytest.approx(limit(plain, name).limit)
        assert limit(kept, name).margin == pytest.approx(1.0 - share)


def test_a_belief_at_the_wheels_is_more_at_the_crank() -> None:
    wheel = ("driveline.loss_model=share", "driveline.loss_share=15 %", "driveline.loss_status=believed")
    force = implied(*wheel, "rods.believed_torque=365.5 Nm", "rods.believed_torque_basis=wheel")
    assert force.torque == pytest.approx(430.0)
    assert force.force == pytest.approx(implied().force)


def _column(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return values[np.isfinite(values)]


def test_a_longer_or_thinner_rod_bears_less() -> None:
    plain = limit(run(), "rod-column").limit[0]
    assert limit(run("engine.connecting_rod_length=170 mm"), "rod-column").limit[0] < plain
    assert limit(run("rods.web_thickness=3 mm"), "rod-column").limit[0] < plain
    assert limit(run("rods.safety_factor=2"), "rod-column").limit[0] == pytest.approx(plain * 0.75)
    assert _column(limit(run("rods.material=steel-42crmo4-quenched"), "rod-column").limit)[0] > 1.2 * plain


def test_the_strongest_cylinder_is_held_where_cylinders_are_told_apart() -> None:
    shares = "runners.air_share=[1.04, 1.0, 1.0, 1.0, 0.96]"
    even, apart = run("runners.air_share=[1.0, 1.0, 1.0, 1.0, 1.0]"), run(shares)
    assert even["rod_force_compression_highest"] == pytest.approx(even["rod_force_compression"], rel=2e-3)
    assert apart.cylinders is not None
    each = apart.cylinders.quantities["rod_force_compression"].values
    assert (each[0] > each[1]).all()
    assert (each[1] > each[4]).all()
    assert apart["rod_force_compression_highest"] == pytest.approx(each.max(axis=0))
    more = apart["rod_force_compression_highest"] / apart["rod_force_compression"]
    assert (more > 1.02).all()  # 4 % more charge, less what its earlier or later fire takes
    assert (more < 1.08).all()
    one, mean = limit(apart, "rod-strongest-cylinder"), limit(apart, "rod-force")
    assert one.limit == pytest.approx(np.minimum(mean.limit, limit(apart, "rod-column").limit))
    assert one.utilisation == pytest.approx(apart["rod_force_compression_highest"] / one.limit)


def test_a_belief_beyond_the_table_of_cycles_says_that_it_is_a_guess() -> None:
    assert not implied().beyond
    assert implied("rods.believed_torque=1100 Nm").beyond
    found = run(*NO_DIMENSIONS, "rods.believed_torque=1100 Nm", "limits.torque=")
    message = next(remark.message for remark in found.remarks if remark.code == "rod-belief")
    assert "no better than a guess" in message
    assert np.isnan(found["torque_rods"]).any()


def test_many_samples_of_one_engine_have_the_rods_of_each_alone() -> None:
    """Masses, scatter and belief of three builds laid end to end, known and unknown speed and phasing."""
    at = problem()
    n = len(SPEEDS)
    for unknown in ((), ("rods.believed_speed=", "rods.believed_phasing=")):
        builds = [
            build(*unknown, f"rods.believed_torque={torque} Nm", f"rods.rod_mass={mass} kg",
                  f"cylinder.peak_pressure_scatter={scatter}")
            for torque, mass, scatter in ((410, 0.50, 0.06), (430, 0.55, 0.08), (450, 0.62, 0.10))
        ]  # fmt: skip
        whole = at.take(np.tile(np.arange(n), 3))
        states = solve(at)
        plain = quantities_of(builds[0], at, states, 9000.0)
        many = {name: np.tile(values, 3) for name, values in plain.items() if not name.startswith("rod_")}
        rod_quantities_of_samples(builds, whole, many)
        for k, one in enumerate(builds):
            alone = quantities_of(one, at, states, 9000.0)
            for name in ("peak_pressure_strong", *(name for name in alone if name.startswith("rod_"))):
                own = many[name][k * n : (k + 1) * n]
                assert own == pytest.approx(alone[name], rel=1e-6, nan_ok=True), name
