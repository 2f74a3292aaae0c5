"""Pump current and pressure: against diffusion worked out apart, and the oxygen of lean gas."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.errors import OutOfDomain
from boostwright.physics.lambda_probe import (
    REFERENCE_PRESSURE,
    gas_transport_time,
    lambda_of_pump_current,
    pump_current,
    pump_current_pressure_factor,
)

pressures = st.floats(5e4, 3e5)


@given(pressures, st.floats(1e3, 1e6))
def test_the_factor_is_that_of_two_resistances_in_series(pressure: float, k: float) -> None:
    """Pores of radius where walls and molecules resist alike at k: flux of p / (1/wall + p/(wall k))."""

    def flux(p: float, wall: float = 3.7) -> float:
        return p / (1.0 / wall + p / (wall * k))

    factor = pump_current_pressure_factor(pressure, REFERENCE_PRESSURE, k)
    assert factor == pytest.approx(flux(pressure) / flux(REFERENCE_PRESSURE))


@given(pressures, st.floats(2e4, 1e5))
def test_more_pressure_more_current_but_less_than_in_proportion(pressure: float, k: float) -> None:
    factor = float(pump_current_pressure_factor(pressure, REFERENCE_PRESSURE, k))
    ratio = pressure / REFERENCE_PRESSURE
    assert min(1.0, ratio) - 1e-12 <= factor <= max(1.0, ratio) + 1e-12


def test_lean_pairs_follow_the_oxygen_of_lean_gas() -> None:
    """xO2 = 3 (l - 1) / (1 + 3 K l), K 4.77, for an H/C of 2; the pairs are nominal, so 8 % is near."""
    ratio = np.array([1.179, 1.429, 1.701])
    oxygen = 3.0 * (ratio - 1.0) / (1.0 + 3.0 * 4.77 * ratio)
    share = np.asarray(pump_current(ratio)) / oxygen
    assert np.ptp(share) / share.mean() < 0.08


@given(st.floats(0.65, 1.701))
def test_current_and_back(ratio: float) -> None:
    assert lambda_of_pump_current(float(pump_current(ratio))) == pytest.approx(ratio, abs=1e-9)


def test_outside_the_table_is_refused() -> None:
    with pytest.raises(OutOfDomain):
        pump_current(0.60)
    with pytest.raises(OutOfDomain):
        lambda_of_pump_current(2.5e-3)


def test_transport_time_is_mass_over_mass_flow() -> None:
    mass = 110e3 * 0.002 / (289.0 * 1000.0)
    assert gas_transport_time(0.002, 0.05, 1000.0, 110e3, 289.0) == pytest.approx(mass / 0.05)
