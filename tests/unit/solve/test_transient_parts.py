"""Parts of the transient model against closed forms and a general-purpose integrator on the same right-hand side."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from transient_runs import RPM, build_of, plant_of_example, run_of

from boostwright.errors import BuildError
from boostwright.physics.turbo.surge import helmholtz_frequency
from boostwright.solve.kernel.transient_layout import CHAMBER_LOWER, COMPRESSOR_FLOW, DYNAMIC_COUNT, MASS_BP
from boostwright.solve.transient import columns_of, phase_rows, run_plant, settled_start
from boostwright.solve.transient_native import rates_of
from boostwright.tasks.transient import Phase, TransientRequest, run_transient, with_plant

NAME = "transverse_three"
STUCK = (
    "wastegate.friction_force=450 N"  # a gate that cannot move, so that only differential equations are left
)
NO_VALVE = "transient.relief_valve=none"


def test_a_tip_in_agrees_with_a_general_integrator() -> None:
    """Throttle thrown open at a held speed, gate stuck shut: SciPy's Radau follows the same rates by itself."""
    plant = plant_of_example(NAME, STUCK, NO_VALVE, "transient.throttle_time=0.01 s")
    place = 25
    speed = float(plant.speeds[place])
    start = settled_start(plant, "hold", speed, 0.15, 0)
    start.slow[2] = 1.0  # the throttle stands open at once
    first = start.states.copy()
    rows = run_plant(
        with_plant(plant, controller=0.0), phase_rows([("hold", 0.4, 1.0, 1.0, 0, 0.0, 0.0, 0.0, 1.0)]), start
    )
    c = columns_of(rows)
    assert np.all(c["gate_lift"] == 0.0)
    point = plant.grid[place : place + 1].copy()
    point["engine_speed"] = speed
    inputs = np.array([[1.0, 0.0, float(plant.record["fixed_duty"][0]), 1.0]])

    def rates(_t: float, y: np.ndarray) -> np.ndarray:
        whole = first.copy()
        whole[:DYNAMIC_COUNT] = y
        return rates_of(plant.record, point, plant.maps, plant.turbines, whole[None, :], inputs)[0][
            0, :DYNAMIC_COUNT
        ]

    scale = np.maximum(np.abs(first[:DYNAMIC_COUNT]), 1e-4)
    peer = solve_ivp(
        rates, (0.0, 0.41), first[:DYNAMIC_COUNT], "Radau", c["time"][9::10], rtol=1e-7, atol=1e-8 * scale
    )
    assert peer.success
    for name, at in (
        ("shaft_speed", 0),
        ("mass_bp", 2),
        ("mass_im", 4),
        ("mass_em", 6),
        ("temperature_housing", 16),
    ):
        ours, theirs = c[f"state_{name}"][9::10], peer.y[at]
        swing = max(np.ptp(theirs), 1e-3 * abs(theirs[0]))
        assert np.abs(ours - theirs).max() < 5e-3 * swing, name


def test_a_choked_orifice_fills_a_volume_at_the_rate_of_the_textbook() -> None:
    """dp/dt = R T/V C A p_0/sqrt(R T) 0.6847 while the pressure inside is below 0.528 of that ahead (gamma 1.4)."""
    plant = plant_of_example(NAME)
    start = settled_start(plant, "hold", 3000.0 * RPM, 1.0, 0)
    states = np.repeat(start.states[None, :], 3, axis=0)
    record = with_plant(
        plant, volume_bp=float(plant.record["volume_bp"][0]) / 1.8
    ).record  # p_bp 1.8 times as high
    states[:, CHAMBER_LOWER] = [40e3, 80e3, 120e3]
    inputs = np.tile([1.0, 0.0, 0.0, 1.0], (3, 1))
    rates, inner = rates_of(record, plant.grid[30:31].copy(), plant.maps, plant.turbines, states, inputs)
    signal = inner[0, 7]
    assert 0.528 * signal > 120e3
    t, constant = plant.problem.ambient.temperature, 287.0
    area, volume = float(record["chamber_area"][0]), float(record["chamber_volume"][0])
    flow = area * signal / np.sqrt(constant * t) * 0.684731
    assert rates[:, CHAMBER_LOWER] == pytest.approx(constant * t / volume * flow, rel=1e-5)


def test_coasting_follows_the_closed_form() -> None:
    """m dv/dt = -(c0 + c2 v^2): v = sqrt(c0/c2) tan(atan(v0 sqrt(c2/c0)) - sqrt(c0 c2) t/m)."""
    speed = 4000.0 * RPM
    run = run_of(NAME, (Phase("road", 0.05, 0.3, 4, speed=speed), Phase("gear-change", 60.0, 0.0)))
    record = plant_of_example(NAME).record[0]
    c0 = float(record["weight"] * record["rolling_resistance"])
    c2, mass = float(record["drag_factor"]), float(record["mass_road"])
    after = run.phase == 1
    v, t = run["vehicle_speed"][after], run.time[after] - run.time[after][0]
    expected = np.sqrt(c0 / c2) * np.tan(np.arctan(v[0] * np.sqrt(c2 / c0)) - np.sqrt(c0 * c2) / mass * t)
    assert v == pytest.approx(expected, rel=1e-4)


def _surging(volume: float) -> tuple[float, float]:
    """Surge cycles over those at the natural frequency of duct and pipe volume [L], and least flow [kg/s], after
    lift-off with nothing to let the boost go."""
    settings = (NO_VALVE, f"transient.boost_pipe_volume={volume} L")
    phases = (Phase("hold", 2.0, 1.0, speed=4500.0 * RPM), Phase("hold", 1.2, 0.0))
    run = run_of(NAME, phases, None, settings)
    late = np.flatnonzero(run.phase == 1)[200:800]
    flow, through = run["mass_flow_compressor"][late], run["mass_flow_throttle"][late]
    cycles = np.count_nonzero(np.diff(np.sign(flow - through)) > 0)
    sound = np.sqrt(1.4 * 287.0 * run["temperature_bp"][late].mean())
    duct = float(plant_of_example(NAME).record["duct_ratio"][0])
    own = float(helmholtz_frequency(sound, volume * 1e-3, duct, 1.0)) / (2.0 * np.pi) * 0.6
    return float(cycles / own), float(flow.min())


def test_surge_slows_with_volume_as_greitzer_says() -> None:
    """At small B surge swings near the natural frequency of duct and volume; the larger B, the more its period is that
    of filling and emptying the volume, and longer (Greitzer 1976). Air comes back through the compressor."""
    ratios, least = zip(*(_surging(volume) for volume in (0.25, 2.0, 5.0, 20.0)), strict=True)
    assert 0.75 < ratios[0] < 1.1
    assert np.all(np.diff(ratios) < 0.0)
    assert ratios[-1] < 0.5
    assert max(least) < 0.0


def test_small_swings_have_the_frequency_of_duct_and_volume() -> None:
    """Eigenvalues of the rates about a settled state: air in the duct on the spring of the boost pipe."""
    plant = plant_of_example(NAME, STUCK, NO_VALVE)
    start = settled_start(plant, "hold", float(plant.speeds[40]), 0.1, 0)
    share = np.array([[0.02, 0.0, 0.0, 1.0]])
    point = plant.grid[40:41].copy()
    two = [COMPRESSOR_FLOW, MASS_BP, MASS_BP + 1]
    jacobian = np.empty((3, 3))
    for j, place in enumerate(two):
        step = 1e-5 * abs(start.states[place]) + 1e-9
        pair = np.repeat(start.states[None, :], 2, axis=0)
        pair[0, place] -= step
        pair[1, place] += step
        low, high = rates_of(
            plant.record, point, plant.maps, plant.turbines, pair, np.repeat(share, 2, axis=0)
        )[0]
        jacobian[:, j] = (high - low)[two] / (2.0 * step)
    found = np.abs(np.linalg.eigvals(jacobian).imag).max()
    ambient = plant.problem.ambient
    sound = np.sqrt(1.4 * ambient.gas_constant * ambient.temperature)
    expected = float(
        helmholtz_frequency(
            sound, float(plant.record["volume_bp"][0]), float(plant.record["duct_ratio"][0]), 1.0
        )
    )
    assert found == pytest.approx(expected, rel=0.1)


def test_overrun_cuts_the_fuel_and_idle_holds_its_speed() -> None:
    phases = (Phase("idle", 3.0, 0.0), Phase("road", 2.0, 0.4, 3), Phase("road", 2.0, 0.0, 3))
    run = run_of("hill_climb_estate", (phases[0],))
    idle = plant_of_example("hill_climb_estate").record["idle_speed"][0]
    assert run["engine_speed"] == pytest.approx(idle, rel=0.01)
    assert run["torque"] == pytest.approx(0.0, abs=1.5)
    run = run_of(
        "hill_climb_estate", (Phase("road", 1.0, 0.6, 3, speed=4000.0 * RPM), Phase("road", 2.0, 0.0, 3))
    )
    late = (run.phase == 1) & (run.time > 1.5)
    assert np.all(run["mass_flow_fuel"][late] < 1e-6)
    assert np.all(run["torque"][late] < -10.0)
    assert np.all(run["lambda"][late] > 10.0)
    assert np.all(np.diff(run["engine_speed"][late]) < 0.0)
    assert np.all(run["pressure_im"][late] > 12e3)


def test_a_gear_change_ends_with_the_clutch_closed() -> None:
    pull = Phase("road", 20.0, 1.0, 2, end_speed=5500.0 * RPM, speed=3500.0 * RPM)
    run = run_of(NAME, (pull, Phase("gear-change", 0.4, 0.0), Phase("road", 3.0, 1.0, 3)))
    record = plant_of_example(NAME).record[0]
    after = run.phase == 2
    assert run["clutch"][after][-1] == 1.0
    ratio = run["engine_speed"][after][-1] / run["vehicle_speed"][after][-1] * record["rolling_radius"]
    assert ratio == pytest.approx(record["gears"][2] * record["final_drive"], rel=1e-9)
    assert np.all(run["gear"][run.phase == 1] == 0.0)


def test_with_the_key_on_everything_is_at_rest() -> None:
    run = run_of(NAME, (Phase("key-on", 0.5, 0.0), Phase("idle", 0.5, 0.0)))
    rest = run.phase == 0
    ambient = run["pressure_amb"][0]
    for place in ("1", "2", "bp", "im", "em", "g", "4"):
        assert np.all(run[f"pressure_{place}"][rest] == ambient)
    assert np.all(run["mass_flow_air"][rest] == 0.0)
    assert np.all(run["engine_speed"][rest] == 0.0)


def test_the_second_truth_is_another_one() -> None:
    build = build_of(NAME)
    pull = (Phase("brake", 10.0, 1.0, end_speed=5000.0 * RPM, ramp=400.0 * RPM, speed=2000.0 * RPM),)
    one, two = (
        run_transient(build, TransientRequest(pull, "none", truth=truth)) for truth in ("model", "second")
    )
    at = np.array([2500.0, 3000.0, 4000.0]) * RPM
    for quantity in ("pressure_im", "torque", "pressure_em", "shaft_speed"):
        pair = [np.interp(at, run["engine_speed"], run[quantity]) for run in (one, two)]
        assert np.abs(pair[1] / pair[0] - 1.0).max() > 0.005, quantity


@pytest.mark.parametrize(
    ("phases", "says"),
    [
        ((), "nothing to run"),
        ((Phase("fly", 1.0),), "no kind of phase"),
        ((Phase("hold", -1.0, speed=300.0),), "no duration"),
        ((Phase("hold", 1.0),), "nothing says how fast"),
        ((Phase("road", 1.0, gear=9, speed=300.0),), "no gear of this car"),
        ((Phase("hold", 1.0, 1.4, speed=300.0),), "no share of the pedal"),
    ],
)
def test_a_request_that_cannot_be_run_says_why(phases: tuple[Phase, ...], says: str) -> None:
    with pytest.raises(BuildError, match=says):
        run_transient(build_of(NAME), TransientRequest(phases))


def test_a_roller_that_the_build_does_not_have_is_asked_for() -> None:
    with pytest.raises(BuildError, match="roller_inertia"):
        run_transient(
            build_of("hill_climb_estate"), TransientRequest((Phase("roller", 1.0, gear=3, speed=300.0),))
        )
