"""Sensors held against what the car must do: fuel rail, oil, lambda, gears, pedal, turbine, the build's air."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from boostwright.logs.gear import GearFacts
from boostwright.logs.sensor_checks.air_flow import Cause, causes_left
from boostwright.logs.sensor_checks.air_routes import Pair
from boostwright.logs.sensor_checks.facts import SensorFacts
from boostwright.logs.sensor_checks.gear_ratio import best_factor
from boostwright.logs.sensor_checks.records import SensorReport
from boostwright.logs.sensor_checks.run import check_sensors
from boostwright.logs.sensor_checks.turbine_drop import gas_cools_by
from boostwright.logs.sensor_checks.view import LogView
from boostwright.logs.series import ChannelsInMemory, Series
from tests.support.made_logs_c import Instruments, Run, made_log, made_run

Array = np.ndarray
METER = Cause(("mass_flow_air",), frozenset({"meter"}), "meter")
FILLING = Cause(("pressure_im",), frozenset({"speed_density"}), "filling")
TIME = Cause(("injector_time",), frozenset({"injectors"}), "time")
FUEL = Cause(("mass_flow_fuel",), frozenset({"fuel"}), "fuel")
PROBE = Cause(("lambda",), frozenset({"fuel", "injectors"}), "lambda")
GEARS = GearFacts((3.42, 1.94, 1.37, 1.00, 0.81), 3.73, 0.306)


def found(report: SensorReport) -> list[tuple[str, tuple[str, ...]]]:
    """Codes and channels."""
    return [(f.code, f.channels) for f in report.faults]


def with_channel(run: Run, name: str, values: Array, basis: str = "") -> tuple[Run, Instruments]:
    """A run with one more channel."""
    run.channels[name] = values
    return run, Instruments(rate=20.0, seed=3, basis={name: basis} if basis else {})


def test_three_routes_say_which_is_off() -> None:
    """A meter 15 % low leaves two pairs apart and one together: nothing but the meter explains it."""
    pairs = [
        Pair("speed_density", "meter", 0.16, 0.08),
        Pair("injectors", "meter", 0.17, 0.07),
        Pair("injectors", "speed_density", 0.01, 0.08),
    ]
    assert causes_left(pairs, [METER, FILLING, TIME, PROBE]) == [METER]


def test_two_routes_leave_both() -> None:
    """One pair has two ends, and nothing splits them."""
    pairs = [Pair("speed_density", "meter", 0.16, 0.08)]
    assert set(causes_left(pairs, [METER, FILLING])) == {METER, FILLING}


def test_what_two_routes_share_is_meant_where_both_are_off_alike() -> None:
    """Lambda 12 % high moves fuel and injectors together."""
    pairs = [
        Pair("speed_density", "meter", 0.0, 0.06),
        Pair("fuel", "meter", 0.12, 0.05),
        Pair("injectors", "meter", 0.12, 0.06),
        Pair("fuel", "speed_density", 0.12, 0.07),
        Pair("injectors", "speed_density", 0.12, 0.08),
        Pair("injectors", "fuel", 0.0, 0.05),
    ]
    assert causes_left(pairs, [METER, FILLING, TIME, FUEL, PROBE]) == [PROBE]


def test_a_small_difference_leaves_all_sound() -> None:
    """No pair of 5 % is beyond what an air meter and a filling known to 5 % allow."""
    assert Pair("speed_density", "meter", 0.05, 0.08).z < 1.0


@pytest.mark.parametrize(("by", "code"), [(1.0, ""), (0.97, ""), (0.7, "scale"), (1.35, "scale")])
def test_a_rail_that_follows_the_manifold(by: float, code: str) -> None:
    """3 bar over the manifold; a sensor that reads by a factor shows it in how far it follows."""
    run = made_run(11, "key-on steady")
    over = 300e3 + run.channels["pressure_im"] - run.channels["pressure_amb"]
    log = made_log(*with_channel(run, "fuel_pressure", by * over, "gauge"))
    named = [f for f in check_sensors(log, run.facts).faults if "fuel_pressure" in f.channels]
    assert [f.code for f in named] == ([code] if code else [])
    assert all(f.certainty <= 0.85 for f in named)  # a leaking regulator hose would follow as little


def test_a_rail_that_is_held_over_the_air_is_sound() -> None:
    """A direct-injection or returnless rail does not follow at all."""
    run = made_run(12, "key-on steady")
    log = made_log(*with_channel(run, "fuel_pressure", np.full(run.time.size, 400e3), "gauge"))
    assert not check_sensors(log, run.facts).faults


@pytest.mark.parametrize(
    ("by", "more", "code"),
    [(1.0, 0.0, ""), (1 / 6.894757, 0.0, "unit"), (0.01, 0.0, "unit"), (1.0, 101e3, "gauge-absolute")],
)
def test_oil_pressure_at_speed_and_at_rest(by: float, more: float, code: str) -> None:
    """70 kPa a thousand rpm and a relief valve at 450 kPa; none before the engine has turned."""
    run = made_run(13, "key-on steady")
    oil = np.minimum(100e3 * run.channels["engine_speed"] / 104.7, 450e3)
    run.channels["pressure_oil"] = by * oil + more
    log = made_log(run, Instruments(rate=20.0, seed=4, noise=0.3, basis={"pressure_oil": "gauge"}))
    named = [f.code for f in check_sensors(log, run.facts).faults if "pressure_oil" in f.channels]
    assert named == ([code] if code else [])


@pytest.mark.parametrize(("leak", "named"), [(0.0, False), (1.2e-3, True)])
def test_air_drawn_in_ahead_of_the_probe(leak: float, named: bool) -> None:
    """1.2 g/s beside the 5 g/s of an idle make it lean there, and nothing at load."""
    run = made_run(14, "key-on steady")
    truth, flow = run.channels["lambda"], run.channels["mass_flow_air"]
    run.channels["lambda_target"] = np.where(truth < 1.2, truth, 1.0)
    run.channels["lambda"] = truth * (1.0 + leak / np.maximum(flow, 2.5e-3))
    report = check_sensors(made_log(run, Instruments(rate=20.0, seed=5)), run.facts)
    assert found(report) == ([("air-leak", ("lambda",))] if named else [])


def _drawn(facts: GearFacts, by: float, gears: tuple[int, ...]) -> tuple[Array, Array, Array]:
    ratios = np.array([facts.ratios[g - 1] for g in gears]) * (facts.final_drive or 1.0)
    seen = np.log(ratios / (facts.tyre_radius or 1.0) / by)
    known = np.log(np.array(facts.ratios) * (facts.final_drive or 1.0) / (facts.tyre_radius or 1.0))
    return seen, np.full(seen.size, 10.0), known


@pytest.mark.parametrize("by", [1.0, 1.12, 0.621, 3.6])
def test_the_factor_of_a_road_speed(by: float) -> None:
    """Three gears fit at one factor alone."""
    away, share, gears = best_factor(*_drawn(GEARS, by, (2, 3, 4)))
    assert np.exp(-away) == pytest.approx(by, rel=1e-6)
    assert share == 1.0
    assert gears == 3


def test_one_gear_proves_no_factor() -> None:
    """Second gear driven by a speed 1.43 too high is third gear, as far as one ratio tells."""
    _, share, gears = best_factor(*_drawn(GEARS, 1.94 / 1.37, (2,)))
    assert share == 1.0
    assert gears == 1


def test_a_gear_driven_in_for_moments_makes_no_factor() -> None:
    """16 s of third gear as it should be, and 2 s of second while the road speed lags by 7 %."""
    _, _, known = _drawn(GEARS, 1.0, (2,))
    away, _, _ = best_factor(np.array([known[1] + 0.07, known[2]]), np.array([2.0, 16.0]), known)
    assert abs(away) < 0.01


@pytest.mark.parametrize(("by", "code"), [(1.0, ""), (1.04, ""), (1.15, "scale"), (1 / 1.609344, "unit")])
def test_a_road_speed_against_the_gears(by: float, code: str) -> None:
    """The car is driven by the build's gears; its speed is logged by a factor."""
    run = made_run(15, "key-on steady")
    gear = run.channels["gear"].astype(int)
    ratio = np.array((*GEARS.ratios, GEARS.ratios[-1]))[np.maximum(gear, 1) - 1] * 3.73 / 0.306
    run.channels["vehicle_speed"] = by * np.where(gear > 0, run.channels["engine_speed"] / ratio, 0.0)
    report = check_sensors(made_log(run, Instruments(rate=20.0, seed=6)), replace(run.facts, gears=GEARS))
    assert [f.code for f in report.faults if "vehicle_speed" in f.channels] == ([code] if code else [])
    assert all("vehicle_speed" in f.channels for f in report.faults)


@pytest.mark.parametrize(
    ("name", "act", "code"),
    [
        ("throttle_position", lambda x: x, ""),
        ("throttle_position", lambda x: 0.6 * x, "scale"),
        ("throttle_position", lambda x: x + 0.15, "offset"),
        ("pedal_position", lambda x: 0.6 * x, "scale"),
    ],
)
def test_pedal_and_plate_at_their_stops(name: str, act: Callable[[Array], Array], code: str) -> None:
    """Both at 100 % on the floor, within 8 %."""
    run = made_run(16, "key-on steady")
    run.channels[name] = act(run.channels[name])
    report = check_sensors(made_log(run, Instruments(rate=20.0, seed=7)), run.facts)
    assert found(report) == ([(code, (name,))] if code else [])


@pytest.mark.parametrize("apart", [0.0, 0.2])
def test_two_tracks_of_a_pedal(apart: float) -> None:
    """The second track at half the slope; a worn spot in its upper half."""
    run = made_run(17, "key-on steady")
    pedal = run.channels.pop("pedal_position")
    run.channels["pedal_position_1"] = pedal
    worn = (pedal > 0.1) & (pedal < 0.5)
    run.channels["pedal_position_2"] = 0.5 * pedal + 0.1 - 0.5 * apart * worn
    report = check_sensors(made_log(run, Instruments(rate=20.0, seed=8)), run.facts)
    assert ("impossible", ("pedal_position_1", "pedal_position_2")) in found(report) or not apart
    assert bool(report.faults) is bool(apart)


@pytest.mark.parametrize("seed", range(4))
def test_two_tracks_read_in_turn(seed: int) -> None:
    """Two sound tracks a tenth of a second apart, each read once in 0.9 s, while the pedal goes at once and rests."""
    time = np.arange(0.0, 600.0, 0.05)
    levels = np.random.default_rng(seed).choice([0.14, 0.25, 0.38, 0.62], 101)
    knots = np.sort(np.concatenate([np.arange(101) * 6.07, np.arange(101) * 6.07 + 6.02]))
    pedal = np.interp(time, knots, np.repeat(levels, 2)) + 0.01 * np.sin(0.7 * time)
    first, second = time[::18], time[::18] + 0.1
    names = {
        "pedal_position_1": Series(first, np.interp(first, time, pedal)),
        "pedal_position_2": Series(second, 0.5 * np.interp(second, time, pedal)),
        "engine_speed": Series(time, np.full(time.size, 200.0)),
    }
    assert not check_sensors(ChannelsInMemory(names), SensorFacts()).faults


def test_the_gas_cools_by_what_the_compressor_takes() -> None:
    """At a pressure ratio of 2, by hand: 295 K (2^(1/3.5) - 1)/0.72 = 89.8 K of air, 69.8 K of gas."""
    run = made_run(18, "key-on steady")
    view = LogView(made_log(run, Instruments(seed=1)), run.facts)
    twice = LogView(made_log(run, Instruments(seed=1)), run.facts)
    twice.__dict__["load"] = np.full(view.grid.size, 2.0 * view.barometer[0])
    assert gas_cools_by(twice, np.ones(view.grid.size, dtype=bool)) == pytest.approx(69.8, abs=0.3)


@pytest.mark.parametrize("cylinder", [1, 3])
def test_a_probe_behind_the_turbine_in_a_cylinders_place(cylinder: int) -> None:
    """Its siblings show that the probe of one cylinder is the cooler one behind the turbine."""
    run = made_run(19, "key-on steady")
    one, behind = f"egt_reading_{cylinder}", "egt_reading_downpipe"
    run.channels[one], run.channels[behind] = run.channels[behind], run.channels[one]
    report = check_sensors(made_log(run, Instruments(rate=20.0, seed=9)), run.facts)
    assert found(report) == [("swapped", (one, behind))]


@pytest.mark.parametrize("by", [0.0, 25.0, -18.0])
def test_a_cold_exhaust_beside_warm_water(by: float) -> None:
    """Water at 88 degC, exhaust and charge at the air's temperature: a probe that differs has nothing to warm it."""
    run = made_run(20, "key-on cold")
    run.channels["temperature_coolant"] = np.full(run.time.size, 361.0)
    run.channels["temperature_oil"] = np.full(run.time.size, 358.0)
    how = Instruments(rate=20.0, seed=10, after={"egt_reading_3": lambda v, t, r: v + by})
    report = check_sensors(made_log(run, how), run.facts)
    assert found(report) == ([("offset", ("egt_reading_3",))] if by else [])


@pytest.mark.parametrize(("rms", "named"), [(0.0, False), (4e3, True)])
def test_scatter_where_nothing_pulses(rms: float, named: bool) -> None:
    """With the engine at rest an exhaust pressure's own pulses are no excuse."""
    run = made_run(21, "key-on")
    after = {"pressure_em_static": lambda v, t, r: v + r.normal(0.0, rms, v.size)}
    report = check_sensors(made_log(run, Instruments(rate=50.0, noise=0.5, seed=11, after=after)), run.facts)
    assert found(report) == ([("noisy", ("pressure_em_static",))] if named else [])


@pytest.mark.parametrize(
    ("build", "channels"),
    [
        (0.0, ("pressure_im",)),
        (-14e3, ("pressure_im", "pressure_amb")),
        (None, ("pressure_im", "pressure_amb")),
    ],
)
def test_the_builds_barometer_splits_two_that_differ(build: float | None, channels: tuple[str, ...]) -> None:
    """It speaks for the one near it; far from both, as on another height, it says nothing."""
    run = made_run(22, "key-on")
    how = Instruments(keep=("engine_speed", "pressure_im", "pressure_amb", "throttle_position"), seed=5)
    how.after = {"pressure_im": lambda v, t, r: v - 12e3}
    air = float(run.channels["pressure_amb"][0])
    facts = replace(run.facts, barometer=None if build is None else air + 1e3 + 2.0 * build)
    (fault,) = check_sensors(made_log(run, how), facts).faults
    assert set(fault.channels) == set(channels)
    assert not any(text.endswith("is off") for text in fault.others)
