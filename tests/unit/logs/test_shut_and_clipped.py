"""A throttle shut for some seconds is no loose plug; a clipped manifold sensor does not hide a wrong blade count."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.logs.sensor_checks.facts import SensorFacts
from boostwright.logs.sensor_checks.run import check_sensors
from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.tasks.check_sensors import facts_of_build
from boostwright.tasks.simulate import SimulateRequest, simulate
from tests.support.sensor_faults_c import clean_log

ESTATE = Path(__file__).parents[3] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0


def _log(away: float, noise: float) -> ChannelsInMemory:
    """A steady drive at 100 kPa whose manifold pressure is elsewhere for two seconds, thrice, at one stroke."""
    time = np.arange(0.0, 60.0, 0.02)
    rng = np.random.default_rng(1)
    gone = (time % 20.0 > 10.0) & (time % 20.0 < 12.0)
    pressure = np.where(
        gone, away + rng.normal(0.0, noise, time.size), 100e3 + rng.normal(0.0, 200.0, time.size)
    )
    speed = 3000.0 * RPM + rng.normal(0.0, 0.3, time.size)
    return ChannelsInMemory(
        {"engine_speed": Series(time, speed), "pressure_im": Series(time, pressure, "absolute")}
    )


def test_a_throttle_shut_for_a_moment_is_no_drop_out() -> None:
    """It shows the pulses at part load; a lost message shows one number."""
    shut = check_sensors(_log(22e3, 1.5e3), SensorFacts())
    assert not [fault for fault in shut.faults if "pressure_im" in fault.channels]
    lost = check_sensors(_log(20e3, 0.0), SensorFacts())
    assert [fault.code for fault in lost.faults if "pressure_im" in fault.channels] == ["dropped-out"]


def test_a_clipped_manifold_sensor_does_not_hide_the_blade_count() -> None:
    """Beyond its full scale the outlet's pressure says where boost is; without a flow no count of blades is named."""
    build = read_build(ESTATE)
    faults = ("clipped pressure_im high=150kPa", "blade-count shaft_speed fitted=7 counted=5")
    log = simulate(build, SimulateRequest("dyno-day", "standalone", faults, seed=71)).logs[0]
    facts, _ = facts_of_build(build)
    report = check_sensors(log.channels, facts)
    found = {channel: fault for fault in report.faults for channel in fault.channels}
    assert found["pressure_im"].code == "clipped"
    assert found["shaft_speed"].code in ("scale", "blade-count")
    assert not any("lies outside the map" in one.why for one in report.not_made)


def test_a_clipped_outlet_is_not_called_stuck() -> None:
    """It holds its full scale for a moment behind the lift-off, when the manifold is empty already.

    The pipe behind the cooler then says what the wheel makes, so that the blades are counted all the same.
    """
    build = read_build(ESTATE)
    faults = ("clipped pressure_2_static high=170kPa", "blade-count shaft_speed fitted=7 counted=6")
    log = simulate(build, SimulateRequest("dyno-day", "standalone", faults, seed=81)).logs[0]
    facts, _ = facts_of_build(build)
    found = [(fault.code, fault.channels) for fault in check_sensors(log.channels, facts).faults]
    assert sorted(found) == [("blade-count", ("shaft_speed",)), ("clipped", ("pressure_2_static",))]


@pytest.mark.parametrize("seed", [71113, 71138])
def test_whole_degrees_that_settle_are_no_fault(seed: int) -> None:
    """A charge temperature at idle within one step for 14 s; a downpipe probe that has settled at its highest."""
    log, run, words = clean_log(seed)
    assert check_sensors(log, run.facts if seed % 3 else None).faults == (), words
