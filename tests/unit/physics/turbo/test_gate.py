"""Gate valve and actuator: geometry, signs, stops."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.turbo import actuator, poppet

VALVE = {
    "head_diameter": 0.030,
    "seat_width": 0.0015,
    "seat_angle": np.pi / 4.0,
    "port_diameter": 0.027,
    "stem_diameter": 0.006,
}


def test_poppet_area_is_continuous_and_ends_at_the_port() -> None:
    lifts = np.linspace(0.0, 0.012, 6001)
    areas = poppet.poppet_area_heywood(lifts, **VALVE)
    assert areas[0] == 0.0
    assert np.all(np.diff(areas) >= -1e-15)
    assert np.max(np.diff(areas)) < 2.5 * np.pi * 0.030 * 2e-6
    assert areas[-1] == pytest.approx(float(poppet.seat_area(0.027, 0.006)))


@given(lift=st.floats(0.0, 0.03), bore=st.floats(0.02, 0.06))
def test_effective_area_lies_under_both_limits(lift: float, bore: float) -> None:
    area = poppet.effective_area_poppet(lift, bore, 0.008, 0.72, 0.70)
    curtain = 0.72 * poppet.curtain_area(bore, lift)
    seat = 0.70 * poppet.seat_area(bore, 0.008)
    smaller = poppet.governing_area(curtain, seat)
    assert 0.91 * smaller - 1e-15 <= area <= smaller + 1e-15


def test_effective_area_has_no_kink() -> None:
    lifts = np.linspace(1e-4, 0.02, 2000)
    areas = poppet.effective_area_poppet(lifts, 0.038, 0.008, 0.72, 0.72)
    slopes = np.diff(areas) / np.diff(lifts)
    assert np.all(slopes >= 0.0)
    assert np.max(np.abs(np.diff(slopes))) < 0.01 * slopes[0]


def test_curtain_equals_bore_at_a_quarter() -> None:
    lift = poppet.lift_at_equal_area(0.040, 0.0)
    assert lift == pytest.approx(0.010)
    assert poppet.curtain_area(0.040, lift) == pytest.approx(float(poppet.seat_area(0.040, 0.0)))


AREA_D, AREA_V = np.pi / 4.0 * 0.055**2, np.pi / 4.0 * 0.038**2


def _lift(pressure_lower: float, pressure_upper: float = 0.0, head: float = 0.0, fall: float = 0.4) -> float:
    return float(
        actuator.poppet_lift(pressure_lower, pressure_upper, AREA_D, head, fall, 120.0, 0.0, 9.0e3, 0.009)
    )


def test_more_boost_opens_more_and_the_spring_side_holds_shut() -> None:
    assert _lift(70e3) > _lift(60e3) > 0.0
    assert _lift(70e3, pressure_upper=30e3) == 0.0
    assert _lift(70e3, head=80.0) > _lift(70e3), "exhaust pressure on the head helps to open"


def test_stops() -> None:
    assert _lift(0.0) == 0.0
    assert _lift(500e3) == pytest.approx(0.009)


@given(lift=st.floats(1e-4, 0.0089), difference=st.floats(0.0, 120e3), fall=st.floats(0.0, 0.7))
def test_lift_and_opening_pressure_are_inverse(lift: float, difference: float, fall: float) -> None:
    shut = difference * AREA_V
    head = actuator.head_force_by_lift(difference, 0.0, AREA_V, AREA_V, lift, 0.009, fall)
    pressure = actuator.poppet_opening_pressure(120.0, 9.0e3, lift, AREA_D, head, 0.0)
    back = actuator.poppet_lift(pressure, 0.0, AREA_D, shut, fall, 120.0, 0.0, 9.0e3, 0.009)
    assert back == pytest.approx(lift, rel=1e-9)


def test_bench_and_running_ratings_differ_by_the_exhaust_force() -> None:
    bench = actuator.preload_from_bench_rating(80e3, AREA_D)
    running = actuator.preload_from_running_rating(80e3, AREA_D, AREA_V, 60e3)
    assert running - bench == pytest.approx(60e3 * AREA_V)
    cracking = actuator.poppet_opening_pressure(running, 9.0e3, 0.0, AREA_D, 60e3 * AREA_V, 0.0)
    assert cracking == pytest.approx(80e3)


def test_friction_makes_a_band() -> None:
    opening = actuator.poppet_opening_pressure(120.0, 9e3, 0.004, AREA_D, 0.0, 5.0)
    closing = actuator.poppet_opening_pressure(120.0, 9e3, 0.004, AREA_D, 0.0, -5.0)
    assert opening > closing


def test_flap_with_a_longer_arm_opens_sooner() -> None:
    short = actuator.flap_opening_pressure(70.0, 4e3, 0.0, AREA_D, 6e-4, 100e3, 0.040, 0.020)
    long = actuator.flap_opening_pressure(70.0, 4e3, 0.0, AREA_D, 6e-4, 100e3, 0.040, 0.030)
    assert long < short


def test_a_narrow_port_behind_a_wide_seat_is_the_smallest_passage() -> None:
    lifts = np.linspace(0.0, 0.012, 200)
    areas = poppet.poppet_area_heywood(lifts, 0.030, 0.006, np.pi / 4.0, 0.018, 0.006)
    assert np.max(areas) == pytest.approx(np.pi / 4.0 * (0.018**2 - 0.006**2), rel=1e-12)
    assert np.all(np.diff(areas) >= 0.0)
