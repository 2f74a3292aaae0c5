"""Humid air: forms against each other, limits, and orders of magnitude that a weather report shows."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.errors import OutOfDomain
from boostwright.physics.gas import air, mixture


def test_dry_air() -> None:
    assert air.DRY_AIR.sum() == pytest.approx(1.0)
    assert mixture.molar_mass(air.DRY_AIR) == pytest.approx(28.964, abs=0.001)
    assert mixture.gas_constant(air.DRY_AIR) == pytest.approx(287.05, abs=0.02)


def test_two_saturation_formulas_agree_where_both_hold() -> None:
    temperatures = np.linspace(273.16, 323.15, 51)
    magnus = air.saturation_pressure_magnus_alduchov_eskridge(temperatures)
    wagner = air.saturation_pressure_wagner_pruss(temperatures)
    np.testing.assert_allclose(magnus, wagner, rtol=4e-3)


def test_saturation_at_the_fixed_points_of_water() -> None:
    assert air.saturation_pressure_wagner_pruss(273.16) == pytest.approx(611.657, abs=0.05)
    assert air.saturation_pressure_wagner_pruss(373.124) == pytest.approx(101325.0, rel=1e-3)
    assert air.saturation_pressure_wagner_pruss(647.096) == pytest.approx(22.064e6)


def test_dew_point_is_the_inverse() -> None:
    temperatures = np.linspace(240.0, 320.0, 9)
    pressures = air.saturation_pressure_magnus_alduchov_eskridge(temperatures)
    np.testing.assert_allclose(air.dew_point_magnus_alduchov_eskridge(pressures), temperatures, rtol=1e-12)


def test_wet_bulb_equal_to_dry_bulb_is_saturated() -> None:
    assert air.relative_humidity_from_wet_bulb(293.15, 293.15, 101325.0) == pytest.approx(1.0)


def test_humidity_takes_oxygen_and_density() -> None:
    dry = air.humid_air(101325.0, 303.15, 0.0)
    wet = air.humid_air(101325.0, 303.15, 1.0)
    assert wet[1] < dry[1]
    assert mixture.gas_constant(wet) > mixture.gas_constant(dry)
    assert wet.sum() == pytest.approx(1.0)


def test_winter_air_uses_the_form_that_holds_below_freezing() -> None:
    cold = air.humid_air(101325.0, np.array([263.15, 273.15, 283.15]), 0.8)
    assert cold.shape == (3, 7)
    assert np.all(np.diff(cold[:, 4]) > 0.0)
    expected = 0.8 * air.saturation_pressure_magnus_alduchov_eskridge(263.15) / 101325.0
    assert cold[0, 4] == pytest.approx(float(expected))


def test_two_viscosities_agree_at_room_temperature_and_part_when_hot() -> None:
    assert air.viscosity_sutherland(300.0) == pytest.approx(air.viscosity_lemmon_jacobsen(300.0), rel=5e-3)
    hot = air.viscosity_sutherland(1200.0) / air.viscosity_lemmon_jacobsen(1200.0)
    assert hot == pytest.approx(0.95, abs=0.005), "why the old form is not claimed above 650 K"
    flagged = air.viscosity_sutherland.outside_valid_range(temperature=np.array([300.0, 900.0]))
    assert flagged["temperature"].tolist() == [False, True]


def test_percent_typed_as_share_is_refused() -> None:
    with pytest.raises(OutOfDomain, match="relative_humidity"):
        air.humid_air(101325.0, 293.15, 50.0)
