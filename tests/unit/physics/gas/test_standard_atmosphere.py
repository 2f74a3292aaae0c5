"""Standard atmosphere against the open-source fluids library, inverses and the QNH trap."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.gas import standard_atmosphere as atmosphere
from boostwright.units import station_pressure_from_qnh


@pytest.mark.parametrize("altitude", [0.0, 600.0, 1500.0, 2250.0, 4500.0, 8000.0])
def test_against_an_independent_library(altitude: float) -> None:
    expected = ATMOSPHERE_1976(Z=altitude)
    height = atmosphere.geopotential_height(altitude)
    assert atmosphere.standard_temperature(height) == pytest.approx(expected.T, rel=1e-6)
    assert atmosphere.standard_pressure(height) == pytest.approx(expected.P, rel=1e-5)
    assert atmosphere.standard_density(height) == pytest.approx(expected.rho, rel=1e-5)


@given(height=st.floats(-500.0, 10000.0))
def test_inverses(height: float) -> None:
    pressure = atmosphere.standard_pressure(height)
    assert atmosphere.pressure_altitude(pressure) == pytest.approx(height, abs=1e-6)
    density = atmosphere.standard_density(height)
    assert atmosphere.density_altitude(density) == pytest.approx(height, abs=1e-6)


def test_exponent_is_that_of_the_constants() -> None:
    assert pytest.approx(5.255880, abs=1e-6) == 9.80665 / (287.05287 * 0.0065)
    slope = np.log(atmosphere.standard_pressure(5000.0) / 101325.0)
    slope /= np.log(atmosphere.standard_temperature(5000.0) / 288.15)
    assert slope == pytest.approx(5.255880, abs=1e-6)


def test_sea_level_pressure_is_no_station_pressure() -> None:
    station = atmosphere.station_pressure_from_qnh(101325.0, 1500.0)
    assert station == pytest.approx(84556.0, abs=1.0)


@pytest.mark.parametrize("height", [0.0, 600.0, 2000.0])
def test_the_unit_reader_reduces_the_same_way(height: float) -> None:
    """Two places know the reduction, since units may not import physics: they must not drift apart."""
    ours = atmosphere.station_pressure_from_qnh(102000.0, height)
    assert station_pressure_from_qnh(102000.0, height) == pytest.approx(float(ours), rel=2e-5)
