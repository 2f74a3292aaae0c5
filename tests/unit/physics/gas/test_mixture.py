"""Mixtures against the open-source thermochemistry package that carries the same species data."""

from __future__ import annotations

import cantera
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.physics.gas import mixture
from boostwright.physics.gas.species import FORMATION_ENTHALPY, MOLAR_MASS, SPECIES, SPECIES_COEFFICIENTS


@pytest.fixture(scope="module")
def gas() -> cantera.Solution:
    available = {species.name: species for species in cantera.Species.list_from_file("nasa_gas.yaml")}
    return cantera.Solution(thermo="ideal-gas", species=[available[name] for name in SPECIES])


def test_species_data_are_those_of_the_package(gas: cantera.Solution) -> None:
    for index, name in enumerate(SPECIES):
        coefficients = gas.species(name).thermo.coeffs  # middle temperature, high range, low range
        np.testing.assert_array_equal(
            SPECIES_COEFFICIENTS[index, 1], coefficients[1:8] if name != "Ar" else coefficients[8:15]
        )
        np.testing.assert_array_equal(SPECIES_COEFFICIENTS[index, 0], coefficients[8:15])
        assert MOLAR_MASS[index] == pytest.approx(gas.species(name).molecular_weight, rel=1e-12)


def test_heats_of_formation_are_the_known_ones() -> None:
    """CO2 -393.51, H2O -241.83, CO -110.53 kJ/mol; elements zero."""
    by_name = dict(zip(SPECIES, FORMATION_ENTHALPY / 1e6, strict=True))
    assert by_name["CO2"] == pytest.approx(-393.51, abs=0.02)
    assert by_name["H2O"] == pytest.approx(-241.83, abs=0.02)
    assert by_name["CO"] == pytest.approx(-110.53, abs=0.02)
    for element in ("N2", "O2", "Ar", "H2"):
        assert by_name[element] == pytest.approx(0.0, abs=0.001)


MIXTURES = st.lists(st.floats(0.001, 1.0), min_size=7, max_size=7).map(np.array)


@settings(max_examples=60, deadline=None)
@given(mole_fractions=MIXTURES, temperature=st.floats(210.0, 3000.0))
def test_properties_of_any_mixture(
    gas: cantera.Solution, mole_fractions: np.ndarray, temperature: float
) -> None:
    gas.TPX = temperature, 1.0e5, mole_fractions
    coefficients = mixture.mixture_coefficients(mole_fractions)
    assert mixture.molar_mass(mole_fractions) == pytest.approx(gas.mean_molecular_weight, rel=1e-12)
    assert mixture.specific_heat(coefficients, temperature) == pytest.approx(gas.cp_mass, rel=1e-7)
    # Enthalpy passes through zero where heat of formation and heat balance, hence the absolute part.
    enthalpy = mixture.specific_enthalpy(coefficients, temperature)
    assert enthalpy == pytest.approx(gas.enthalpy_mass, rel=1e-7, abs=1.0)
    ratio = mixture.heat_capacity_ratio(gas.cp_mass, mixture.gas_constant(mole_fractions))
    assert ratio == pytest.approx(gas.cp_mass / gas.cv_mass, rel=1e-9)
    np.testing.assert_allclose(mixture.mass_fractions(mole_fractions), gas.Y, rtol=1e-12)
    mixing = gas.entropy_mass - mixture.entropy_function(coefficients, temperature)
    gas.TP = 298.15, 1.0e5
    assert mixing == pytest.approx(
        gas.entropy_mass - mixture.entropy_function(coefficients, 298.15), abs=1e-3
    ), "what differs from the entropy is the entropy of mixing, whatever the temperature"


@settings(max_examples=60, deadline=None)
@given(mole_fractions=MIXTURES, temperature=st.floats(200.0, 3500.0))
def test_inverses(mole_fractions: np.ndarray, temperature: float) -> None:
    coefficients = mixture.mixture_coefficients(mole_fractions)
    enthalpy = mixture.specific_enthalpy(coefficients, temperature)
    entropy = mixture.entropy_function(coefficients, temperature)
    assert mixture.temperature_from_enthalpy(coefficients, enthalpy) == pytest.approx(temperature, abs=1e-4)
    assert mixture.temperature_from_entropy(coefficients, entropy) == pytest.approx(temperature, abs=1e-4)


def test_proportions_alone_count() -> None:
    mole_fractions = np.array([0.7, 0.1, 0.01, 0.1, 0.05, 0.03, 0.01])
    np.testing.assert_allclose(
        mixture.mixture_coefficients(5.0 * mole_fractions), mixture.mixture_coefficients(mole_fractions)
    )


def test_enthalpy_is_the_integral_of_specific_heat() -> None:
    coefficients = mixture.mixture_coefficients(np.array([0.7, 0.0, 0.01, 0.12, 0.12, 0.04, 0.01]))
    temperatures = np.linspace(298.15, 1500.0, 20001)
    heat = mixture.specific_heat(coefficients, temperatures)
    integral = np.trapezoid(heat, temperatures)
    assert mixture.sensible_enthalpy(coefficients, 1500.0) == pytest.approx(integral, rel=1e-6)
    assert mixture.sensible_enthalpy(coefficients, 298.15) == pytest.approx(0.0, abs=1e-6)


def test_nothing_jumps_where_the_ranges_meet() -> None:
    coefficients = mixture.mixture_coefficients(np.array([0.7, 0.0, 0.01, 0.12, 0.12, 0.04, 0.01]))
    for function, size in ((mixture.specific_heat, 1e-5), (mixture.specific_enthalpy, 1e-5)):
        below, above = function(coefficients, np.array([999.9999, 1000.0001]))
        assert abs(above - below) < size * abs(above)


def test_a_batch_keeps_its_shape() -> None:
    mole_fractions = np.full((3, 5, 7), 1.0 / 7.0)
    coefficients = mixture.mixture_coefficients(mole_fractions)
    assert coefficients.shape == (3, 5, 2, 7)
    assert mixture.specific_heat(coefficients, np.full((3, 5), 400.0)).shape == (3, 5)


def test_beyond_the_ends_the_inverse_holds_its_limit() -> None:
    coefficients = mixture.mixture_coefficients(np.array([0.8, 0.2, 0, 0, 0, 0, 0]))
    assert mixture.temperature_from_enthalpy(coefficients, -1.0e9) == pytest.approx(150.0)
    assert mixture.temperature_from_enthalpy(coefficients, 1.0e9) == pytest.approx(6000.0)
