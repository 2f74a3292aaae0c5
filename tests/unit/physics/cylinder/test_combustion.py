"""Burn, wall heat, knock, mixed charge: inverses, siblings, signs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.cylinder import burn, knock, trapped_charge, wall_heat
from boostwright.physics.gas import fuel_vapour, mixture

DEGREE = np.pi / 180.0


@given(st.floats(1e-6, 0.999), st.floats(2.0, 8.0), st.floats(0.5, 4.0))
def test_progress_undoes_the_wiebe_function(fraction: float, factor: float, exponent: float) -> None:
    progress = burn.burn_progress_wiebe(fraction, factor, exponent)
    again = burn.burned_fraction_wiebe(progress * 0.7 + 0.1, 0.1, 0.7, factor, exponent)
    assert again == pytest.approx(fraction, rel=1e-9)


@given(st.floats(-0.2, 1.0), st.floats(0.3, 2.0), st.floats(2.0, 8.0), st.floats(0.5, 4.0))
def test_half_is_burned_where_the_start_was_set_for_it(
    half: float, duration: float, factor: float, exponent: float
) -> None:
    start = burn.burn_start_wiebe(half, duration, factor, exponent)
    assert burn.burned_fraction_wiebe(half, start, duration, factor, exponent) == pytest.approx(0.5)


def test_burned_fraction_rises_from_nothing_to_all() -> None:
    x = burn.burned_fraction_wiebe(np.linspace(-1.0, 3.0, 401), 0.0, 0.8, 5.0, 2.0)
    assert np.all(x[:101] == 0.0)
    assert np.all(np.diff(x) >= 0.0)
    assert x[-1] == pytest.approx(1.0)


def test_flame_is_fastest_somewhat_rich_and_slowed_by_residual_gas() -> None:
    lam = np.linspace(0.7, 1.2, 51)
    velocity = burn.laminar_burning_velocity_rhodes_keck(650.0, 20e5, 1.0 / lam, 0.05)
    assert 0.75 < lam[np.argmax(velocity)] < 0.95
    diluted = burn.laminar_burning_velocity_rhodes_keck(650.0, 20e5, 1.1, np.array([0.0, 0.1, 0.2]))
    assert np.all(np.diff(diluted) < 0.0)
    assert 0.4 < diluted[2] / diluted[0] < 0.45  # 1 - 2.06 x 0.2^0.77


def test_burn_takes_more_degrees_at_speed_but_less_time() -> None:
    at = burn.burn_duration_hires(50.0 * DEGREE, np.array([1.0, 2.0]), 1.0, 1.0)
    assert 1.0 < at[1] / at[0] < 2.0


@given(st.floats(5e5, 120e5), st.floats(600.0, 2600.0), st.floats(6.0, 22.0))
def test_the_two_wall_heat_authors_agree_within_a_factor(p: float, t: float, piston: float) -> None:
    """On a half-litre cylinder near top dead centre, motored; Hohenberg made his against Woschni's."""
    woschni = wall_heat.wall_heat_woschni(0.083, p, t, 2.28 * piston)
    hohenberg = wall_heat.wall_heat_hohenberg(0.8e-4, p, t, piston)
    assert 0.3 < woschni / hohenberg < 1.4


def test_area_is_that_of_a_cylinder() -> None:
    bore, height = 0.08, 0.1
    area = wall_heat.cylinder_wall_area(bore, height, 1.0)
    assert area == pytest.approx(2 * np.pi / 4 * bore**2 + np.pi * bore * height)


def test_ignition_delay_falls_with_pressure_and_temperature_and_rises_with_octane() -> None:
    delay = knock.ignition_delay_douaud_eyzat
    assert delay(60e5, 850.0, 95.0) < delay(50e5, 850.0, 95.0)
    assert delay(60e5, 870.0, 95.0) < delay(60e5, 850.0, 95.0)
    assert delay(60e5, 850.0, 98.0) > delay(60e5, 850.0, 95.0)


def test_octane_outside_the_correlation_is_flagged() -> None:
    flagged = knock.ignition_delay_douaud_eyzat.outside_valid_range(octane_number=np.array([98.0, 108.0]))
    assert flagged["octane_number"].tolist() == [False, True]


def test_integral_over_a_constant_state_is_time_over_delay() -> None:
    steps = knock.integral_step_livengood_wu(np.full(10, 1e-4), 2e-3, 2e-3)
    assert np.sum(steps) == pytest.approx(0.5)


def test_evaporation_cools_and_residual_gas_heats() -> None:
    """1 g of air with petrol at lambda 0.85 or ethanol at the same: 28 K against some 120 K if all of it evaporates."""
    air = 1.0e-3 * 1010.0
    petrol = 1e-3 / (0.85 * 14.6)
    ethanol = 1e-3 / (0.85 * 9.0)
    mixed = trapped_charge.temperature_of_mixed_charge
    dry = mixed(air, 330.0, 0.0, 1000.0, 0.0, 0.0)
    by_petrol = mixed(air + petrol * 1700.0, 330.0, 0.0, 1000.0, petrol * 350e3, 0.0)
    by_ethanol = mixed(air + ethanol * 1500.0, 330.0, 0.0, 1000.0, ethanol * 921e3, 0.0)
    assert dry == pytest.approx(330.0)
    assert 20.0 < dry - by_petrol < 30.0
    assert 90.0 < dry - by_ethanol < 125.0
    assert mixed(air, 330.0, 0.05 * air, 1100.0, 0.0, 0.0) == pytest.approx((330.0 + 55.0) / 1.05)


def test_vapour_takes_the_substances_by_their_formula() -> None:
    """Heat capacity of petrol's vapour at 400 K lies between toluene's and iso-octane's, and ethanol's is its own."""
    cp = [
        float(mixture.specific_heat(fuel_vapour.fuel_vapour_coefficients(y, z), 400.0))
        for y, z in ((8 / 7, 0.0), (1.87, 0.0), (2.25, 0.0), (3.0, 0.5), (4.0, 1.0))
    ]
    assert cp[0] < cp[1] < cp[2]
    assert cp[0] > 1.4e3
    assert cp[2] < 2.3e3
    blend = float(mixture.specific_heat(fuel_vapour.fuel_vapour_coefficients(1.93, 0.02), 400.0))
    assert blend == pytest.approx(cp[1], rel=0.02)
