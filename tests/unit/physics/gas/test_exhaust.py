"""Exhaust composition against chemical equilibrium of an independent package, and against the element balance."""

from __future__ import annotations

import cantera
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.errors import OutOfDomain
from boostwright.physics.gas import air, exhaust, fuel, mixture
from boostwright.physics.gas.species import MOLAR_MASS, SPECIES

CARBON = np.array([0, 0, 0, 1, 0, 1, 0])
HYDROGEN = np.array([0, 0, 0, 0, 2, 0, 2])
OXYGEN = np.array([0, 2, 0, 2, 1, 1, 0])
NITROGEN = np.array([2, 0, 0, 0, 0, 0, 0])
HUMID = air.humid_air(95.0e3, 308.15, 0.6)


@pytest.fixture(scope="module")
def gas() -> cantera.Solution:
    available = {species.name: species for species in cantera.Species.list_from_file("gri30.yaml")}
    return cantera.Solution(
        thermo="ideal-gas", species=[available["AR" if name == "Ar" else name] for name in SPECIES]
    )


@pytest.mark.parametrize("lambda_value", [0.70, 0.78, 0.85, 0.92, 0.98, 1.0, 1.1, 1.5])
@pytest.mark.parametrize(("y", "z"), [(1.87, 0.0), (3.0, 0.5), (4.0, 1.0), (2.6, 0.3)])
@pytest.mark.parametrize("breathed", [air.DRY_AIR, HUMID], ids=["dry", "humid"])
def test_composition_is_the_frozen_equilibrium(
    gas: cantera.Solution, lambda_value: float, y: float, z: float, breathed: np.ndarray
) -> None:
    """Seven species at 1740 K; lean of stoichiometric, equilibrium itself leaves traces of CO and H2."""
    shares = exhaust.exhaust_mole_fractions(lambda_value, y, z, breathed)
    gas.TPX = 1740.0, 101325.0, shares
    gas.equilibrate("TP")
    np.testing.assert_allclose(shares, gas.X, atol=1.2e-3)
    assert float(np.sum(shares * MOLAR_MASS)) == pytest.approx(gas.mean_molecular_weight, rel=1e-3)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    lambda_value=st.floats(0.6, 3.0),
    y=st.floats(1.0, 4.0),
    z=st.floats(0.0, 1.0),
    humidity=st.floats(0.0, 0.05),
)
def test_no_atom_is_lost(lambda_value: float, y: float, z: float, humidity: float) -> None:
    breathed = air.DRY_AIR * (1.0 - humidity)
    breathed[4] += humidity
    shares = exhaust.exhaust_mole_fractions(lambda_value, y, z, breathed)
    assert np.all(shares >= 0.0)
    assert np.sum(shares) == pytest.approx(1.0)
    moles = breathed / breathed[1] * lambda_value * (1.0 + y / 4.0 - z / 2.0)
    scale = (NITROGEN @ moles) / (NITROGEN @ shares)
    assert scale * (CARBON @ shares) == pytest.approx(1.0 + CARBON @ moles, rel=1e-9)
    assert scale * (HYDROGEN @ shares) == pytest.approx(y + HYDROGEN @ moles, rel=1e-9)
    assert scale * (OXYGEN @ shares) == pytest.approx(z + OXYGEN @ moles, rel=1e-9)


@given(lambda_value=st.floats(0.65, 0.995))
def test_water_gas_constant_is_held_when_rich(lambda_value: float) -> None:
    n2, _, _, co2, water, monoxide, hydrogen = exhaust.exhaust_mole_fractions(
        lambda_value, 1.87, 0.0, air.DRY_AIR
    )
    assert n2 > 0.6
    assert monoxide * water / (co2 * hydrogen) == pytest.approx(exhaust.WATER_GAS_CONSTANT, rel=1e-6)


def test_constant_is_that_of_the_species_data() -> None:
    """ln K = -(sum of g/RT over products less reactants) at 1740 K."""
    from boostwright.physics.gas.species import UNIVERSAL_GAS_CONSTANT

    gibbs = []
    for index in range(7):
        pure = np.eye(7)[index]
        coefficients = mixture.mixture_coefficients(pure)
        enthalpy = mixture.specific_enthalpy(coefficients, 1740.0)
        entropy = mixture.entropy_function(coefficients, 1740.0)
        gibbs.append((enthalpy - 1740.0 * entropy) * MOLAR_MASS[index] / (UNIVERSAL_GAS_CONSTANT * 1740.0))
    constant = np.exp(gibbs[3] + gibbs[6] - gibbs[5] - gibbs[4])
    assert constant == pytest.approx(exhaust.WATER_GAS_CONSTANT, abs=0.01)


def test_heat_released_of_pure_fuels_closes() -> None:
    """Heating value of a rich burn = heat released + heat left; both go smoothly through lambda 1."""
    ratio = fuel.stoichiometric_air_fuel_ratio(1.87, 0.0)
    lambdas = np.linspace(0.7, 1.2, 51)
    shares = exhaust.exhaust_mole_fractions(lambdas, 1.87, 0.0, air.DRY_AIR)
    left = exhaust.chemical_energy(shares)
    mass = exhaust.exhaust_per_fuel_mass(lambdas, ratio, 0.0)
    released = exhaust.released_heat_per_fuel_mass(43.4e6, mass, left)
    assert np.all(np.diff(released) >= -1e-6)
    assert released[lambdas >= 1.0] == pytest.approx(43.4e6)
    # lambda 0.8: a fifth of the oxygen is missing; CO and H2 carry rather more than a fifth of the heat.
    at = float(np.interp(0.8, lambdas, released)) / 43.4e6
    assert 0.70 < at < 0.78


def test_lambda_array_gives_rows() -> None:
    shares = exhaust.exhaust_mole_fractions(np.array([0.8, 1.0]), 1.87, 0.0, HUMID)
    assert shares.shape == (2, 7)
    np.testing.assert_allclose(shares[0], exhaust.exhaust_mole_fractions(0.8, 1.87, 0.0, HUMID))


def test_no_gas_at_all_is_refused() -> None:
    with pytest.raises(OutOfDomain, match="lambda_value"):
        exhaust.exhaust_mole_fractions(0.2, 1.87, 0.0, air.DRY_AIR)
