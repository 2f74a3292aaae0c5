"""Barometer, boost, gauge and absolute; taps turned to total."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.derived.catalogue import work_out
from boostwright.logs.derived.facts import Facts, Tap
from tests.support.steady_log import day, engine, petrol, steady, taken, value_of, with_taps


def test_boost_and_back() -> None:
    assert value_of("boost", {"pressure_im": 180e3, "pressure_amb": 98e3}) == pytest.approx(82e3)
    assert value_of("pressure_im", {"boost": 82e3, "pressure_amb": 98e3}) == pytest.approx(180e3)
    gauge = {"pressure_im": 82e3, "pressure_amb": 98e3}
    assert value_of("pressure_im", gauge, gauge=("pressure_im",)) == pytest.approx(180e3)
    assert value_of("boost", gauge, gauge=("pressure_im",)) == pytest.approx(82e3)


def test_which_barometer() -> None:
    """What the user says goes before the log, the log before a key-on reading, that before the build's."""
    rest = np.r_[np.zeros(20), np.full(20, 300.0)]
    manifold = np.r_[np.full(20, 97.2e3), np.full(20, 170e3)]
    log = {"pressure_im": manifold, "engine_speed": rest}
    found = taken("pressure_amb", log)
    assert np.median(found.value) == pytest.approx(97.2e3)
    assert "at rest" in found.flags["barometer"]
    both = taken("pressure_amb", log | {"pressure_amb": 98.1e3})
    assert np.median(both.value) == pytest.approx(98.1e3)
    assert "channel" in both.flags["barometer"]
    said = taken("pressure_amb", log | {"pressure_amb": 98.1e3}, Facts(day=day(99e3)))
    assert np.median(said.value) == pytest.approx(99e3)
    assert "given" in said.flags["barometer"]


def test_a_key_on_reading_hangs_on_its_sensor() -> None:
    """So that a doubt of the sensor is passed on to the barometer, and to what that goes into."""
    rest = np.r_[np.zeros(20), np.full(20, 300.0)]
    log = steady({"pressure_im": np.r_[np.full(20, 98e3), np.full(20, 170e3)], "engine_speed": rest})
    assert "pressure_im" in work_out(log, Facts(), ["pressure_amb"]).made["pressure_amb"].inputs


def test_without_any_barometer_it_is_said_what_would_do() -> None:
    worked = work_out(steady({"pressure_im": 180e3, "engine_speed": 300.0}), Facts(), ["boost"])
    assert not worked.made
    text = " ".join(map(str, worked.missing[0].needs))
    assert "pressure_amb" in text
    assert "at rest" in text
    assert "--barometer" in text


def test_zero_of_the_manifold_sensor_cancels_in_boost_by_its_own_key_on_reading() -> None:
    rest = np.r_[np.zeros(20), np.full(20, 300.0)]
    log = {"pressure_im": np.r_[np.full(20, 97e3), np.full(20, 177e3)], "engine_speed": rest}
    own = taken("boost", log)
    other = taken("boost", log | {"pressure_amb": 97e3})
    running = slice(25, None)
    assert own.value[running] == pytest.approx(80e3)
    assert own.parts["zero of pressure_im"][running] == pytest.approx(0.0, abs=1e-6)
    # what is left is the scale, by the boost itself: 2 kPa/sqrt(2)/200 kPa of 80 kPa
    assert own.parts["scale of pressure_im"][30] == pytest.approx(
        2e3 * np.sqrt(0.5) / 2e5 * 80e3 / np.sqrt(3.0)
    )
    assert own.sigma[30] < 0.4 * other.sigma[30]


def test_a_gauge_station_uses_the_barometer_once() -> None:
    """Both taps gauge: the barometer's error cancels from their difference, and is all there in their ratio."""
    log = {
        "pressure_2_static": 80e3,
        "pressure_bp_static": 72e3,
        "pressure_amb": 98e3,
        "temperature_2": 370.0,
        "mass_flow_air": 0.2,
    }
    found = taken("cooler_pressure_loss", log, gauge=("pressure_2_static", "pressure_bp_static"))
    assert np.median(found.value) == pytest.approx(8e3)
    assert found.parts["error of pressure_amb"] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("mach", "ratio"), [(0.2, 0.9725), (0.3, 0.9395), (0.5, 0.8430)])
def test_tap_turned_to_total(mach: float, ratio: float) -> None:
    """NACA Report 1135, table I (from memory): static over total pressure of air by Mach number."""
    total, hot, bore = 2.0e5, 360.0, 0.05
    static = total * ratio
    cold = hot / (1.0 + 0.2 * mach**2)
    velocity = mach * np.sqrt(1.4 * 288.2 * cold)
    flow = static / (288.2 * cold) * velocity * np.pi / 4.0 * bore**2
    log = {"pressure_2_static": static, "temperature_2": hot, "mass_flow_air": flow, "engine_speed": 500.0}
    found = taken("pressure_2", log, with_taps(Facts(), pressure_2=bore))
    assert np.median(found.value) == pytest.approx(total, rel=2e-4)
    assert "total-pressure_2" in found.flags


def test_without_a_bore_static_is_taken_and_the_size_of_it_said() -> None:
    log = {"pressure_2_static": 1.8e5, "temperature_2": 360.0, "mass_flow_air": 0.25, "engine_speed": 500.0}
    assumed = Facts(taps={"pressure_2": Tap(0.05, np.nan, "assumed: as the throttle")})
    found = taken("pressure_2", log, assumed)
    assert np.median(found.value) == pytest.approx(1.8e5)
    stated = taken("pressure_2", log, with_taps(Facts(), pressure_2=0.05))
    head = float(np.median(stated.value)) - 1.8e5
    assert f"{head / 1e3:.1f} kPa" in found.flags["static-pressure_2"]
    assert found.parts["head not added at pressure_2"][0] == pytest.approx(head / np.sqrt(3.0), rel=1e-3)
    none = taken("pressure_2", log, Facts())
    assert "[taps]" in none.flags["static-pressure_2"]


def test_a_large_hole_is_said_and_widens_the_band() -> None:
    log = {"pressure_2_static": 1.8e5, "temperature_2": 360.0, "mass_flow_air": 0.25, "engine_speed": 500.0}
    small = taken("pressure_2", log, Facts(taps={"pressure_2": Tap(0.05, 2e-3, "[taps]")}))
    large = taken("pressure_2", log, Facts(taps={"pressure_2": Tap(0.05, 9e-3, "[taps]")}))
    assert "hole-pressure_2" in large.flags
    assert "hole-pressure_2" not in small.flags
    assert large.sigma[0] > small.sigma[0]


def test_drive_pressure_ratio_absolute_and_gauge() -> None:
    """A hand calculation: 272 kPa before the turbine, 200 kPa in the manifold, 99 kPa outside: 1.36 and 1.71."""
    log = {"pressure_em_static": 272e3, "pressure_im": 200e3, "pressure_amb": 99e3}
    facts = Facts(engine=engine(), fuel=petrol())
    assert value_of("drive_pressure_ratio", log, facts) == pytest.approx(1.36)
    assert value_of("drive_pressure_ratio_gauge", log, facts) == pytest.approx(173.0 / 101.0)
    falls = log | {"pressure_im": 105e3}
    assert np.isnan(value_of("drive_pressure_ratio_gauge", falls, facts))


def test_takeoff_recovery_by_definition() -> None:
    log = {"pressure_g_static": 180e3, "pressure_em_static": 220e3, "pressure_4_static": 110e3}
    assert value_of("takeoff_recovery", log) == pytest.approx(70.0 / 110.0)


def test_a_start_stop_car_gives_its_barometer_though_its_manifold_takes_a_second_to_fill() -> None:
    """Engine off between two drives; the samples beside them, still filling or drawn down, do not count."""
    step = 0.9
    speed = np.r_[np.full(30, 90.0), np.zeros(14), np.full(30, 90.0)]
    manifold = np.r_[np.full(30, 38e3), [60e3], np.full(12, 97e3), [55e3], np.full(30, 38e3)]
    found = work_out(
        steady({"engine_speed": speed, "pressure_im": manifold}, step=step), Facts(), ["pressure_amb"]
    )
    assert np.median(found.made["pressure_amb"].result.value) == pytest.approx(97e3)
