"""The transient model: it tends to the steady solver, and what must rise or fall in a pull does."""

from __future__ import annotations

import numpy as np
import pytest
from transient_runs import LIGHT_WALLS, RPM, build_of, run_of, sweep

from boostwright.build import with_settings
from boostwright.tasks.predict import predict_build
from boostwright.tasks.transient import Phase
from boostwright.tasks.transient_figures import lift_off, pull_threshold, time_to_boost

FOUR = ("pressure_im", "torque", "pressure_em", "shaft_speed")
EXAMPLES = ("hill_climb_estate", "transverse_three")


def along(values: np.ndarray, run, speeds: np.ndarray) -> np.ndarray:
    return np.interp(speeds * RPM, run["engine_speed"], values)


@pytest.mark.parametrize(
    ("name", "controller", "low", "high"),
    [
        ("transverse_three", "none", 1500.0, 6000.0),
        ("transverse_three", "closed-loop", 1500.0, 6000.0),
        ("hill_climb_estate", "none", 1500.0, 6600.0),
        ("hill_climb_estate", "closed-loop", 1500.0, 6600.0),
    ],
)
def test_slow_sweep_agrees_with_the_steady_solver(
    name: str, controller: str, low: float, high: float
) -> None:
    """Away from threshold: boost changes by less than 2 kPa per 100 rpm, in steady state and in the sweep, to the next
    100 rpm below and above (on the crest of a controller's overshoot both differences count, not their mean)."""
    speeds = np.arange(low + 100.0, high - 50.0, 100.0)
    mode = "spring" if controller == "none" else "target"
    steady = predict_build(
        with_settings(build_of(name), [f"prediction.mode={mode}"]), speeds=list(speeds * RPM)
    )
    run = sweep(name, low, high, 20.0, controller)
    calm = steady.solved.copy()
    for boost in (steady["pressure_im"], along(run["pressure_im"], run, speeds)):
        steps = np.abs(np.diff(boost)) < 2000.0
        calm[1:] &= steps
        calm[:-1] &= steps
    assert calm.sum() > 0.6 * speeds.size
    for quantity in FOUR:
        error = np.abs(along(run[quantity], run, speeds) / steady[quantity] - 1.0)[calm]
        assert error.max() < 0.005, (quantity, speeds[calm][error.argmax()])


@pytest.mark.parametrize("quantity", ["pressure_em", "mass_flow_air", "pressure_im", "shaft_speed"])
def test_what_a_ramp_lags_behind_halves_with_the_ramp(quantity: str) -> None:
    """Differences of three ramps, each half of the one before, so that what is no lag falls out. Walls are light, since
    those of an engine lag by minutes."""
    speeds = np.arange(4200.0, 4900.0, 20.0)
    runs = [
        sweep("transverse_three", 3500.0, 5000.0, ramp, "none", LIGHT_WALLS) for ramp in (100.0, 50.0, 25.0)
    ]
    fast, middle, slow = (along(run[quantity], run, speeds) for run in runs)
    ratio = np.linalg.norm(fast - middle) / np.linalg.norm(middle - slow)
    assert 1.8 < ratio < 2.25


@pytest.mark.parametrize("name", EXAMPLES)
def test_faster_ramps_raise_the_threshold_and_the_steady_one_is_the_lowest(name: str) -> None:
    build = build_of(name)
    speeds = [pull_threshold(build, ramp=ramp * RPM).speed for ramp in (60.0, 200.0, 600.0)]
    assert np.all(np.diff(speeds) > 50.0 * RPM)
    steady = next(r for r in predict_build(build, speeds=[3000.0 * RPM]).remarks if r.code == "threshold")
    assert steady.value is not None
    assert steady.value < speeds[0] + 1.0 * RPM


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_higher_gear_lowers_the_threshold(name: str) -> None:
    speeds = [pull_threshold(build_of(name), kind="road", gear=gear).speed for gear in (2, 3, 4, 5)]
    assert np.all(np.diff(speeds) < 0.0)


def test_a_lighter_shaft_is_sooner_on_boost() -> None:
    build = build_of("transverse_three")
    times = [
        time_to_boost(build, 2500.0 * RPM, settings=[f"transient.shaft_inertia={j} kg*m2"]).time
        for j in (2e-5, 6e-5, 18e-5)
    ]
    assert np.all(np.diff(times) > 0.05)


@pytest.mark.parametrize("name", EXAMPLES)
def test_lift_off_surges_only_where_nothing_lets_the_boost_go(name: str) -> None:
    found = {
        valve: lift_off(build_of(name), 4500.0 * RPM, settings=[f"transient.relief_valve={valve}"])
        for valve in ("recirculation", "open", "none")
    }
    assert not found["recirculation"].surge
    assert not found["open"].surge
    assert found["none"].surge
    assert found["none"].reversed_flow
    assert all(figures.deceleration > 0.0 for figures in found.values())


@pytest.mark.parametrize("name", EXAMPLES)
def test_shaft_energy_balances_to_integration_error(name: str) -> None:
    """Turbine work after bearings less compressor work is the change of kinetic energy; the rest falls with the step
    squared."""
    left = []
    for substeps in (1, 2, 4):
        pull = Phase("hold", 3.0, 1.0)
        run = run_of(name, (Phase("hold", 0.2, 0.2, speed=3000.0 * RPM), pull), "none", (), 2e-3, substeps)
        inertia = float(run.words[0].split()[2])
        after = run.phase == 1
        work = run.extras["work_turbine"][after] - run.extras["work_compressor"][after]
        speed = run.extras["shaft_speed"][after]
        kinetic = 0.5 * inertia * (speed**2 - speed[0] ** 2)
        left.append(np.abs(work - work[0] - kinetic).max() / np.abs(kinetic).max())
    assert left[2] < 1.5e-3  # the words give three digits of the inertia
    assert left[0] < 5e-3


def test_it_comes_to_the_same_with_half_the_step() -> None:
    phases = (Phase("hold", 0.3, 0.2, speed=3000.0 * RPM), Phase("hold", 2.0, 1.0))
    coarse = run_of("transverse_three", phases, None, (), 1e-3, 2)
    fine = run_of("transverse_three", phases, None, (), 1e-3, 8)
    for quantity in FOUR:
        scale = np.ptp(fine[quantity])
        assert np.abs(coarse[quantity] - fine[quantity]).max() < 0.02 * scale, quantity


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_volume_keeps_its_mass_and_energy(name: str) -> None:
    """What is in a volume is what was there, and what came less what went; through pull, lift-off and surge."""
    phases = (Phase("hold", 0.5, 0.2, speed=4000.0 * RPM), Phase("hold", 2.0, 1.0), Phase("hold", 1.5, 0.0))
    run = run_of(name, phases, None, ("transient.relief_valve=open",))
    x = run.extras
    mass = {
        "bp": x["total_compressor"] - x["total_throttle"] - x["total_relief"],
        "im": x["total_throttle"] - x["total_engine"],
        "em": x["total_port"] - x["total_turbine"] - x["total_gate"],
        "4": x["total_turbine"] + x["total_gate"] - x["total_exhaust"],
    }
    energy = {
        "bp": x["heat_boost_pipe"] - x["heat_throttle"] - x["heat_relief"],
        "im": x["heat_throttle"] - x["heat_engine"],
        "em": x["heat_port"] - x["heat_turbine"] - x["heat_gate"] - x["heat_walls"],
        "4": x["heat_downpipe"] - x["heat_exhaust"],
    }
    passed = x["total_port"].max()
    heat = np.abs(x["heat_port"]).max()
    for place in mass:
        held = x[f"mass_{place}"] - mass[place]
        assert np.ptp(held) < 1e-9 * passed, place
        kept = x[f"energy_{place}"] - energy[place]
        assert np.ptp(kept) < 1e-9 * heat, place


def test_more_lag_in_the_hose_means_more_overshoot() -> None:
    over = [
        time_to_boost(
            build_of("transverse_three"), 3500.0 * RPM, settings=[f"transient.hose_bore={bore} mm"]
        ).overshoot
        for bore in (3.0, 1.5, 0.8)
    ]
    assert over[0] < over[2]


def test_dry_friction_makes_opening_and_closing_differ() -> None:
    """On the spring alone, up and down through the same speeds: with friction the valve stands lower on the way up."""

    def lag(friction: str) -> float:
        up = Phase("brake", 40.0, 1.0, end_speed=5200.0 * RPM, ramp=60.0 * RPM, speed=3200.0 * RPM)
        down = Phase("brake", 40.0, 1.0, end_speed=3200.0 * RPM, ramp=-60.0 * RPM)
        settings = (f"wastegate.friction_force={friction}", *LIGHT_WALLS)
        run = run_of("transverse_three", (up, down), "none", settings)
        at = np.array([4000.0, 4300.0, 4600.0]) * RPM
        rising, falling = run.phase == 0, run.phase == 1
        one = np.interp(at, run["engine_speed"][rising], run["pressure_im"][rising])
        two = np.interp(at, run["engine_speed"][falling][::-1], run["pressure_im"][falling][::-1])
        return float((one - two).mean())

    assert abs(lag("0 N")) < 500.0
    assert lag("25 N") > 2000.0
